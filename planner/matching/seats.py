"""What a piece asks of the seats of an ensemble: worked out once for each piece, and stored."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from planner.core.asked import UNKNOWN, packed
from planner.core.ensemble import Section
from planner.core.profile import PartProfile
from planner.matching.casting import CastPart, cast_parts
from planner.matching.for_whom import level_of_readings
from planner.matching.outlook import pitches_read


@dataclass(frozen=True, slots=True)
class Seated:
    """Who reads what of a piece, as far as thousands of pieces are looked at by it.

    Attributes:
        readings: Who reads which part.
        uncovered: How many parts nobody reads.
        level: Level of what is read; None when no part that is read has one.
    """

    readings: tuple[CastPart, ...]
    uncovered: int
    level: float | None

    @property
    def covered(self) -> int:
        """How many parts somebody reads."""
        return len({reading.part for reading in self.readings})


def seat_parts(parts: Sequence[PartProfile], sections: Sequence[Section]) -> Seated:
    """Who reads what.

    Args:
        parts: Of the piece, with the levels in force.
        sections: Of the ensemble.
    """
    casting = cast_parts(parts, sections)
    level = level_of_readings(parts, casting.readings).level
    return Seated(casting.readings, len(casting.uncovered), level)


def packed_seats(
    parts: Sequence[PartProfile], sections: Sequence[Section], readings: Sequence[CastPart]
) -> bytes:
    """The seats as ``core.asked.Asked`` has them.

    Args:
        parts: Of the piece, with the levels in force.
        sections: Of the ensemble.
        readings: Who reads which of the parts.
    """
    by_name = {part.name: part for part in parts}
    of_section: dict[int, list[CastPart]] = {}
    for reading in readings:
        of_section.setdefault(reading.section_id, []).append(reading)
    by_id = {section.id: section for section in sections}
    numbers: list[float] = []
    for section_id, own in of_section.items():
        numbers += [section_id, *_hardest(own, by_name), *_ends(by_id[section_id], own, by_name)]
    return packed(numbers)


def _hardest(readings: Sequence[CastPart], parts: Mapping[str, PartProfile]) -> tuple[float, float]:
    """Level and error of the hardest part, the first of several as hard."""
    known = [part for each in readings if (part := parts[each.part]).level is not None]
    hardest = max(known, key=lambda part: part.level or 0.0, default=None)
    return (UNKNOWN, 0.0) if hardest is None else (hardest.level or 0.0, hardest.level_error or 0.0)


def _ends(
    section: Section, readings: Sequence[CastPart], parts: Mapping[str, PartProfile]
) -> tuple[float, float]:
    """The lowest and the highest pitch of all parts, as the section reads them."""
    ends = [found for each in readings if (found := pitches_read(section, each, parts[each.part]))]
    if not ends:
        return UNKNOWN, UNKNOWN
    return float(min(low.midi for low, _ in ends)), float(max(high.midi for _, high in ends))
