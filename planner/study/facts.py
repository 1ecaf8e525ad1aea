"""What the first questions of the study settled, bundled for the later ones.

Difficulty, spots and fit are asked last; they look at the whole piece through
this one value and never work anything out a second time.
"""

from dataclasses import dataclass

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

    def pulse_ticks(self, columns: Columns) -> Ints:
        """Every felt pulse of the written score in ticks, ascending."""
        starts = columns.measure_start.tolist()
        ticks = [start + pulse for start, inside in zip(starts, self.pulses, strict=True) for pulse in inside]
        return np.array(ticks, dtype=np.int64)
