"""Where one movement ends and the next begins in a file that holds several, and each as a file of its own.

The question is what a player takes for the next movement: it has bar numbers of its own, and opens with a
heading, a tempo and its signatures after the last bar of the one before. So a new movement begins

- where the bar numbers start again from 0 or 1 and go on from there, and a heading, a tempo or a signature is
  printed; after a bar line that is neither final nor double it takes a signature and one of the others;
- where a numbered heading ("II. Menuetto") with a tempo or a signature follows a final bar line;
- where the numbers go on, but a new tempo and a new signature follow a final bar line that is not the end
  of a repeat, an ending or a Fine.

What does not begin one: a trio, a *minore*, a variation, a coda, the next strain of a dance, the next verse
of a song, a second version of the same song on its own page (no heading, tempo or signature), and any place
that a later D.C. or D.S. reaches back over: music that is played again after it belongs to the same movement.
Source: common practice of engravers, from memory; music21, partitura and verovio do not look for movements.
"""

import copy
import re
from collections.abc import Iterator, Sequence
from typing import Literal

from lxml import etree

from planner.adapters.scores.reading.draft import fold
from planner.adapters.scores.reading.marks import direction_marks
from planner.adapters.scores.reading.printed_words import is_tempo

Parts = Sequence[Sequence[etree._Element]]
"""The measures of each part."""

_CARRIED = (
    "divisions", "key", "time", "staves", "part-symbol", "instruments", "clef", "staff-details", "transpose",
    "for-part",
)  # fmt: skip
"""Children of ``attributes`` that stay in force, in the order MusicXML 4.0 prescribes."""


_HEADING = re.compile(r"(?:[IVX]{1,4}\b\s*[.:)–-]?|N(?:o|r|º)\.?\s*\d+|\d{1,2}\s*[.)])\s*(?=[A-ZÀ-Þ]|$)")
"""A numbered heading: "II.", "III. Menuetto", "No. 2", "3. Finale"."""
_NAMED = re.compile(
    r"(?:men?uett?o?|minuett?o?|scherzo|finale?|rond[oò]|rondeau|intermezzo|gavott[ae]|bourr[ée]e|sarabande?|gigue|giga|"
    r"allemande|courante|passepied|siciliano|romanze?|arie?tta|marcia|march|marsch|fuga|fugue)\b",
    re.IGNORECASE,
)
"""A heading that names a movement or a dance."""
_GOES_ON = re.compile(
    r"\b(?:trio|minore|maggiore|mineur|majeur|coda|var(?:iation|iazione)?\b|verse|strophe|couplet|refrain|chorus|double)\b|^var\.",
    re.IGNORECASE,
)
"""What opens a section and not a movement."""


def movement_starts(root: etree._Element) -> tuple[int, ...]:
    """Positions of the measures at which a movement begins; ``(0,)`` for a single one."""
    parts = [part.findall("measure") for part in root.findall("part")]
    longest = max(parts, key=len, default=[])
    numbers = [_number(measure) for measure in longest]
    starts, highest = [0], numbers[0] or 0 if numbers else 0
    for index in range(1, len(longest)):
        number = numbers[index]
        restarts = number is not None and number <= 1 < highest and _counts_on(numbers, index)
        close = _closing_bar(parts, index - 1)
        if (restarts or close == "final") and _begins(parts, index, close, restarts=restarts):
            starts.append(index)
            highest = 0
        highest = max(highest, number or 0)
    return tuple(starts)


def _number(measure: etree._Element) -> int | None:
    found = re.fullmatch(r"\s*(\d{1,6})\s*", measure.get("number", ""))
    return int(found.group(1)) if found else None


def _counts_on(numbers: Sequence[int | None], index: int) -> bool:
    """Whether the numbers go on from a measure; a lone 0 is half of a split bar."""
    number = numbers[index] or 0
    following = next((each for each in numbers[index + 1 :] if each is not None), number)
    return following <= number + 1


def _at(parts: Parts, index: int) -> Iterator[etree._Element]:
    """A measure in every part that has it."""
    return (part[index] for part in parts if index < len(part))


def _closing_bar(parts: Parts, index: int) -> Literal["final", "double", ""]:
    """What a measure ends with, in the part that says most."""
    styles = {
        fold(bar.findtext("bar-style"))
        for measure in _at(parts, index)
        for bar in measure.findall("barline")
        if bar.get("location", "right") == "right"
    }
    if "light-heavy" in styles:
        return "final"
    return "double" if styles & {"light-light", "heavy-light", "heavy-heavy", "heavy"} else ""


def _begins(parts: Parts, index: int, close: str, *, restarts: bool) -> bool:
    """Whether a movement begins at a measure after such a bar line; see the module docstring."""
    texts = [
        fold(words.text)
        for measure in _at(parts, index)
        for direction in measure.findall("direction")
        for words in direction.iterfind("direction-type/*")
        if words.tag in ("words", "rehearsal") and words.text
    ]
    has_number = any(_HEADING.match(text) for text in texts)
    has_heading = has_number or any(_NAMED.match(text) for text in texts)
    has_tempo = any(map(is_tempo, texts)) or any(
        measure.find("direction/direction-type/metronome") is not None for measure in _at(parts, index)
    )
    has_signature = any(
        measure.find(f"attributes/{tag}") is not None
        for measure in _at(parts, index)
        for tag in ("time", "key")
    )
    if restarts:
        announced = has_heading or has_tempo
        return (announced and has_signature) if not close else announced or has_signature
    if has_number and (has_tempo or has_signature):
        return True
    if not (has_tempo and has_signature) or any(map(_GOES_ON.search, texts)):
        return False
    return not _closes_a_section(parts, index - 1) and not _is_reached_over(parts, index)


def _closes_a_section(parts: Parts, index: int) -> bool:
    """Whether a repeat, an ending or a Fine stands at the end of a measure: more of the movement follows."""
    for measure in _at(parts, index):
        if any(
            bar.find("repeat") is not None or bar.find("ending") is not None
            for bar in measure.findall("barline")
        ):
            return True
        if "fine" in {kind for kind, _ in _marks_in(measure)}:
            return True
    return False


def _marks_in(measure: etree._Element) -> Iterator[tuple[str, str]]:
    """The roadmap marks of a measure, kind and words, as the reader takes them."""
    for sound in measure.findall("sound"):
        yield from ((mark.kind, mark.text) for mark in direction_marks(None, sound, "", 0))
    for direction in measure.findall("direction"):
        text = fold(" ".join(words.text or "" for words in direction.iterfind("direction-type/words")))
        marks = direction_marks(direction, direction.find("sound"), text, 0)
        yield from ((mark.kind, mark.text) for mark in marks)


def _is_reached_over(parts: Parts, index: int) -> bool:
    """Whether the next D.C. or D.S. after a measure leads to before it: to a Fine or a sign there."""
    met: set[str] = set()
    for at in range(index, max(map(len, parts))):
        marks = {kind: text for measure in _at(parts, at) for kind, text in _marks_in(measure)}
        met |= marks.keys()
        if "da-capo" in marks:
            wants_fine = "fine" in marks["da-capo"].casefold()
            return wants_fine and "fine" not in met
        if "dal-segno" in marks:
            return "segno" not in met
    return False


def cut_movement(root: etree._Element, starts: tuple[int, ...], which: int) -> etree._Element:
    """A copy of a ``score-partwise`` tree with the measures of one movement only.

    Signatures, clefs and transpositions in force at its beginning are written into its first
    bar; its title is the file's with its number and first tempo words.
    """
    first = starts[which]
    last = starts[which + 1] if which + 1 < len(starts) else None
    cut = etree.Element(str(root.tag), {str(k): str(v) for k, v in root.attrib.items()})
    for child in root:
        if child.tag != "part":
            if child.tag not in ("credit", "movement-title", "movement-number"):
                cut.append(copy.deepcopy(child))
            continue
        part = etree.SubElement(cut, "part", id=child.get("id", ""))
        measures = child.findall("measure")
        in_force = _in_force(measures[:first])
        part.extend(copy.deepcopy(measure) for measure in measures[first:last])
        if len(part) and in_force:
            _carry_in(part[0], in_force)
    _set_title(cut, f"{_title(root)}: {_own_title(cut, which + 1)}".rstrip(". "))
    return cut


def _in_force(measures: list[etree._Element]) -> dict[tuple[str, str], etree._Element]:
    found: dict[tuple[str, str], etree._Element] = {}
    for measure in measures:
        for attributes in measure.findall("attributes"):
            for child in attributes:
                if child.tag in _CARRIED:
                    found[str(child.tag), child.get("number", "")] = child
    return found


def _carry_in(measure: etree._Element, in_force: dict[tuple[str, str], etree._Element]) -> None:
    opening = next(iter(measure), None)
    if opening is None or opening.tag != "attributes":
        opening = next((c for c in measure if c.tag in ("attributes", "note")), None)
    if opening is None or opening.tag != "attributes":
        opening = etree.Element("attributes")
        measure.insert(0, opening)
    stated = {(str(child.tag), child.get("number", "")) for child in opening}
    tags = {tag for tag, number in stated if not number}
    missing = [
        copy.deepcopy(child) for (tag, number), child in in_force.items()
        if (tag, number) not in stated and tag not in tags
    ]  # fmt: skip
    children = [*opening, *missing]
    for child in children:
        if child.tag == "time" and child in missing:
            child.set("print-object", "yes")
    opening[:] = sorted(children, key=lambda c: _CARRIED.index(c.tag) if c.tag in _CARRIED else len(_CARRIED))


def _title(root: etree._Element) -> str:
    titles = (fold(root.findtext(path)) for path in ("work/work-title", "movement-title"))
    return next((title for title in titles if title), "Movement")


def _own_title(cut: etree._Element, number: int) -> str:
    """The heading of a movement as printed, or its number, and its first tempo words."""
    tempo = _first_tempo(cut)
    for part in cut.findall("part"):
        measure = part.find("measure")
        for words in measure.iterfind("direction/direction-type/words") if measure is not None else ():
            text = fold(words.text)
            if _HEADING.match(text):
                return (
                    text if not tempo or tempo in text or text in tempo else f"{text.rstrip('. ')}. {tempo}"
                )
    return f"{number}. {tempo}"


def _first_tempo(root: etree._Element) -> str:
    """The words over the first bar that give its tempo, without a metronome mark begun in them."""
    for part in root.findall("part"):
        measure = part.find("measure")
        for direction in measure.findall("direction") if measure is not None else ():
            text = fold(" ".join(words.text or "" for words in direction.iterfind("direction-type/words")))
            sound = direction.find("sound")
            has_number = sound is not None and sound.get("tempo") is not None
            if text and (
                is_tempo(text) or has_number or direction.find("direction-type/metronome") is not None
            ):
                return re.sub(r"\s*\([^)]*$", "", text)
    return ""


def _set_title(root: etree._Element, title: str) -> None:
    work = root.find("work")
    if work is None:
        work = etree.Element("work")
        root.insert(0, work)
    element = work.find("work-title")
    if element is None:
        element = etree.SubElement(work, "work-title")
    element.text = title
