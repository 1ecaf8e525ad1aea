"""What the pages of a MusicXML file show beside the notes, read without the project's own reader."""

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
        metronomes: Unit in quarters and beats a minute of the marks.
        clefs: Staff, and sign with line, such as ``"G2"``.
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
        bar.metronomes = [mark for each in measure.iter("metronome") for mark in _metronome(each)]
        bar.clefs = [
            (int(each.get("number") or 1), f"{each.findtext('sign')}{each.findtext('line')}")
            for each in measure.iter("clef")
        ]
        page.append(bar)
    return page


def _metronome(mark: ElementTree.Element) -> list[tuple[Fraction, float]]:
    unit, per_minute = UNITS.get(mark.findtext("beat-unit") or ""), mark.findtext("per-minute") or ""
    try:
        number = float(per_minute)
    except ValueError:
        return []
    dots = len(mark.findall("beat-unit-dot"))
    return [] if unit is None else [(Fraction(unit) * (2 - Fraction(1, 2**dots)), number)]
