"""The library held against an ensemble as a grid: one row a piece, one cell a section, and why not.

All pieces are judged by their lines (name, instrument and level of each part), which opens no study; only the
rows that are shown, or that a skill or a length is asked of, are looked at whole.
"""

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from enum import StrEnum

from planner.core.ensemble import Ensemble, Exposure, Section
from planner.core.freshness import find_met_pieces
from planner.core.piece import Piece, PieceQuery
from planner.core.profile import PartProfile
from planner.core.term import Plan, Wish
from planner.levels.curve import TARGET_SHARE
from planner.levels.readable import Ask, Verdict, ask_of, reading_cost, verdict_of
from planner.matching.casting import Casting, cast_parts
from planner.matching.outlook import LEAST_BUSY, LEAST_COVERED, PieceOutlook, outlook_of
from planner.services.levels.in_force import outlines_and_corrections
from planner.services.ports import UnitOfWork
from planner.services.term.reading_time import reading_time
from planner.services.term.term_problem import skill_levels

PAGE_ROWS = 40
"""Rows of one page (house choice)."""

ANYBODY = -1
"""As ``GridQuery.fresh_for``: whether anybody knows a piece does not matter."""


class Shown(StrEnum):
    """Which pieces are shown."""

    READY = "ready"
    LEFT_OUT = "left-out"
    ALL = "all"


class Order(StrEnum):
    """What the rows stand by."""

    COST = "cost"
    TITLE = "title"
    LEVEL = "level"
    MINUTES = "minutes"
    WORST = "worst"


class WhyNot(StrEnum):
    """Why a piece is left out."""

    MET = "met"
    NOT_CAST = "not cast"
    IDLE = "idle"
    LOST = "lost"
    NO_LEVEL = "no level"
    BANNED = "banned"


@dataclass(frozen=True, slots=True)
class GridQuery:
    """What the grid is narrowed to, and in which order.

    Attributes:
        show: Which pieces.
        order: What they stand by; ``is_falling`` from the other end.
        focus: Only pieces that train this skill; empty for any.
        minutes: Only pieces that take so many minutes at most.
        key: Only pieces in this home key; empty for any.
        text: In title, composer or arranger.
        fresh_for: The section that must not know them; None everybody in the room; ``ANYBODY`` nobody is asked.
        offset: First row.
    """

    show: Shown = Shown.READY
    order: Order = Order.COST
    is_falling: bool = False
    focus: str = ""
    minutes: float | None = None
    key: str = ""
    text: str = ""
    fresh_for: int | None = None
    offset: int = 0


@dataclass(frozen=True, slots=True)
class GridCell:
    """One section before one piece.

    Attributes:
        section: Who reads.
        part: The hardest part it reads; empty where it has none.
        level: Level of that part.
        ask: What that part asks of it; None without a part, or where its level is unknown.
    """

    section: Section
    part: str = ""
    level: float | None = None
    ask: Ask | None = None

    @property
    def verdict(self) -> Verdict:
        """Too easy, just readable or too hard."""
        return verdict_of(self.ask.share if self.ask else None)


@dataclass(frozen=True, slots=True)
class GridRow:
    """One piece.

    Attributes:
        piece: Which.
        level: Its level for the ensemble.
        cells: One a section, in order of the ensemble.
        cost: What reading it would cost now, 0 when every section is right on the aim; None when nobody reads.
        why_not: Why it is left out; empty when it can be planned.
        met: That somebody in the room can know it.
        uncovered: Parts that nobody reads.
        lost: Sections that are likely to be lost, the worst first.
        planned_on: The day of this term on which it is planned.
        minutes: From "face up" to "pencils down"; None where its study was not looked at.
        skills: What it trains, the hardest first; empty where its study was not looked at.
        outlook: The piece looked at whole; None where it was not.
    """

    piece: Piece
    level: float | None
    cells: tuple[GridCell, ...]
    cost: float | None
    why_not: tuple[WhyNot, ...]
    met: Exposure | None = None
    uncovered: tuple[str, ...] = ()
    lost: tuple[GridCell, ...] = ()
    planned_on: date | None = None
    minutes: float | None = None
    skills: tuple[str, ...] = ()
    outlook: PieceOutlook | None = None

    @property
    def worst(self) -> GridCell | None:
        """The section that would get the fewest bars right."""
        return min((c for c in self.cells if c.ask), key=lambda c: c.ask.share if c.ask else 1, default=None)


@dataclass(frozen=True, slots=True)
class MatchGrid:
    """A page of the grid.

    Attributes:
        ensemble: Who reads.
        query: What was asked.
        rows: Of this page.
        total: Rows on all pages.
        ready, left_out: Pieces of the library that can be planned, and that are left out, whatever else was asked.
        counts: For each section, of the pieces that can be planned, how many are of each verdict.
        keys: Home keys to choose from.
    """

    ensemble: Ensemble
    query: GridQuery
    rows: tuple[GridRow, ...]
    total: int
    ready: int
    left_out: int
    counts: tuple[Mapping[Verdict, int], ...] = ()
    keys: tuple[str, ...] = ()

    @property
    def last(self) -> int:
        """Number of the last row of this page, counted from 1 over all pages."""
        return self.query.offset + len(self.rows)


@dataclass(frozen=True, slots=True)
class GridRoom:
    """Who reads, and what holds for all rows.

    Attributes:
        ensemble: Who.
        ensembles: All of the library, whose players may sit in this one too.
        on: The day whose players count.
        plan, wishes: Of the term in view.
    """

    ensemble: Ensemble
    ensembles: Sequence[Ensemble]
    on: date
    plan: Plan | None = None
    wishes: Sequence[Wish] = field(default=())


def match_grid(work: UnitOfWork, room: GridRoom, query: GridQuery, lost: float) -> MatchGrid:
    """A page of the library held against an ensemble.

    Args:
        work: An open unit of work; nothing is changed.
        room: Who reads, and when.
        query: What is shown.
        lost: Chance of being lost at which no section is given a part, 0 to 1.
    """
    pieces, _ = work.pieces.list_pieces(PieceQuery(limit=0))
    met = _met(work, room, query.fresh_for)
    lines, levels = work.pieces.lines(), work.pieces.levels_for(room.ensemble.id, [p.id for p in pieces])
    judge = _Judge(room, met, levels, lost)
    rows = [judge.row(piece, lines.get(piece.id, ())) for piece in pieces]
    found = [row for row in rows if _is_asked(row, query)]
    if query.focus or query.minutes is not None:
        found = [row for row in _looked_at(work, room, found) if _has_skill_and_length(row, query)]
    page = _in_order(found, query)[query.offset : query.offset + PAGE_ROWS]
    if page and page[0].outlook is None:
        page = _looked_at(work, room, page)
    ready = [row for row in rows if not row.why_not]
    return MatchGrid(
        ensemble=room.ensemble,
        query=query,
        rows=tuple(page),
        total=len(found),
        ready=len(ready),
        left_out=len(rows) - len(ready),
        counts=_counts(room.ensemble, ready),
        keys=tuple(sorted({piece.home_key for piece in pieces if piece.home_key})),
    )


def _met(work: UnitOfWork, room: GridRoom, fresh_for: int | None) -> Mapping[int, Exposure]:
    if fresh_for == ANYBODY:
        return {}
    others = [e for e in room.ensembles if e.id != room.ensemble.id]
    read = (Exposure(r.ensemble_id, r.piece_id, "read", r.on, r.section_id) for r in work.results.list_results())
    return find_met_pieces(
        room.ensemble, [*work.ensembles.exposures(), *read], room.on, others, section_id=fresh_for
    )


class _Judge:
    """Holds pieces against the sections, one by one."""

    def __init__(
        self,
        room: GridRoom,
        met: Mapping[int, Exposure],
        levels: Mapping[int, float | None],
        lost: float,
    ) -> None:
        self.room, self.met, self.levels, self.lost = room, met, levels, lost
        slots = room.plan.slots if room.plan else ()
        self.planned = {slot.piece_id: slot.on for slot in slots if slot.on >= room.on}
        self.banned = {wish.piece_id for wish in room.wishes if wish.kind == "banned" and wish.on is None}

    def row(self, piece: Piece, parts: Sequence[PartProfile]) -> GridRow:
        """The piece before every section, and why it is left out."""
        sections = self.room.ensemble.sections
        casting = cast_parts(parts, sections)
        cells = _cells(casting, parts, sections)
        asks = [cell.ask for cell in cells if cell.ask]
        lost = [cell for cell in cells if cell.ask and cell.ask.lost > self.lost]
        return GridRow(
            piece=piece,
            level=self.levels.get(piece.id),
            cells=cells,
            cost=reading_cost(asks, TARGET_SHARE) if asks else None,
            why_not=tuple(self._why_not(piece, parts, casting, asks, lost)),
            met=self.met.get(piece.id),
            uncovered=tuple(part.part for part in casting.uncovered),
            lost=tuple(sorted(lost, key=lambda cell: cell.ask.share if cell.ask else 0.0)),
            planned_on=self.planned.get(piece.id),
        )

    def _why_not(
        self,
        piece: Piece,
        parts: Sequence[PartProfile],
        casting: Casting,
        asks: Sequence[Ask],
        lost: Sequence[GridCell],
    ) -> list[WhyNot]:
        covered = len({reading.part for reading in casting.readings})
        busy, everybody = _players(self.room.ensemble, {r.section_id for r in casting.readings})
        is_known = bool(parts) and (bool(asks) or not covered)
        reasons = {
            WhyNot.MET: piece.id in self.met,
            WhyNot.NO_LEVEL: not is_known,
            WhyNot.NOT_CAST: is_known
            and (not covered or covered < LEAST_COVERED * (covered + len(casting.uncovered))),
            WhyNot.IDLE: is_known and covered > 0 and busy < LEAST_BUSY * everybody,
            WhyNot.LOST: bool(lost),
            WhyNot.BANNED: piece.id in self.banned,
        }
        return [reason for reason, holds in reasons.items() if holds]


def _players(ensemble: Ensemble, reading: Collection[int]) -> tuple[int, int]:
    """Players that read, and all players."""
    busy = sum(section.size for section in ensemble.sections if section.id in reading)
    return busy, sum(section.size for section in ensemble.sections)


def _cells(
    casting: Casting, parts: Sequence[PartProfile], sections: Sequence[Section]
) -> tuple[GridCell, ...]:
    levels = {part.name: part.level for part in parts}
    hardest: dict[int, tuple[float, str]] = {}
    reads: dict[int, str] = {}
    for reading in casting.readings:
        reads.setdefault(reading.section_id, reading.part)
        level = levels.get(reading.part)
        if level is not None and level > hardest.get(reading.section_id, (0.0, ""))[0]:
            hardest[reading.section_id] = (level, reading.part)
    return tuple(_cell(section, hardest.get(section.id), reads.get(section.id, "")) for section in sections)


def _cell(section: Section, hardest: tuple[float, str] | None, reads: str) -> GridCell:
    if hardest is None:
        return GridCell(section, reads)
    level, part = hardest
    return GridCell(section, part, level, ask_of(section.level, level, section.level_error or 0.0))


def _is_asked(row: GridRow, query: GridQuery) -> bool:
    wanted = {Shown.READY: not row.why_not, Shown.LEFT_OUT: bool(row.why_not), Shown.ALL: True}
    words = f"{row.piece.title} {row.piece.composer} {row.piece.arranger}".casefold()
    return (
        wanted[query.show]
        and (not query.key or row.piece.home_key == query.key)
        and query.text.casefold() in words
    )


def _has_skill_and_length(row: GridRow, query: GridQuery) -> bool:
    is_short = query.minutes is None or (row.minutes is not None and row.minutes <= query.minutes)
    return is_short and (not query.focus or query.focus in row.skills)


def _in_order(rows: Sequence[GridRow], query: GridQuery) -> list[GridRow]:
    """The rows as they stand; those of which it is not known come last either way."""
    places = {row.piece.id: _place(row, query.order) for row in rows}
    known = [row for row in rows if places[row.piece.id] is not None]
    known.sort(key=lambda row: (row.piece.title.casefold(), row.piece.id))
    known.sort(key=lambda row: places[row.piece.id] or 0.0, reverse=query.is_falling)
    if query.order is Order.TITLE and query.is_falling:
        known.reverse()
    return [*known, *(row for row in rows if places[row.piece.id] is None)]


def _place(row: GridRow, order: Order) -> float | None:
    """What a row is sorted by; by title it is nothing else."""
    match order:
        case Order.COST:
            return row.cost
        case Order.LEVEL:
            return row.level
        case Order.MINUTES:
            return row.piece.playing_seconds if row.minutes is None else row.minutes
        case Order.WORST:
            return row.worst.ask.share if row.worst and row.worst.ask else None
        case Order.TITLE:
            return 0.0


def _counts(ensemble: Ensemble, rows: Sequence[GridRow]) -> tuple[Mapping[Verdict, int], ...]:
    columns = range(len(ensemble.sections))
    return tuple(Counter(row.cells[at].verdict for row in rows if row.cells[at].part) for at in columns)


def _looked_at(work: UnitOfWork, room: GridRoom, rows: Sequence[GridRow]) -> list[GridRow]:
    """The rows with what only their studies tell; one without a study stays as it is."""
    profiles, corrections = outlines_and_corrections(work, [row.piece for row in rows])
    found = []
    for row in rows:
        profile = profiles.get(row.piece.id)
        if profile is None:
            found.append(row)
            continue
        own = corrections.own_level(row.piece.id)
        outlook = outlook_of(row.piece, profile, room.ensemble, row.met, own)
        minutes = reading_time(profile, outlook.level).minutes
        by_level = sorted(skill_levels(profile).items(), key=lambda item: -item[1].level)
        near = [name for name, each in by_level if each.level >= (profile.level or 0.0) - 0.25]
        found.append(replace(row, outlook=outlook, minutes=minutes, skills=tuple(near)))
    return found
