"""What the first questions of the study settled, bundled for the later ones.

Difficulty, spots and fit are asked last; they look at the whole piece through
this one value and never work anything out a second time.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

import numpy as np

from planner.core.profile import (
    AccidentalUse,
    Cadence,
    FormSection,
    HarmonySpan,
    KeySpan,
    MeterSpan,
    Pattern,
    Phrase,
    Roadmap,
    Tempo,
)
from planner.study.notes.columns import Columns, Ints

Span = TypeVar("Span", MeterSpan, KeySpan)


@dataclass(frozen=True)
class StudyFacts:
    """Facts about one piece, all by written measure.

    Attributes:
        meters: Meter and grouping from each change on; empty in free time.
        pulses: For each measure, the ticks from its start at which a felt pulse falls, ascending,
            0 among them (7/8 felt 2+2+3 gives three). A pickup is counted back from its end.
        roadmap: Order of play.
        home_key: Such as ``"Bb major"``; empty when there is none.
        keys: Local keys, sounding.
        harmony: Chords, sounding.
        cadences: Points of rest.
        sections: Form.
        phrases: Phrases of the leading melody.
        tempo: As marked or implied; its reading tempos are not settled yet when difficulty is asked.
        quarter_bpm: For each measure, quarters a minute at the marked or implied tempo, above 0.
        accidentals: For each part, written accidentals worth knowing.
        patterns: For each part, its repeating patterns.
    """

    meters: tuple[MeterSpan, ...]
    pulses: tuple[tuple[int, ...], ...]
    roadmap: Roadmap
    home_key: str
    keys: tuple[KeySpan, ...]
    harmony: tuple[HarmonySpan, ...]
    cadences: tuple[Cadence, ...]
    sections: tuple[FormSection, ...]
    phrases: tuple[Phrase, ...]
    tempo: Tempo
    quarter_bpm: tuple[float, ...]
    accidentals: tuple[tuple[AccidentalUse, ...], ...] = ()
    patterns: tuple[tuple[Pattern, ...], ...] = ()

    def meter_at(self, measure: int) -> MeterSpan | None:
        """The meter in force in a measure; None in free time."""
        return _last_before(self.meters, measure)

    def key_at(self, measure: int) -> KeySpan | None:
        """The local key in force at the start of a measure."""
        return _last_before(self.keys, measure)

    @cached_property
    def times_played(self) -> Ints:
        """How often each written measure is played, shape ``(n_measures,)``."""
        order = np.array(self.roadmap.play_order, dtype=np.int64)
        return np.bincount(order, minlength=len(self.pulses)).astype(np.int64)

    def pulse_ticks(self, columns: Columns) -> Ints:
        """Every felt pulse of the written score in ticks, ascending."""
        starts = columns.measure_start.tolist()
        ticks = [start + pulse for start, inside in zip(starts, self.pulses, strict=True) for pulse in inside]
        return np.array(ticks, dtype=np.int64)


def _last_before(spans: tuple[Span, ...], measure: int) -> Span | None:
    found = None
    for span in spans:
        if span.measure > measure:
            break
        found = span
    return found
