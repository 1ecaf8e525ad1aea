"""Short lines of music that stand on no page: a scale to finger, and a rhythm to tap with its counts."""

from collections.abc import Iterator, Mapping, Sequence
from copy import deepcopy
from fractions import Fraction

from lxml import etree

from planner.core.pitch import Pitch

_LINE = "E"
"""Step of the fourth octave at which a staff of one line has its line."""
_BEFORE_STEM = ("duration", "tie", "voice", "type", "dot", "time-modification")
"""What a rhythm keeps of a note, in the order that MusicXML wants, up to its stem."""


def scale_xml(bar: bytes, fifths: int, notes: Sequence[str]) -> bytes:
    """MusicXML of written notes without rhythm behind the clef of a part and a key signature.

    Args:
        bar: MusicXML of one bar of the part; its clef is taken.
        fifths: Sharps of the signature, flats below 0.
        notes: As ``core.pitch`` writes them; signs that the signature does not have are printed.
    """
    out, measure = _one_bar()
    attributes = etree.SubElement(measure, "attributes")
    etree.SubElement(attributes, "divisions").text = "1"
    etree.SubElement(etree.SubElement(attributes, "key"), "fifths").text = str(fifths)
    time = etree.SubElement(attributes, "time", {"print-object": "no"})
    etree.SubElement(time, "beats").text = str(len(notes))
    etree.SubElement(time, "beat-type").text = "4"
    clefs = etree.fromstring(bar).findall("part/measure/attributes/clef")
    attributes.extend(_single(clef) for clef in _nearest(clefs, notes))
    measure.extend(_head(Pitch.parse(name)) for name in notes)
    return _closed(out, measure)


_MIDDLE = {"G": 34, "C": 28, "F": 22}
"""Height of the middle of a staff by its clef at its usual line: B4, C4, D3, counted in steps from C0."""


def _nearest(clefs: Sequence[etree._Element], notes: Sequence[str]) -> list[etree._Element]:
    """The clef of the staff in whose middle the notes lie best; the first where none is known."""
    if not notes or any(clef.findtext("sign") not in _MIDDLE for clef in clefs):
        return list(clefs[:1])
    middle = sum(_height(Pitch.parse(name)) for name in notes) / len(notes)

    def distance(clef: etree._Element) -> float:
        octaves = int(clef.findtext("clef-octave-change") or 0)
        return abs(middle - _MIDDLE[clef.findtext("sign") or ""] - 7 * octaves)

    return sorted(clefs, key=distance)[:1]


def _height(pitch: Pitch) -> int:
    return 7 * pitch.octave + "CDEFGAB".index(pitch.step)


def _single(clef: etree._Element) -> etree._Element:
    """A clef for a staff that stands alone."""
    copy = deepcopy(clef)
    copy.attrib.pop("number", "")
    return copy


Count = tuple[float, str]
"""Where a count stands, in quarters from the start of its bar, and what is said."""


def rhythm_xml(bar: bytes, counts: Sequence[Count]) -> bytes:
    """MusicXML of one bar's rhythm on a single line with what is counted beneath.

    A count on which no note begins stands under an unseen note of a second voice; see ``show_counts``.

    Args:
        bar: MusicXML of the bar, one part alone.
        counts: In order.
    """
    out, measure = _one_bar()
    (source,) = etree.fromstring(bar).findall("part/measure")
    attributes = etree.SubElement(measure, "attributes")
    for tag in ("divisions", "time"):
        attributes.extend(deepcopy(source.findall(f"attributes/{tag}")[:1]))
    clef = etree.SubElement(attributes, "clef")
    etree.SubElement(clef, "sign").text = "percussion"
    details = etree.SubElement(attributes, "staff-details")
    etree.SubElement(details, "staff-lines").text = "1"
    divisions = Fraction(source.findtext("attributes/divisions") or "1")
    words = {Fraction(at).limit_denominator(96): text for at, text in counts}
    place = Fraction(0)
    for note in (note for note in source.iterfind("note") if _takes_time(note)):
        is_struck = note.find("rest") is None and note.find("tie[@type='stop']") is None
        measure.append(_tapped(note, words.pop(place, "") if is_struck else ""))
        place += Fraction(note.findtext("duration") or "0") / divisions
    if words:
        measure.extend(_unseen(words, place, divisions))
        for duration in (*attributes.iterfind("divisions"), *measure.iterfind("note[voice!='2']/duration")):
            duration.text = str(_FINER * int(duration.text or "0"))
    return _closed(out, measure)


_VALUES = {
    Fraction(4): "whole", Fraction(2): "half", Fraction(1): "quarter", Fraction(1, 2): "eighth",
    Fraction(1, 4): "16th",
}  # fmt: skip
_FINER = 4
"""Divisions are multiplied by it, so that a sixteenth is a whole number of them."""


def _unseen(words: Mapping[Fraction, str], end: Fraction, divisions: Fraction) -> Iterator[etree._Element]:
    """A second voice that is not drawn: a sixteenth under each of these counts, and gaps between."""
    back = etree.Element("backup")
    etree.SubElement(back, "duration").text = str(int(end * _FINER * divisions))
    yield back
    place = Fraction(0)
    for at, text in words.items():
        for length, value in _in_values(at - place):
            yield _unseen_note(etree.Element("rest"), length * _FINER * divisions, value)
        note = _unseen_note(_on_line("B"), Fraction(_FINER, 4) * divisions, "16th")
        _say(note, text)
        yield note
        place = at + Fraction(1, 4)


def _unseen_note(what: etree._Element, duration: Fraction, value: str) -> etree._Element:
    note = etree.Element("note", {"print-object": "no"})
    note.append(what)
    etree.SubElement(note, "duration").text = str(int(duration))
    etree.SubElement(note, "voice").text = "2"
    etree.SubElement(note, "type").text = value
    return note


def _in_values(quarters: Fraction) -> Iterator[tuple[Fraction, str]]:
    """A length as note values, the longest first."""
    for length, value in _VALUES.items():
        while quarters >= length:
            yield length, value
            quarters -= length


def show_counts(svg: str) -> str:
    """The drawing with the counts of its unseen notes, and nothing else of these."""
    root = etree.fromstring(svg.encode("utf-8"))
    for note in list(root.iter("{http://www.w3.org/2000/svg}g")):
        if note.get("visibility") == "hidden":
            del note.attrib["visibility"]
            for each in list(note):
                if each.get("class") != "verse":
                    note.remove(each)
    return str(etree.tostring(root, encoding="unicode"))


def _one_bar() -> tuple[etree._Element, etree._Element]:
    out = etree.Element("score-partwise", {"version": "4.0"})
    listed = etree.SubElement(etree.SubElement(out, "part-list"), "score-part", {"id": "P1"})
    etree.SubElement(listed, "part-name")
    part = etree.SubElement(out, "part", {"id": "P1"})
    return out, etree.SubElement(part, "measure", {"number": "1", "id": "m0"})


def _closed(out: etree._Element, measure: etree._Element) -> bytes:
    line = etree.SubElement(measure, "barline", {"location": "right"})
    etree.SubElement(line, "bar-style").text = "light-light"
    return bytes(etree.tostring(out, encoding="utf-8", xml_declaration=True))


def _head(pitch: Pitch) -> etree._Element:
    note = etree.Element("note")
    where = etree.SubElement(note, "pitch")
    etree.SubElement(where, "step").text = pitch.step
    if pitch.alter:
        etree.SubElement(where, "alter").text = str(pitch.alter)
    etree.SubElement(where, "octave").text = str(pitch.octave)
    etree.SubElement(note, "duration").text = "1"
    etree.SubElement(note, "voice").text = "1"
    etree.SubElement(note, "type").text = "quarter"
    etree.SubElement(note, "stem").text = "none"
    return note


def _takes_time(note: etree._Element) -> bool:
    """A note or rest that takes time on the page: no grace note, no cue, no second note of a chord."""
    return all(note.find(tag) is None for tag in ("grace", "cue", "chord"))


def _on_line(step: str, tag: str = "unpitched") -> etree._Element:
    place = etree.Element(tag)
    etree.SubElement(place, "display-step").text = step
    etree.SubElement(place, "display-octave").text = "4"
    return place


def _say(note: etree._Element, word: str) -> None:
    lyric = etree.SubElement(note, "lyric")
    etree.SubElement(lyric, "syllabic").text = "single"
    etree.SubElement(lyric, "text").text = word


def _tapped(note: etree._Element, word: str) -> etree._Element:
    """A note on the single line, its stem up, over what is said on it; a rest as it is."""
    is_rest = note.find("rest") is not None
    out = etree.Element("note")
    out.append(_on_line(_LINE, "rest" if is_rest else "unpitched"))
    out.extend(deepcopy(each) for each in note if each.tag in _BEFORE_STEM)
    if not is_rest:
        etree.SubElement(out, "stem").text = "up"
    out.extend(deepcopy(each) for each in note.findall("beam"))
    for tuplets in note.findall("notations"):
        kept = etree.SubElement(out, "notations")
        kept.extend(deepcopy(each) for each in tuplets if each.tag in ("tied", "tuplet"))
    if word:
        _say(out, word)
    return out
