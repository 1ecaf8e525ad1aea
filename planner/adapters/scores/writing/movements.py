"""Where one movement ends and the next begins in a file that holds several, and each as a file of its own.

A new movement is taken to begin where a final bar line is followed by a bar
numbered 0 or 1 again, or by a new tempo word together with a new time or key
signature; a repeat, a Fine or an ending at that bar line speaks against it.
Source: common practice of engravers; music21, partitura and verovio do not look for movements.
"""

import copy
import re

from lxml import etree

from planner.adapters.scores.reading.draft import fold
from planner.adapters.scores.reading.printed_words import is_tempo, roadmap_kind

_CARRIED = (
    "divisions", "key", "time", "staves", "part-symbol", "instruments", "clef", "staff-details", "transpose",
    "for-part",
)  # fmt: skip
"""Children of ``attributes`` that stay in force, in the order MusicXML 4.0 prescribes."""


def movement_starts(root: etree._Element) -> tuple[int, ...]:
    """Positions of the measures at which a movement begins; ``(0,)`` for a single one."""
    part = root.find("part")
    measures = part.findall("measure") if part is not None else []
    starts = [0]
    highest = 0
    for index, measure in enumerate(measures):
        number = _number(measure)
        if index and _ends_movement(measures[index - 1]):
            restarts = number is not None and number <= 1 < highest
            if restarts or (not _has_repeat(measures[index - 1]) and _is_announced(root, index)):
                starts.append(index)
                highest = 0
        highest = max(highest, number or 0)
    return tuple(starts)


def _number(measure: etree._Element) -> int | None:
    found = re.fullmatch(r"\s*(\d{1,6})\s*", measure.get("number", ""))
    return int(found.group(1)) if found else None


def _ends_movement(measure: etree._Element) -> bool:
    return any(
        fold(bar.findtext("bar-style")) == "light-heavy" and bar.get("location", "right") == "right"
        for bar in measure.findall("barline")
    )


def _has_repeat(measure: etree._Element) -> bool:
    if any(
        bar.find("repeat") is not None or bar.find("ending") is not None for bar in measure.findall("barline")
    ):
        return True
    if any(sound.get("fine") for sound in measure.iter("sound")):
        return True
    return any(roadmap_kind(fold(words.text)) is not None for words in measure.iter("words"))


def _is_announced(root: etree._Element, index: int) -> bool:
    """A tempo word over any part, and a new time or key signature, at the head of a bar."""
    has_tempo = has_signature = False
    for part in root.findall("part"):
        measure = next(iter(part.findall("measure")[index : index + 1]), None)
        if measure is None:
            continue
        has_tempo = has_tempo or any(is_tempo(fold(words.text)) for words in measure.iter("words"))
        has_signature = has_signature or any(
            child.tag in ("time", "key")
            for attributes in measure.findall("attributes")
            for child in attributes
        )
    return has_tempo and has_signature


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
    _set_title(cut, f"{_title(root)}: {which + 1}. {_first_tempo(cut)}".rstrip(". "))
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
