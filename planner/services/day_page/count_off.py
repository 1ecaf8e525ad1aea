"""The count-off: one bar of beats, and the beats before a pickup."""

from fractions import Fraction

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


def count_off(profile: PieceProfile, measure: int = 0) -> tuple[tuple[int, ...], ...]:
    """What is counted before a reading, bar by bar: one bar, and with a pickup the beats that lead to it.

    In an uneven meter its groups are counted, each from 1 and as a bar of its own. Empty in free time, and
    for music on paper.

    Args:
        profile: The study.
        measure: The written measure with which the reading begins.
    """
    meter = meter_at(profile, measure)
    if meter is None or not meter.grouping:
        return ()
    if len(set(meter.grouping)) > 1:
        return tuple(tuple(range(1, size + 1)) for size in meter.grouping)
    bar, beat = bar_quarters(meter.time), beat_quarters(profile, measure)
    beats = bar / beat if beat else Fraction(len(meter.grouping))
    if beats.denominator > 1:
        beats = Fraction(len(meter.grouping))
    counts = tuple(range(1, int(beats) + 1))
    pickup = pickup_quarters(profile) if measure == 0 else Fraction(0)
    before = (bar - pickup) / (bar / beats)
    if not pickup or before < 1:
        return (counts,)
    return (counts, tuple(range(1, int(before) + 1)))


def beat_quarters(profile: PieceProfile, measure: int) -> Fraction:
    """The beat that the tempo of the first reading counts, in quarters; 0 where nothing tells it."""
    found, tempo = tempo_at(profile, measure), profile.tempo_bpm
    unit = (found.unit if found else tempo.unit).replace("-", " ")
    bpm = (found.first_reading if found else None) or tempo.first_reading or tempo.reading
    if bpm and bpm < METRONOME_MARKS[0] and unit in SHORTER_BEATS:
        unit = SHORTER_BEATS[unit][0]
    return _LENGTHS.get(unit, Fraction(0))
