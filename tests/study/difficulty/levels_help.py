"""A piece's facts without running the whole study, for tests of levels, limits and spots."""

from planner.core.profile import Roadmap, Tempo
from planner.study.facts import StudyFacts
from planner.study.notes.columns import columns_of
from planner.study.time.meter import find_meters


def facts_for(score, bpm=100.0, home_key="C major"):
    """Facts of a score at a steady tempo, played straight through."""
    meters = find_meters(columns_of(score))
    count = len(score.measures)
    return StudyFacts(
        meters=meters.spans, pulses=meters.pulses, roadmap=Roadmap(tuple(range(count))), home_key=home_key,
        keys=(), harmony=(), cadences=(), sections=(), phrases=(),
        tempo=Tempo(bpm, "quarter", int(bpm)), quarter_bpm=(bpm,) * count,
    )  # fmt: skip
