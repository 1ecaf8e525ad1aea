"""How hard a piece is for the sections that read it: the one definition for lists, match, plan and pages."""

from collections.abc import Sequence
from dataclasses import dataclass

from planner.core.ensemble import Ensemble, Role
from planner.core.profile import PartProfile
from planner.matching.casting import CastPart, read_parts
from planner.study.difficulty.roles import roles_of
from planner.study.difficulty.together import level_together


@dataclass(frozen=True, slots=True)
class LevelForEnsemble:
    """The level of a piece for one ensemble, and whose parts make it.

    Attributes:
        level: From 0.5 to 6; None when no section reads a part whose level is known.
        counted: Readings that make it, in the order of the casting.
        apart: Readings beside the group, a soloist's or an accompanist's, which do not.
    """

    level: float | None
    counted: tuple[CastPart, ...]
    apart: tuple[tuple[CastPart, Role], ...] = ()


READ_BY_NOBODY = LevelForEnsemble(None, ())


def level_of_readings(parts: Sequence[PartProfile], readings: Sequence[CastPart]) -> LevelForEnsemble:
    """The level of a piece for those who read it: of the parts they read, the weakest link weighing most.

    A line that two sections read counts twice, and the number of players counts for nothing: one oboist at
    the limit is the weakest link. A part that nobody reads does not count. What a soloist or an accompanist
    reads stands apart, unless nothing else is read.

    Args:
        parts: Of the piece, with the levels in force.
        readings: Who reads which of them.

    Source:
        The mean of ``study.difficulty.together``; that a section counts once, whatever its size, is a house
        choice.

    Example:
        >>> from planner.matching.casting import How
        >>> flute = PartProfile("Flute", "flute", 0, 40, None, None, 3.0)
        >>> tuba = PartProfile("Tuba", "tuba", 0, 40, None, None, 5.0)
        >>> level_of_readings([flute, tuba], [CastPart(1, "Flute", How.OWN)]).level
        3.0
    """
    playing = [part for part in parts if part.plays]
    roles = dict(zip((part.name for part in playing), roles_of(playing), strict=True))
    levels = {part.name: part.level for part in playing}
    known = [reading for reading in readings if levels.get(reading.part) is not None]
    group = [reading for reading in known if roles[reading.part] is Role.SECTION]
    beside = [(each, roles[each.part]) for each in known if roles[each.part] is not Role.SECTION]
    counted, apart = (group, beside) if group else (known, [])
    level = level_together([level for each in counted if (level := levels[each.part]) is not None])
    return LevelForEnsemble(level, tuple(counted), tuple(apart))


def level_for(parts: Sequence[PartProfile], ensemble: Ensemble) -> float | None:
    """The level of a piece for an ensemble; None when no section of it reads a part whose level is known.

    Args:
        parts: Of the piece, with the levels in force; of each only name, instrument, notes and level count.
        ensemble: Who reads.
    """
    return level_of_readings(parts, read_parts(parts, ensemble.sections)).level
