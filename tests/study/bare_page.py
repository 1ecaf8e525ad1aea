"""What the pages of a MusicXML file show beside the notes, read without the project's own reader."""

import re
from dataclasses import dataclass, field
from fractions import Fraction
from xml.etree import ElementTree

UNITS = {"whole": 4, "half": 2, "quarter": 1, "eighth": Fraction(1, 2), "16th": Fraction(1, 4)}
"""Beat units of metronome marks in quarters."""
JUMPS = ("dacapo", "dalsegno", "tocoda", "fine", "segno", "coda")
"""Attributes of ``sound`` that steer the order of play."""


@dataclass
class PageBar:
    """One measure on one part's page.

    Attributes:
        time: Signature in force, such as ``"3+2/8"``; empty before the first and for more than one sum.
        symbol: Its sign, such as ``cut``.
        is_implicit: Bar numbers pass over it.
        repeats: ``forward`` and ``backward`` repeat bars.
        endings: Numbers of the endings that start, as printed.
        jumps: Signs and jumps, as in ``JUMPS``.
        words: Words printed over the staff.
        metronomes: Unit in quarters and beats a minute of the marks, those in words among them.
        equations: The two notes, in quarters, of each mark that sets them equal.
        clefs: Staff, and sign with line, such as ``"G2"``.
        rehearsals: Rehearsal marks.
        right_bar: Style of the bar line at its end; empty for a plain one.
    """

    time: str = ""
    symbol: str = ""
    is_implicit: bool = False
    repeats: list[str] = field(default_factory=list)
    endings: list[str] = field(default_factory=list)
    jumps: list[str] = field(default_factory=list)
    words: list[str] = field(default_factory=list)
    metronomes: list[tuple[Fraction, float]] = field(default_factory=list)
    clefs: list[tuple[int, str]] = field(default_factory=list)
    equations: list[tuple[Fraction, Fraction]] = field(default_factory=list)
    rehearsals: list[str] = field(default_factory=list)
    right_bar: str = ""


def read_page(measures: list[ElementTree.Element]) -> list[PageBar]:
    """The page of one part, bar by bar."""
    page, time, symbol = [], "", ""
    for measure in measures:
        bar = PageBar(is_implicit=measure.get("implicit") == "yes")
        for element in measure.findall("attributes/time"):
            pairs = list(zip(element.findall("beats"), element.findall("beat-type"), strict=True))
            time = f"{pairs[0][0].text}/{pairs[0][1].text}" if len(pairs) == 1 else ""
            symbol = element.get("symbol") or ""
        bar.time, bar.symbol = time, symbol
        bar.repeats = [each.get("direction") or "" for each in measure.iter("repeat")]
        bar.endings = [e.get("number") or "" for e in measure.iter("ending") if e.get("type") == "start"]
        bar.jumps = [each.tag for each in measure.iter() if each.tag in ("segno", "coda")]
        bar.jumps += [jump for sound in measure.iter("sound") for jump in JUMPS if sound.get(jump)]
        bar.words = [" ".join((each.text or "").split()) for each in measure.iter("words")]
        bar.rehearsals = [" ".join((each.text or "").split()) for each in measure.iter("rehearsal")]
        lines = [each for each in measure.iter("barline") if each.get("location", "right") == "right"]
        bar.right_bar = "".join(each.findtext("bar-style") or "" for each in lines[:1])
        bar.metronomes = [mark for each in measure.iter("metronome") for mark in _metronome(each)]
        bar.clefs = [
            (int(each.get("number") or 1), f"{each.findtext('sign')}{each.findtext('line')}")
            for each in measure.iter("clef")
        ]
        bar.metronomes += [mark for each in measure.iter("direction") for mark in _in_words(each)]
        bar.equations = [pair for each in measure.iter("metronome") for pair in _equation(each)]
        page.append(bar)
    return page


def _equation(mark: ElementTree.Element) -> list[tuple[Fraction, Fraction]]:
    """The notes of a mark that sets two equal, in the order of the page."""
    notes: list[Fraction] = []
    for each in mark:
        if each.tag == "beat-unit":
            notes.append(Fraction(UNITS.get(each.text or "", 0)))
        elif each.tag == "beat-unit-dot" and notes:
            notes[-1] *= Fraction(3, 2)
    return [(notes[0], notes[1])] if len(notes) == 2 and all(notes) else []


def _in_words(direction: ElementTree.Element) -> list[tuple[Fraction, float]]:
    """A metronome mark whose note is a character. Source of the characters: SMuFL, Unicode."""
    words = "".join(each.text or "" for each in direction.iter("words"))
    empty = [each for each in direction.iter("metronome") if not each.findtext("per-minute")]
    if empty and (alone := re.search(r"\d\d+", words)):
        return [(Fraction(UNITS[empty[0].findtext("beat-unit") or ""]), float(alone.group()))]
    found = re.search("([\ueca3\ueca5\ueca7♩♪])\\s*([.\uecb7]?)\\D*(\\d+)", words)
    if found is None:
        return []
    unit = {"\ueca3": Fraction(2), "\ueca7": Fraction(1, 2), "♪": Fraction(1, 2)}.get(found[1], Fraction(1))
    return [(unit * (Fraction(3, 2) if found[2] else 1), float(found[3]))]


def _metronome(mark: ElementTree.Element) -> list[tuple[Fraction, float]]:
    unit, per_minute = UNITS.get(mark.findtext("beat-unit") or ""), mark.findtext("per-minute") or ""
    try:
        number = float(per_minute)
    except ValueError:
        return []
    dots = len(mark.findall("beat-unit-dot"))
    return [] if unit is None else [(Fraction(unit) * (2 - Fraction(1, 2**dots)), number)]
