"""The roadmap as a strip: passages in order of play, with what share of the time each takes."""

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from planner.core.fact import FactKind, Place
from planner.core.profile import PieceProfile, TempoSpan
from planner.wording.director.room import section_name
from planner.wording.words import bar_names, from_to, printed_ends

MOST_PASSAGES = 14
"""Passages of a strip that is cut at sections too; else at jumps alone. House choice: two rows."""


@dataclass(frozen=True, slots=True)
class Passage:
    """A passage in order of play.

    Attributes:
        first, last: Its written measures, both included.
        bars: Its printed bar numbers, a pickup left aside.
        name: The section that begins with it; empty for none.
        share: Share of the playing time, all passages together 1.
    """

    first: int
    last: int
    bars: str
    name: str
    share: float


def roadmap_strip(profile: PieceProfile, place: Place | None = None) -> tuple[Passage, ...]:
    """The passages of a piece in order of play; of a passage alone, that one cut at its sections.

    Args:
        profile: The study; of a piece on paper there is nothing to show.
        place: First and last measure where only these are read.
    """
    order = tuple(range(place[0], place[1] + 1)) if place else profile.roadmap.play_order
    if not order:
        return ()
    starts = {section.measure for section in profile.form}
    runs = _runs(order, starts)
    runs = runs if len(runs) <= MOST_PASSAGES else _runs(order, set())
    minutes = [sum(_minutes(profile, at) for at in range(first, last + 1)) for first, last in runs]
    names = {section.measure: section_name(section) for section in profile.form}
    numbers, total = bar_names(profile), sum(minutes)
    return tuple(
        Passage(
            first,
            last,
            from_to(*printed_ends(numbers, first, last)),
            names.get(first, ""),
            float(each / total),
        )
        for (first, last), each in zip(runs, minutes, strict=True)
    )


def _runs(order: tuple[int, ...], starts: set[int]) -> list[Place]:
    edges = [
        0,
        *(at + 1 for at, (a, b) in enumerate(pairwise(order)) if b != a + 1 or b in starts),
        len(order),
    ]
    return [(order[start], order[end - 1]) for start, end in pairwise(edges)]


def _minutes(profile: PieceProfile, measure: int) -> Fraction:
    """How long a measure lasts at the tempo of the first reading."""
    return _quarters(profile, measure) / Fraction(max(1.0, quarter_bpm_at(profile, measure)))


def _quarters(profile: PieceProfile, measure: int) -> Fraction:
    """The length of a measure by its signature; of a pickup its own."""
    if measure == 0 and (pickup := pickup_quarters(profile)):
        return pickup
    before = [meter for meter in profile.meters if meter.measure <= measure]
    return bar_quarters(before[-1].time) if before else Fraction(4)


def pickup_quarters(profile: PieceProfile) -> Fraction:
    """The length of the pickup; 0 without one."""
    found = [fact for fact in profile.facts if fact.kind is FactKind.PICKUP]
    return Fraction(found[0].number("quarters")).limit_denominator(96) if found else Fraction(0)


def bar_quarters(time: str) -> Fraction:
    """The length of a bar by its signature as the study writes it; 4 where it has none.

    Example:
        >>> [str(bar_quarters(each)) for each in ("3/4", "3+2/8", "2/4 + 3/8", "free")]
        ['3', '5/2', '7/2', '4']
    """
    if "/" not in time:
        return Fraction(4)
    found = Fraction(0)
    for part in time.split(" + "):
        beats, _, unit = part.partition("/")
        found += Fraction(4 * sum(int(each) for each in beats.split("+")), int(unit))
    return found


def tempo_at(profile: PieceProfile, measure: int) -> TempoSpan | None:
    """The tempo in force where a measure begins; None where the study tells of none."""
    return next((each for each in reversed(profile.tempos) if each.measure <= measure), None)


def quarter_bpm_at(profile: PieceProfile, measure: int) -> float:
    """Quarters a minute of the first reading in a measure."""
    found = tempo_at(profile, measure)
    if found is None:
        return float(profile.tempo_bpm.first_reading or profile.tempo_bpm.reading or 60)
    slower = found.first_reading / found.bpm if found.first_reading and found.bpm else 1.0
    return found.quarter_bpm * slower
