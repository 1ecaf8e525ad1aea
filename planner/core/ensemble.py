"""Who plays: ensembles, their sections and players, and what they have already met."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

LOWEST_LEVEL = 0.5
HIGHEST_LEVEL = 6.0

ExposureKind = Literal["performed", "rehearsed", "read", "heard"]


@dataclass(frozen=True, slots=True)
class Player:
    """One person in a section. ``joined`` and ``left`` bound when they were in the room (None: open)."""

    id: int
    name: str
    joined: date | None = None
    left: date | None = None


@dataclass(frozen=True, slots=True)
class Section:
    """Players who read the same part.

    Attributes:
        id: Identity in the library; 0 before it is stored.
        name: As the director says it, e.g. ``"Clarinet 2"``.
        instrument: Id in the instrument table.
        chair: Which of several parts for the instrument it reads; 1 is the first.
        size: Number of players.
        level: Reading level, 0.5 to 6.0.
        level_error: Standard error of that level; None when only the director's word stands behind it.
        players: Those known by name; may be fewer than ``size``.
        start_level: The director's word from which results move ``level``; None while no result is in.
        start_error: Standard error of ``start_level``; None when only the director's word stands behind it.
        start_on: Results before this date are already in ``start_level``; None counts all of them.
    """

    id: int
    name: str
    instrument: str
    chair: int = 1
    size: int = 1
    level: float = 1.0
    level_error: float | None = None
    players: tuple[Player, ...] = ()
    start_level: float | None = None
    start_error: float | None = None
    start_on: date | None = None


@dataclass(frozen=True, slots=True)
class Ensemble:
    """A band, orchestra or choir that reads together."""

    id: int
    name: str
    kind: str = "band"
    sections: tuple[Section, ...] = ()


@dataclass(frozen=True, slots=True)
class Exposure:
    """That a group has met a piece. ``section_id`` None means the whole ensemble."""

    ensemble_id: int
    piece_id: int
    how: ExposureKind
    on: date | None = None
    section_id: int | None = None
    note: str = ""
