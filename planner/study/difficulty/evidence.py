"""What is measured of a part once, and read by levels, limits, spots and technique alike."""

from dataclasses import dataclass

from planner.core.instruments import Instrument
from planner.study.difficulty.rhythm_dimensions import RhythmFacts, beats_of, measure_rhythm
from planner.study.difficulty.roles import parts_of_group
from planner.study.difficulty.speed_dimensions import attack_rates
from planner.study.difficulty.texture import Texture, measure_texture
from planner.study.facts import StudyFacts
from planner.study.notes.attack_lines import AttackLine, attack_lines_of
from planner.study.notes.columns import Columns, Floats, PartColumns
from planner.study.notes.ranges import RangeFacts, family_of, instrument_of, measure_range


@dataclass(frozen=True, eq=False)
class PartEvidence:
    """One part that plays.

    Attributes:
        part: Its columns.
        instrument: Its row of the instrument table; None when not recognised.
        lines: Its lines_of_parts: one, or one for each staff of a keyboard.
        rhythm: Rhythm of each line.
        compass: Its range.
        rates: Attacks a second by written measure, shape ``(n_measures,)``.
    """

    part: PartColumns
    instrument: Instrument | None
    lines: tuple[AttackLine, ...]
    rhythm: tuple[RhythmFacts, ...]
    compass: RangeFacts
    rates: Floats

    @property
    def family(self) -> str:
        """Family of its instrument; several staves make an unknown one a keyboard; empty when unknown."""
        return family_of(self.part)

    @property
    def has_melody(self) -> bool:
        """Pitched, and not a drum tuned to a few pitches."""
        return self.part.is_pitched and not (self.instrument and self.instrument.id == "timpani")


@dataclass(frozen=True, eq=False)
class Evidence:
    """Every part of a score in order (None for one that never plays), and how they move together.

    ``group`` says of each part whether it is one of the group's own lines, see ``roles``; False for a silent
    part.
    """

    parts: tuple[PartEvidence | None, ...]
    texture: Texture
    group: tuple[bool, ...] = ()


def gather(columns: Columns, facts: StudyFacts) -> Evidence:
    """Measure every part once."""
    lines_of_parts, beats = attack_lines_of(columns), beats_of(columns, facts)
    found: list[PartEvidence | None] = []
    for part, lines in zip(columns.parts, lines_of_parts, strict=True):
        if not lines:
            found.append(None)
            continue
        rhythm = tuple(measure_rhythm(line, beats) for line in lines)
        rates = attack_rates(lines, columns, facts)
        found.append(PartEvidence(part, instrument_of(part), lines, rhythm, measure_range(part), rates))
    group = _group(columns, lines_of_parts)
    return Evidence(tuple(found), measure_texture(columns, lines_of_parts, beats.start, group), group)


def _group(columns: Columns, lines_of_parts: tuple[tuple[AttackLine, ...], ...]) -> tuple[bool, ...]:
    """Which parts are the group's own lines."""
    playing = [at for at, lines in enumerate(lines_of_parts) if lines]
    roles = parts_of_group([columns.parts[at].part for at in playing])
    own = {at for at, is_own in zip(playing, roles, strict=True) if is_own}
    return tuple(at in own for at in range(len(columns.parts)))
