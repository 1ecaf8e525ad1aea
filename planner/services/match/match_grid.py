"""The library held against an ensemble as a grid: one row a piece, one cell a section, and why not.

All pieces are judged at once by what is stored of them (``core.asked``), and rows that are shown by the lines
of their parts: no study is opened.
"""

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from math import isinf

import numpy as np
from numpy.typing import NDArray

from planner.core.asked import Asked, PieceLines
from planner.core.ensemble import Ensemble, Exposure, Section
from planner.core.freshness import find_met_pieces
from planner.core.piece import Piece, PieceQuery
from planner.core.profile import PartProfile, PieceProfile, Roadmap, Tempo
from planner.core.term import Slot, Term, Wish
from planner.levels.many_readings import Bools, Floats
from planner.levels.readable import EASY_ABOVE, HARD_BELOW, Verdict
from planner.matching.library_fit import fit_library
from planner.matching.outlook import PartFit, PieceOutlook, outlook_of
from planner.services.plan.demands import Ladder, stored_shares
from planner.services.plan.freshness import Known, known_by_day
from planner.services.ports import UnitOfWork

Ints = NDArray[np.int64]

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
    def cost(self) -> float | None:
        """What reading it would cost today, as the plan counts; None when nobody reads."""
        return None if isinf(self.outlook.cost) else self.outlook.cost

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
    shown = table.piece_ids[found[query.offset : query.offset + PAGE_ROWS]].tolist()
    pieces, lines = work.pieces.get_all(shown), work.pieces.lines(shown)
    of_pieces = (each for each in work.corrections.levels() if not (each.part or each.dimension))
    own_levels = {each.piece_id: each.level for each in of_pieces}
    rows = [
        _row(table, pieces[i], lines.get(i, PieceLines(())), known.get(i), own_levels.get(i))
        for i in shown
        if i in pieces
    ]
    ready = int(table.is_ready.sum())
    return MatchGrid(
        ensemble=room.ensemble,
        query=query,
        rows=tuple(rows),
        total=len(found),
        ready=ready,
        left_out=len(table.piece_ids) - ready,
        counts=table.counts(),
        keys=work.pieces.choices().keys,
    )


def _known(work: UnitOfWork, room: GridRoom, fresh_for: int | None) -> Mapping[int, Known]:
    """Pieces that somebody can know on the day; of those a section met where it alone is asked."""
    if fresh_for == ANYBODY:
        return {}
    if fresh_for is None:
        days = known_by_day(work, room.ensemble, [room.on], term=room.term, today=room.on)
        return days[room.on]
    others = [e for e in work.ensembles.list_ensembles() if e.id != room.ensemble.id]
    results = work.results.list_results()
    read = (Exposure(r.ensemble_id, r.piece_id, "read", r.on, r.section_id) for r in results)
    exposures = [*work.ensembles.exposures(), *read]
    met = find_met_pieces(room.ensemble, exposures, room.on, others, section_id=fresh_for)
    return {piece: Known(exposure) for piece, exposure in met.items()}


class _Table:
    """Every piece of the library held against the sections at once, in order of title.

    Attributes:
        room: Who reads.
        piece_ids: Row by row.
        asked: What each asks of the ensemble.
        fit: How each suits it.
        why_not: For each reason where it holds.
        is_ready: Where none does.
        planned: By piece the day of this term on which it is planned.
    """

    def __init__(self, work: UnitOfWork, room: GridRoom, known: Collection[int], lost: float) -> None:
        stored, ids = work.pieces.asked(room.ensemble.id), work.pieces.find_ids(PieceQuery())
        self.room, self.limit = room, lost
        self.piece_ids = np.array(ids, dtype=np.int64)
        self.row_of = {piece_id: at for at, piece_id in enumerate(ids)}
        self.asked = [stored.get(piece_id, _NOTHING) for piece_id in ids]
        self.fit = fit_library(self.asked, room.ensemble)
        banned = {wish.piece_id for wish in room.wishes if wish.kind == "banned" and wish.on is None}
        self.why_not = self._why_not(known, banned, work.pieces.find_lacking())
        self.is_ready = ~np.logical_or.reduce([self.why_not[reason] for reason in WhyNot])
        self.planned = {slot.piece_id: slot.on for slot in room.slots if slot.on >= room.on}

    def _why_not(
        self, known: Collection[int], banned: Collection[int], lacks: Collection[int]
    ) -> Mapping[WhyNot, Bools]:
        fit, lacking = self.fit, self._among(lacks)
        is_known = fit.is_read | ((fit.covered == 0) & (fit.uncovered > 0))
        return {
            WhyNot.MET: self._among(known),
            WhyNot.NO_LEVEL: ~is_known & ~lacking,
            WhyNot.NOT_ENTERED: lacking,
            WhyNot.NOT_CAST: is_known & ~fit.is_covered,
            WhyNot.IDLE: is_known & fit.is_covered & ~fit.can_be_cast,
            WhyNot.LOST: fit.lost > self.limit,
            WhyNot.BANNED: self._among(banned),
        }

    def _among(self, pieces: Collection[int]) -> Bools:
        there = np.zeros(len(self.piece_ids), dtype=bool)
        there[[self.row_of[piece] for piece in pieces if piece in self.row_of]] = True
        return there

    def of(self, numbers: Iterable[float | None]) -> Floats:
        """Numbers of all rows; NaN for None."""
        return np.array([np.nan if each is None else each for each in numbers], dtype=np.float64)

    def counts(self) -> tuple[Mapping[Verdict, int], ...]:
        """For each section, of the pieces that are ready, how many are of each verdict."""
        share, has_part = self.fit.share[self.is_ready], self.fit.has_part[self.is_ready]
        verdicts = {
            Verdict.TOO_EASY: share > EASY_ABOVE,
            Verdict.TOO_HARD: share < HARD_BELOW,
            Verdict.JUST_READABLE: (share >= HARD_BELOW) & (share <= EASY_ABOVE),
            Verdict.UNKNOWN: has_part & np.isnan(share),
        }
        columns = range(len(self.room.ensemble.sections))
        return tuple(Counter({v: int(at[:, n].sum()) for v, at in verdicts.items()}) for n in columns)


_NOTHING = Asked(None)
"""What a piece asks of which nothing is worked out yet."""


def _asked_rows(work: UnitOfWork, table: _Table, query: GridQuery) -> Ints:
    """Rows of the pieces that are asked for."""
    everything = np.ones(len(table.piece_ids), dtype=bool)
    wanted = {Shown.READY: table.is_ready, Shown.LEFT_OUT: ~table.is_ready, Shown.ALL: everything}[query.show]
    if query.text or query.key:
        ids = work.pieces.find_ids(PieceQuery(text=query.text, key=query.key))
        wanted = wanted & np.isin(table.piece_ids, ids)
    if query.minutes is not None:
        wanted = wanted & (table.of(one.minutes for one in table.asked) <= query.minutes)
    if query.focus:
        wanted = wanted & _training(query.focus, table, wanted)
    return np.flatnonzero(wanted)


def _training(skill: str, table: _Table, wanted: Bools) -> Bools:
    """Where pieces train a skill as the plan has it: held against all that can be read."""
    able = np.flatnonzero(table.fit.is_read & table.fit.can_be_cast)
    ladder = Ladder({row: _skills(table.asked[row]) for row in able.tolist()})
    found = np.zeros(len(wanted), dtype=bool)
    looked_at = able[wanted[able]].tolist()
    found[[row for row in looked_at if skill in dict(ladder.trains(row))]] = True
    return found


def _skills(asked: Asked) -> Mapping[str, float]:
    """As ``demands.skill_shares``, the largest first."""
    return dict(sorted(stored_shares(asked).items(), key=lambda each: -each[1]))


def _in_order(table: _Table, rows: Ints, query: GridQuery) -> Ints:
    """The rows as they stand; those of which it is not known come last either way."""
    if query.order is Order.TITLE:
        return rows[::-1] if query.is_falling else rows
    places = _places(table, query.order)[rows]
    known = rows[~np.isnan(places)]
    values = places[~np.isnan(places)]
    in_order = known[np.argsort(-values if query.is_falling else values, kind="stable")]
    return np.concatenate([in_order, rows[np.isnan(places)]])


def _places(table: _Table, order: Order) -> Floats:
    """What rows are sorted by; NaN where it is not known."""
    match order:
        case Order.COST:
            return np.where(np.isinf(table.fit.cost), np.nan, table.fit.cost)
        case Order.LEVEL:
            return table.of(one.level for one in table.asked)
        case Order.MINUTES:
            return table.of(one.minutes for one in table.asked)
        case _:
            return table.fit.worst_share


def _row(
    table: _Table, piece: Piece, lines: PieceLines, known: Known | None, own_level: float | None
) -> GridRow:
    """The piece before every section, and why it is left out."""
    at = table.row_of[piece.id]
    met = known.exposure if known else None
    outlook = outlook_of(piece, _bare(piece, lines.parts), table.room.ensemble, met, own_level)
    cells, asked = _cells(outlook), table.asked[at]
    return GridRow(
        outlook=outlook,
        cells=cells,
        why_not=tuple(reason for reason in WhyNot if table.why_not[reason][at]),
        lost=tuple(sorted((c for c in cells if c.lost > table.limit), key=lambda c: c.share or 0.0)),
        known=known,
        planned_on=table.planned.get(piece.id),
        minutes=asked.minutes,
        skills=() if piece.is_on_paper else tuple(_skills(asked).items()),
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
