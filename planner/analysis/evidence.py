"""What is measured of a part once, and read by levels, limits, spots and technique alike."""

from collections import Counter
from dataclasses import dataclass

import numpy as np

from planner.analysis.columns import Columns, Floats, PartColumns
from planner.analysis.dim_page import attack_rates
from planner.analysis.dim_rhythm import RhythmFacts, beats_of, measure_rhythm
from planner.analysis.facts import StudyFacts
from planner.analysis.ranges import RangeFacts, instrument_of, measure_range
from planner.analysis.strands import Strand, strands_of
from planner.analysis.texture import Texture, measure_texture
from planner.core.instruments import Instrument


@dataclass(frozen=True, eq=False)
class PartEvidence:
    """One part that plays.

    Attributes:
        part: Its columns.
        instrument: Its row of the instrument table; None when not recognised.
        lines: Its strands: one, or one for each staff of a keyboard.
        rhythm: Rhythm of each strand.
        compass: Range and tessitura.
        rates: Attacks a second by written measure, shape ``(n_measures,)``.
    """

    part: PartColumns
    instrument: Instrument | None
    lines: tuple[Strand, ...]
    rhythm: tuple[RhythmFacts, ...]
    compass: RangeFacts
    rates: Floats

    @property
    def has_melody(self) -> bool:
        """Pitched, and not a drum tuned to a few pitches."""
        return self.part.is_pitched and not (self.instrument and self.instrument.id == "timpani")


@dataclass(frozen=True, eq=False)
class Evidence:
    """Every part of a score in order (None for one that never plays), and how they move together.

    ``shares`` is each part's weight in the piece: 1 shared out among the parts that double one line, 0 for
    a silent part; so a line that is doubled counts once.
    """

    parts: tuple[PartEvidence | None, ...]
    texture: Texture
    shares: tuple[float, ...] = ()


def gather(columns: Columns, facts: StudyFacts) -> Evidence:
    """Measure every part once."""
    strands, beats = strands_of(columns), beats_of(columns, facts)
    numbers = tuple(measure.number for measure in columns.score.measures)
    found: list[PartEvidence | None] = []
    for part, lines in zip(columns.parts, strands, strict=True):
        if not lines:
            found.append(None)
            continue
        rhythm = tuple(measure_rhythm(line, beats) for line in lines)
        rates = attack_rates(lines, columns, facts)
        found.append(
            PartEvidence(part, instrument_of(part), lines, rhythm, measure_range(part, numbers), rates)
        )
    return Evidence(tuple(found), measure_texture(columns, strands), _shares(strands))


def _shares(strands: tuple[tuple[Strand, ...], ...]) -> tuple[float, ...]:
    keys = [
        tuple((line.onset.tobytes(), np.nan_to_num(line.top % 12, nan=-1.0).tobytes()) for line in lines)
        for lines in strands
    ]
    count = Counter(keys)
    return tuple(1.0 / count[key] if key else 0.0 for key in keys)
