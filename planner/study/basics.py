"""The facts that levels, criteria and checks rest on, without the rest of the study."""

from planner.study.facts import StudyFacts
from planner.study.notes.columns import Columns
from planner.study.roadmap.play_order import find_play_order
from planner.study.time.meter import find_meters
from planner.study.time.tempo import find_tempo
from planner.study.tonal.keys import find_keys


def basic_facts(columns: Columns) -> StudyFacts:
    """Meters, order of play, keys and tempo as the study settles them; no harmony, form or patterns.

    Example:
        >>> from planner.study.notes.columns import columns_of
        >>> from planner.core.score import Score
        >>> basic_facts(columns_of(Score("Empty", (), ()))).home_key
        ''
    """
    meters, keys = find_meters(columns), find_keys(columns)
    tempo = find_tempo(columns, meters.spans)
    return StudyFacts(
        meters=meters.spans, pulses=meters.pulses, roadmap=find_play_order(columns.score).roadmap,
        home_key=keys.home_key, keys=keys.spans, harmony=(), cadences=(), sections=(), phrases=(),
        tempo=tempo.tempo, quarter_bpm=tempo.quarter_bpm,
    )  # fmt: skip
