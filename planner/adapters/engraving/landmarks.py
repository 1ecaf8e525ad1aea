"""What every player's page shows although the file writes it once: letters, roadmap signs, tempos.

A score file often carries rehearsal letters, segno, coda, jumps and tempos in its
top part only; a printed part of any other instrument has them too.
"""

import re
from collections.abc import Sequence
from copy import deepcopy
from dataclasses import dataclass
from fractions import Fraction

from lxml import etree

_SIGNS = ("rehearsal", "segno", "coda", "metronome")
_JUMPS = ("dacapo", "dalsegno", "tocoda", "fine")
_JUMP_WORDS = re.compile(r"\b(d\.?\s?[cs]\.?|da capo|dal segno|fine|to coda|al coda)(?!\w)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Landmark:
    """A direction that belongs on every page.

    Attributes:
        measure: Position of the measure.
        onset_quarters: From the start of the measure.
        kinds: What it is: ``rehearsal``, ``segno``, ``coda``, ``jump``, ``tempo``.
        direction: The element as written.
    """

    measure: int
    onset_quarters: Fraction
    kinds: frozenset[str]
    direction: etree._Element


def find_landmarks(parts: Sequence[etree._Element]) -> tuple[Landmark, ...]:
    """Each landmark once: of parts that repeat it in a measure, the topmost speaks."""
    found: list[Landmark] = []
    seen: set[tuple[int, str]] = set()
    for part in parts:
        here = [mark for mark in _of_part(part) if not any((mark.measure, k) in seen for k in mark.kinds)]
        found += here
        seen.update((mark.measure, kind) for mark in here for kind in mark.kinds)
    return tuple(sorted(found, key=lambda mark: (mark.measure, mark.onset_quarters)))


def add_landmarks(part: etree._Element, first: int, landmarks: Sequence[Landmark]) -> None:
    """Put into a cut part, whose first measure stands at ``first``, the landmarks it lacks."""
    divisions = 1
    for position, measure in enumerate(part, start=first):
        divisions = _whole(measure.findtext("attributes/divisions")) or divisions
        own = {kind for d in measure.iterfind("direction") for kind in _kinds(d)}
        for mark in landmarks:
            if mark.measure == position and not mark.kinds & own:
                _insert(measure, mark, divisions)


def _of_part(part: etree._Element) -> list[Landmark]:
    found = []
    divisions = 1
    for position, measure in enumerate(part.iterfind("measure")):
        onset = Fraction(0)
        for element in measure:
            if element.tag == "attributes":
                divisions = _whole(element.findtext("divisions")) or divisions
            elif element.tag == "direction":
                kinds = _kinds(element)
                if kinds:
                    found.append(Landmark(position, onset, frozenset(kinds), element))
            else:
                onset += Fraction(_step(element), divisions)
    return found


def _kinds(direction: etree._Element) -> set[str]:
    kinds = {
        "tempo" if child.tag == "metronome" else str(child.tag)
        for child in direction.iterfind("direction-type/*")
        if child.tag in _SIGNS
    }
    sound = direction.find("sound")
    words = " ".join(w.text or "" for w in direction.iterfind("direction-type/words"))
    jumps = sound is not None and any(sound.get(name) for name in _JUMPS)
    if jumps or _JUMP_WORDS.search(words):
        kinds.add("jump")
    if words and sound is not None and sound.get("tempo"):
        kinds.add("tempo")
    return kinds


def _step(element: etree._Element) -> int:
    """How far an element moves the place in the measure, in divisions."""
    if element.tag == "note" and (element.find("chord") is not None or element.find("grace") is not None):
        return 0
    length = _whole(element.findtext("duration")) if element.tag in ("note", "forward", "backup") else 0
    return -length if element.tag == "backup" else length


def _whole(text: str | None) -> int:
    try:
        return max(0, round(float(text or 0)))
    except (ValueError, OverflowError):
        return 0


def _insert(measure: etree._Element, mark: Landmark, divisions: int) -> None:
    """Before the first note that begins no earlier; else at the end of the measure."""
    copy = deepcopy(mark.direction)
    for tag in ("offset", "staff", "voice"):
        for element in copy.findall(tag):
            copy.remove(element)
    onset = Fraction(0)
    for place, element in enumerate(measure):
        if element.tag == "note" and onset >= mark.onset_quarters:
            measure.insert(place, copy)
            return
        if element.tag == "backup":
            measure.insert(place, copy)
            return
        onset += Fraction(_step(element), divisions)
    measure.append(copy)
