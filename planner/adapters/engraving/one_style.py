"""Bars of a passage in one style: its text in one size, rests as they are written, gaps for the unseen."""

from fractions import Fraction
from textwrap import wrap

from lxml import etree

_OF_FACE = ("font-family", "font-size", "color", "letter-spacing", "line-height")
"""How a file wants its text to look. Bold and italic stay: they tell a tempo from a manner."""
_TEXTS = ("words", "text", "rehearsal", "metronome", "dynamics", "ending", "lyric", "elision", "syllabic")
_MOST_LINES = 3
"""Lines of words that may be a direction. Source: house choice."""
_VALUES = {
    Fraction(4): ("whole", 0), Fraction(3): ("half", 1), Fraction(2): ("half", 0),
    Fraction(3, 2): ("quarter", 1), Fraction(1): ("quarter", 0), Fraction(3, 4): ("eighth", 1),
    Fraction(1, 2): ("eighth", 0), Fraction(1, 4): ("16th", 0), Fraction(1, 8): ("32nd", 0),
}  # fmt: skip


def bring_to_one_style(measure: etree._Element, letters: int, *, is_alone: bool) -> None:
    """Text without sizes and faces of its own, long words on several lines, unseen rests as gaps.

    Words of more than three lines are an editor's note, which nobody reads while playing, and go.

    Args:
        measure: The bar.
        letters: Most letters of words in one line.
        is_alone: Whether its part is drawn alone: then its staff has the usual size.
    """
    for element in measure.iter(*_TEXTS):
        for name in _OF_FACE:
            element.attrib.pop(name, "")
    for direction in measure.findall("direction"):
        if sum(len(words.text or "") for words in direction.iter("words")) > _MOST_LINES * letters:
            drop(direction)
    for words in measure.iterfind("direction/direction-type/words"):
        if words.text and len(words.text) > letters:
            words.text = "\n".join(wrap(words.text, letters, break_long_words=False))
    if is_alone:
        for size in list(measure.iter("staff-size")):
            drop(size)
    for note in measure.findall("note[@print-object='no']"):
        if note.find("rest") is not None and note.find("duration") is not None:
            gap = etree.Element("forward")
            etree.SubElement(gap, "duration").text = note.findtext("duration")
            measure.replace(note, gap)


def drop(element: etree._Element) -> None:
    """Take an element out."""
    parent = element.getparent()
    if parent is not None:
        parent.remove(element)


def write_short_rests(measure: etree._Element, divisions: int, full: Fraction) -> None:
    """A rest that fills a bar shorter than its meter, a pickup say, in its own value.

    Args:
        measure: The bar.
        divisions: Of a quarter, in force there.
        full: Quarters of a full bar.
    """
    for rest in measure.iterfind("note/rest"):
        note = rest.getparent()
        if note is None or note.find("type") is not None:
            continue
        length = Fraction(int(float(note.findtext("duration") or 0)), divisions)
        if length >= full or length not in _VALUES:
            continue
        rest.attrib.pop("measure", "")
        value, dots = _VALUES[length]
        place = 1 + max(
            at
            for at, child in enumerate(note)
            if child.tag in ("rest", "duration", "tie", "instrument", "voice")
        )
        kind = etree.Element("type")
        kind.text = value
        note[place:place] = [kind, *(etree.Element("dot") for _ in range(dots))]
