"""Who plays: ensembles, their sections and players, and what they have already met."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from enum import StrEnum
from typing import Any, Literal

LOWEST_LEVEL = 0.5
HIGHEST_LEVEL = 6.0

ExposureKind = Literal["performed", "rehearsed", "read", "heard"]


@dataclass(frozen=True, slots=True)
class Player:
    """One person's seat in a section.

    Somebody who sits in two ensembles, has moved to another section or has come back has several seats.

    Attributes:
        id: Identity of the seat; 0 before it is stored.
        name: Of the person, as called in the room.
        joined: First day on this seat; None when not known.
        left: First day no longer on it; None when still there.
        person: Identity of the person; 0 when only the name says who it is.
    """

    id: int
    name: str
    joined: date | None = None
    left: date | None = None
    person: int = 0

    @property
    def last_day(self) -> date | None:
        """The last day on this seat, as people say it; None when still there.

        Example:
            >>> Player(1, "Ida", left=date(2027, 6, 12)).last_day
            datetime.date(2027, 6, 11)
        """
        return self.left - timedelta(days=1) if self.left else None


class Role(StrEnum):
    """What a part of a score is to the group that reads it."""

    SECTION = "section"
    """One of the group's own lines: a section reads it."""
    SOLOIST = "soloist"
    """A solo line apart from the group."""
    ACCOMPANIST = "accompanist"
    """A keyboard, harp or guitar that accompanies the group, or a reduction of what it plays."""
    PRACTICE = "practice"
    """Printed for rehearsals, not read in performance."""


class StartKind(StrEnum):
    """What a section's starting level rests on."""

    WORD = "word"
    """The director's own number."""
    YEARS = "years"
    """How long its players have played."""
    LAST_YEAR = "last year"
    """Its level at the end of last year, carried over the summer."""
    PLACEMENT = "placement"
    """One reading of a part whose level is known."""


@dataclass(frozen=True, slots=True)
class StartBasis:
    """From what a starting level was worked out, as the director gave it.

    Attributes:
        kind: What it rests on.
        years: Years of playing, 0 or more; of ``YEARS``.
        level: Last year's level, or the level of the part read; of ``LAST_YEAR`` and ``PLACEMENT``.
        error: Standard error of last year's level; None when only the director's word stands behind it.
        share: Share of measures right, 0 to 1; of ``PLACEMENT``.
        weeks: Weeks since last year's level held; of ``LAST_YEAR``.
    """

    kind: StartKind = StartKind.WORD
    years: float | None = None
    level: float | None = None
    error: float | None = None
    share: float | None = None
    weeks: float | None = None


def basis_values(basis: StartBasis) -> dict[str, Any]:
    """A basis as JSON values by name, those that are not given left out.

    Example:
        >>> basis_values(StartBasis(StartKind.YEARS, years=2))
        {'kind': 'years', 'years': 2}
    """
    values = {name: getattr(basis, name) for name in ("years", "level", "error", "share", "weeks")}
    return {"kind": str(basis.kind)} | {name: value for name, value in values.items() if value is not None}


def basis_of(values: Mapping[str, Any]) -> StartBasis:
    """The basis that ``basis_values`` wrote; without values the director's word.

    Example:
        >>> basis_of({}).kind, basis_of({"kind": "years", "years": 2}).years
        (<StartKind.WORD: 'word'>, 2)
    """
    kind = StartKind(values.get("kind", StartKind.WORD))
    return StartBasis(kind, **{name: value for name, value in values.items() if name != "kind"})


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
        start_level: Level from which results move ``level``; None while no result is in.
        start_error: Standard error of ``start_level``; None when only the director's word stands behind it.
        start_on: Results before this date are already in ``start_level``; None counts all of them.
        start_basis: From what ``start_level`` was worked out.
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
    start_basis: StartBasis = StartBasis()


@dataclass(frozen=True, slots=True)
class Ensemble:
    """A band, orchestra or choir that reads together."""

    id: int
    name: str
    kind: str = "band"
    sections: tuple[Section, ...] = ()


@dataclass(frozen=True, slots=True)
class Exposure:
    """That a group, or one person of it, has met a piece.

    Attributes:
        ensemble_id, section_id: The group; no section means the whole ensemble.
        piece_id, how, on: What, how and when; None when the day is not known.
        note: Free words.
        person: The one person who met it; None for everyone of the group.
        id: Identity in the library; says nothing of what was met.
    """

    ensemble_id: int
    piece_id: int
    how: ExposureKind
    on: date | None = None
    section_id: int | None = None
    note: str = ""
    person: int | None = None
    id: int = field(default=0, compare=False)
