"""Whether there are copies enough of a piece for those who would read it."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from planner.matching.outlook import PieceOutlook

PLAYERS_A_STAND = 2
"""Players who read from one copy. Source: house choice; stands are shared by two."""


@dataclass(frozen=True, slots=True)
class ShortPart:
    """A part of which there are fewer copies than its readers need.

    Attributes:
        part: Its name.
        needed: Copies they need.
        copies: Copies there are.
    """

    part: str
    needed: int
    copies: int


def copies_needed(outlook: PieceOutlook) -> Mapping[str, int]:
    """Copies of each part that its readers need, by its name; no two sections share a stand."""
    readers: dict[str, dict[int, int]] = {}
    for fit in outlook.fits:
        readers.setdefault(fit.cast.part, {})[fit.section.id] = fit.section.size
    return {
        part: sum(math.ceil(size / PLAYERS_A_STAND) for size in sizes.values())
        for part, sizes in readers.items()
    }


def lacks_copies(copies: Mapping[str, int], outlook: PieceOutlook) -> tuple[ShortPart, ...]:
    """The parts of a piece of which an ensemble needs more copies than there are; none when it has enough.

    A part whose copies nobody counted has enough.

    Args:
        copies: Copies by name of the part, where they were counted.
        outlook: Who would read what.
    """
    return tuple(
        ShortPart(part, count, copies[part])
        for part, count in copies_needed(outlook).items()
        if copies.get(part, count) < count
    )


def sets_of(copies: Mapping[str, int], outlook: PieceOutlook) -> int:
    """Rooms that can have a piece at once: one, more where enough copies were counted, none where too few.

    For more than one, every part that is read must have been counted.
    """
    needed = copies_needed(outlook)
    if lacks_copies(copies, outlook):
        return 0
    if not needed or not copies.keys() >= needed.keys():
        return 1
    return min(copies[part] // count for part, count in needed.items())
