"""The count-off: one bar of beats, and the beats before a pickup."""

from fractions import Fraction
from math import ceil

from planner.core.profile import MeterSpan, PieceProfile
from planner.core.units import METRONOME_MARKS
from planner.services.day_page.strip import bar_quarters, pickup_quarters, tempo_at
from planner.wording.study.time import SHORTER_BEATS, VALUES

_LENGTHS = {
    **{name: length for length, name in VALUES.items()},
    **{f"dotted {name}": length * Fraction(3, 2) for length, name in VALUES.items()},
}
"""Quarters of each beat that a tempo may count."""


def meter_at(profile: PieceProfile, measure: int) -> MeterSpan | None:
    """The meter in force in a measure, of music on paper the first; None where the study tells of none."""
    if profile.is_on_paper:
        return next(iter(profile.meters), None)
    return next((each for each in reversed(profile.meters) if each.measure <= measure), None)


def is_counted_in_groups(meter: MeterSpan) -> bool:
    """Whether the page shows that a bar falls into groups of different lengths."""
    return len(set(meter.grouping)) > 1 and meter.source != "custom"


def count_off(profile: PieceProfile, measure: int = 0) -> tuple[tuple[int, ...], ...]:
    """What is counted before a reading, bar by bar: one bar, and with a pickup the beats that lead to it.

    In an uneven meter its groups are counted, each from 1 and as a bar of its own; nothing where only custom
    tells them and no beat fills the bar. A bar of one beat is counted by the units of its meter: nobody comes
    in after a single "1". A beat in which a pickup begins is counted too. Empty in free time and for music on
    paper.

    Source: common practice of counting off.

    Args:
        profile: The study.
        measure: The written measure with which the reading begins.
    """
    meter = meter_at(profile, measure)
    if meter is None or not meter.grouping:
        return ()
    if is_counted_in_groups(meter):
        return tuple(tuple(range(1, size + 1)) for size in meter.grouping)
    bar, beat = bar_quarters(meter.time), beat_quarters(profile, measure)
    beats = bar / beat if beat else Fraction(len(meter.grouping))
    if beats.denominator > 1:
        if len(set(meter.grouping)) > 1:
            return ()
        beats = Fraction(len(meter.grouping))
    if beats == 1 and meter.source != "custom":
        beats = Fraction(sum(meter.grouping))
    counts = tuple(range(1, int(beats) + 1))
    pickup = pickup_quarters(profile) if measure == 0 else Fraction(0)
    before = (bar - pickup) / (bar / beats)
    if not pickup or before < 1:
        return (counts,)
    return (counts, tuple(range(1, ceil(before) + 1)))


def beat_quarters(profile: PieceProfile, measure: int) -> Fraction:
    """The beat that the tempo of the first reading counts, in quarters; 0 where nothing tells it."""
    found, tempo = tempo_at(profile, measure), profile.tempo_bpm
    unit = (found.unit if found else tempo.unit).replace("-", " ")
    bpm = (found.first_reading if found else None) or tempo.first_reading or tempo.reading
    if bpm and bpm < METRONOME_MARKS[0] and unit in SHORTER_BEATS:
        unit = SHORTER_BEATS[unit][0]
    return _LENGTHS.get(unit, Fraction(0))
