"""The library held against an ensemble as a grid: one row a piece, one cell a section, and why not.

All pieces are judged at once by what is stored of them (``core.asked``), and rows that are shown by the lines
of their parts: no study is opened.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from math import isinf, isnan

from planner.core.asked import Asked, PieceLines
from planner.core.ensemble import Ensemble, Section
from planner.core.piece import Piece, PieceQuery
from planner.core.profile import PartProfile, PieceProfile, Roadmap, Tempo
from planner.core.term import Slot, Term, Wish
from planner.levels.readable import Verdict
from planner.matching.library_fit import fit_library
from planner.matching.outlook import PartFit, PieceOutlook, outlook_of
from planner.services.plan.demands import Ladder, stored_shares
from planner.services.plan.freshness import Known, known_by_day, known_to_section
from planner.services.ports.work import UnitOfWork

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
    NOT_ENTERED = "not entered"
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
        fresh_for: The section that must not know them; None for everybody in the room, ``ANYBODY`` where it
            does not matter.
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
        level: Level of that part; None unknown.
        share: Share of bars it should get right at first sight, 0 to 1; None unknown.
        lost: Chance that it is lost, 0 to 1.
        verdict: Too easy, just readable or too hard.
    """

    section: Section
    part: str = ""
    level: float | None = None
    share: float | None = None
    lost: float = 0.0
    verdict: Verdict = Verdict.UNKNOWN


@dataclass(frozen=True, slots=True)
class GridRow:
    """One piece.

    Attributes:
        outlook: As the ensemble would meet it today; its profile holds only parts.
        cells: One a section, in order of the ensemble.
        why_not: Why it is left out; empty when it can be planned.
        cost: What reading it would cost today, as the plan counts; None when nobody reads.
        lost: Sections that are likely to be lost, the worst first.
        known: How somebody in the room can know it; None when it is fresh.
        planned_on: The day of this term on which it is planned.
        minutes: From "face up" to "pencils down"; None where it has no study.
        skills: Share of the level of what is read that each skill makes, the largest first; empty where it
            has no study.
    """

    outlook: PieceOutlook
    cells: tuple[GridCell, ...]
    why_not: tuple[WhyNot, ...]
    cost: float | None = None
    lost: tuple[GridCell, ...] = ()
    known: Known | None = None
    planned_on: date | None = None
    minutes: float | None = None
    skills: tuple[tuple[str, float], ...] = ()

    @property
    def piece(self) -> Piece:
        """Which."""
        return self.outlook.piece

    @property
    def level(self) -> float | None:
        """Its level for the ensemble."""
        return self.outlook.level

    @property
    def worst(self) -> GridCell | None:
        """The section that would get the fewest bars right."""
        known = [cell for cell in self.cells if cell.share is not None]
        return min(known, key=lambda cell: cell.share or 0.0, default=None)


@dataclass(frozen=True, slots=True)
class MatchGrid:
    """A page of the grid.

    Attributes:
        ensemble: Who reads.
        query: What was asked.
        rows: Of this page.
        total: Rows on all pages.
        ready, left_out: Pieces that can be planned, and that are left out, whatever else was asked.
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
        on: The day whose players count.
        term, slots, wishes: The term in view, if any, and what its plan in force has.
    """

    ensemble: Ensemble
    on: date
    term: Term | None = None
    slots: Sequence[Slot] = ()
    wishes: Sequence[Wish] = ()


def match_grid(work: UnitOfWork, room: GridRoom, query: GridQuery, lost: float) -> MatchGrid:
    """A page of the library held against an ensemble.

    Args:
        work: An open unit of work; nothing is changed.
        room: Who reads, and when.
        query: What is shown.
        lost: Chance of being lost at which no section is given a part, 0 to 1.
    """
    known = _known(work, room, query.fresh_for)
    table = _Table(work, room, known, lost)
    found = _in_order(table, _asked_rows(work, table, query), query)
    shown = [table.piece_ids[row] for row in found[query.offset : query.offset + PAGE_ROWS]]
    pieces, lines = work.pieces.get_all(shown), work.pieces.lines(shown)
    rows = [_row(table, pieces[i], lines.get(i, PieceLines(())), known.get(i)) for i in shown if i in pieces]
    ready = len(table.ready)
    return MatchGrid(
        ensemble=room.ensemble,
        query=query,
        rows=tuple(rows),
        total=len(found),
        ready=ready,
        left_out=len(table.piece_ids) - ready,
        counts=table.fit.count_verdicts(table.ready),
        keys=table.keys,
    )


def _known(work: UnitOfWork, room: GridRoom, fresh_for: int | None) -> Mapping[int, Known]:
    """Pieces that somebody can know on the day; of those a section met where it alone is asked."""
    if fresh_for == ANYBODY:
        return {}
    if fresh_for is None:
        days = known_by_day(work, room.ensemble, [room.on], term=room.term, today=room.on)
        return days[room.on]
    return known_to_section(work, room.ensemble, fresh_for, room.on)


class _Table:
    """Every piece of the library held against the sections at once, in order of title.

    Attributes:
        room: Who reads.
        limit: Chance of being lost at which no section is given a part.
        piece_ids: Row by row.
        keys: The home keys that occur, in order.
        row_of: Their rows.
        asked: What each asks of the ensemble.
        fit: How each suits it.
        why_not: For each reason the rows where it holds.
        ready: Rows where none does.
        planned: By piece the day of this term on which it is planned.
    """

    def __init__(self, work: UnitOfWork, room: GridRoom, known: Collection[int], lost: float) -> None:
        stored = work.pieces.asked(room.ensemble.id)
        self.room, self.limit = room, lost
        every = work.pieces.in_brief()
        self.piece_ids = tuple(one.id for one in every)
        self.keys = tuple(sorted({one.home_key for one in every} - {""}))
        self.row_of = {piece_id: at for at, piece_id in enumerate(self.piece_ids)}
        self.asked = [stored.get(piece_id, _NOTHING) for piece_id in self.piece_ids]
        self.fit = fit_library(self.asked, room.ensemble)
        banned = {wish.piece_id for wish in room.wishes if wish.kind == "banned" and wish.on is None}
        self.why_not = self._why_not(known, banned, {one.id for one in every if one.is_lacking})
        left_out = frozenset().union(*self.why_not.values())
        self.ready = [row for row in range(len(self.piece_ids)) if row not in left_out]
        self.planned = {slot.piece_id: slot.on for slot in room.slots if slot.on >= room.on}

    def _why_not(
        self, known: Collection[int], banned: Collection[int], lacks: Collection[int]
    ) -> Mapping[WhyNot, frozenset[int]]:
        fit, lacking = self.fit, self.rows_of(lacks)
        is_known = fit.is_read | ((fit.covered == 0) & (fit.uncovered > 0))
        where = {
            WhyNot.NO_LEVEL: ~is_known,
            WhyNot.NOT_CAST: is_known & ~fit.is_covered,
            WhyNot.IDLE: is_known & fit.is_covered & ~fit.can_be_cast,
            WhyNot.LOST: fit.lost > self.limit,
        }
        found = {reason: frozenset(at.nonzero()[0].tolist()) for reason, at in where.items()}
        return {
            **found,
            WhyNot.MET: self.rows_of(known),
            WhyNot.NO_LEVEL: found[WhyNot.NO_LEVEL] - lacking,
            WhyNot.NOT_ENTERED: lacking,
            WhyNot.BANNED: self.rows_of(banned),
        }

    def rows_of(self, pieces: Collection[int]) -> frozenset[int]:
        """The rows of some pieces."""
        return frozenset(self.row_of[piece] for piece in pieces if piece in self.row_of)


_NOTHING = Asked(None)
"""What a piece asks of which nothing is worked out yet."""


def _asked_rows(work: UnitOfWork, table: _Table, query: GridQuery) -> list[int]:
    """Rows of the pieces that are asked for, in order of title."""
    every, ready = range(len(table.piece_ids)), frozenset(table.ready)
    left_out = (row for row in every if row not in ready)
    rows = list({Shown.READY: table.ready, Shown.LEFT_OUT: left_out, Shown.ALL: every}[query.show])
    if query.text or query.key:
        found = table.rows_of(work.pieces.find_ids(PieceQuery(text=query.text, key=query.key)))
        rows = [row for row in rows if row in found]
    if query.minutes is not None:
        rows = [row for row in rows if _within(table.asked[row].minutes, query.minutes)]
    return _training(query.focus, table, rows) if query.focus else rows


def _within(minutes: float | None, most: float) -> bool:
    return minutes is not None and minutes <= most


def _training(skill: str, table: _Table, rows: Sequence[int]) -> list[int]:
    """Of some rows those that train a skill as the plan has it: held against all that can be read."""
    able = (table.fit.is_read & table.fit.can_be_cast).nonzero()[0].tolist()
    shares = {row: stored_shares(table.asked[row]) for row in able}
    ladder = Ladder(shares)
    return [row for row in rows if row in shares and ladder.does_train(row, skill)]


def _in_order(table: _Table, rows: Sequence[int], query: GridQuery) -> list[int]:
    """The rows as they stand; those of which it is not known come last either way."""
    if query.order is Order.TITLE:
        return list(reversed(rows)) if query.is_falling else list(rows)
    places = _places(table, query.order)
    known = [row for row in rows if places[row] is not None]
    known.sort(key=lambda row: places[row] or 0.0, reverse=query.is_falling)
    return [*known, *(row for row in rows if places[row] is None)]


def _places(table: _Table, order: Order) -> Sequence[float | None]:
    """What rows are sorted by; None where it is not known."""
    match order:
        case Order.COST:
            return [None if isinf(cost) else cost for cost in table.fit.cost.tolist()]
        case Order.LEVEL:
            return [one.level for one in table.asked]
        case Order.MINUTES:
            return [one.minutes for one in table.asked]
        case _:
            return [None if isnan(share) else share for share in table.fit.worst_share.tolist()]


def _row(table: _Table, piece: Piece, lines: PieceLines, known: Known | None) -> GridRow:
    """The piece before every section, and why it is left out."""
    at = table.row_of[piece.id]
    met = known.exposure if known else None
    outlook = outlook_of(piece, _bare(piece, lines.parts), table.room.ensemble, met, table.asked[at].level)
    cells, asked = _cells(outlook), table.asked[at]
    shares, cost = stored_shares(asked).items(), float(table.fit.cost[at])
    return GridRow(
        outlook=outlook,
        cells=cells,
        why_not=tuple(reason for reason in WhyNot if at in table.why_not[reason]),
        cost=None if isinf(cost) else cost,
        lost=tuple(sorted((c for c in cells if c.lost > table.limit), key=lambda c: c.share or 0.0)),
        known=known,
        planned_on=table.planned.get(piece.id),
        minutes=asked.minutes,
        skills=() if piece.is_on_paper else tuple(sorted(shares, key=lambda each: -each[1])),
    )


def _bare(piece: Piece, parts: Sequence[PartProfile]) -> PieceProfile:
    """A profile in which only the parts are known."""
    return PieceProfile(
        title=piece.title,
        creators=(),
        measures=0,
        meters=(),
        roadmap=Roadmap(()),
        home_key=piece.home_key,
        keys=(),
        harmony=(),
        tempo_bpm=Tempo(None, "quarter", 0),
        playing_seconds=piece.playing_seconds,
        level=piece.level,
        parts=tuple(parts),
    )


def _cells(outlook: PieceOutlook) -> tuple[GridCell, ...]:
    reads = {fit.section.id: fit for fit in (*reversed(outlook.fits), *outlook.readings)}
    return tuple(_cell(section, reads.get(section.id)) for section in outlook.sections)


def _cell(section: Section, fit: PartFit | None) -> GridCell:
    if fit is None:
        return GridCell(section)
    return GridCell(section, fit.cast.part, fit.level, fit.share, fit.lost, fit.verdict)
