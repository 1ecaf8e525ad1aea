"""The library held against an ensemble as a grid: one row a piece, one cell a section, and why not.

All pieces are judged by their lines (what casting and matching look at in each part), which opens no study;
only rows that are shown, or of which a skill or a length is asked, are looked at whole.
"""

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from math import isinf

from planner.core.ensemble import Ensemble, Exposure, Section
from planner.core.freshness import find_met_pieces
from planner.core.piece import Piece, PieceQuery
from planner.core.profile import PartProfile, PieceProfile, Roadmap, Tempo
from planner.core.term import Plan, Term, Wish
from planner.levels.readable import Verdict
from planner.matching.outlook import LEAST_COVERED, PartFit, PieceOutlook, outlook_of
from planner.services.levels.in_force import outlines_and_corrections
from planner.services.plan.demands import Ladder, skill_shares
from planner.services.plan.freshness import Known, known_by_day
from planner.services.plan.reading_time import reading_time
from planner.services.ports import UnitOfWork
from planner.study.fit.fit import measure_reading

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
        outlook: As the ensemble would meet it today; its profile holds only parts until looked at whole.
        cells: One a section, in order of the ensemble.
        why_not: Why it is left out; empty when it can be planned.
        lost: Sections that are likely to be lost, the worst first.
        known: How somebody in the room can know it; None when it is fresh.
        planned_on: The day of this term on which it is planned.
        minutes: From "face up" to "pencils down"; None where its study was not looked at.
        skills: Share of the level of what is read that each skill makes, the largest first; empty where its
            study was not looked at.
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
        term, plan, wishes: The term in view, if any.
    """

    ensemble: Ensemble
    on: date
    term: Term | None = None
    plan: Plan | None = None
    wishes: Sequence[Wish] = ()


def match_grid(work: UnitOfWork, room: GridRoom, query: GridQuery, lost: float) -> MatchGrid:
    """A page of the library held against an ensemble.

    Args:
        work: An open unit of work; nothing is changed.
        room: Who reads, and when.
        query: What is shown.
        lost: Chance of being lost at which no section is given a part, 0 to 1.
    """
    pieces, _ = work.pieces.list_pieces(PieceQuery(limit=0))
    known = _known(work, room, query.fresh_for)
    lines = work.pieces.lines()
    of_pieces = (each for each in work.corrections.levels() if not (each.part or each.dimension))
    own = {each.piece_id: each.level for each in of_pieces}
    judge = _Judge(room, known, own, lost)
    rows = [judge.row(piece, lines.get(piece.id, ())) for piece in pieces]
    found = [row for row in rows if _is_asked(row, query) and _may_fit(row, query.minutes)]
    if query.focus:
        found = _training(query.focus, _looked_at(work, room, rows), {row.piece.id for row in found})
    elif query.minutes is not None:
        found = _looked_at(work, room, found)
    if query.minutes is not None:
        found = [row for row in found if row.minutes is not None and row.minutes <= query.minutes]
    page = _in_order(found, query)[query.offset : query.offset + PAGE_ROWS]
    if not (query.focus or query.minutes is not None):
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


class _Judge:
    """Holds pieces against the sections, one by one."""

    def __init__(
        self,
        room: GridRoom,
        known: Mapping[int, Known],
        own_levels: Mapping[int, float],
        lost: float,
    ) -> None:
        self.room, self.known, self.own_levels, self.lost = room, known, own_levels, lost
        slots = room.plan.slots if room.plan else ()
        self.planned = {slot.piece_id: slot.on for slot in slots if slot.on >= room.on}
        self.banned = {wish.piece_id for wish in room.wishes if wish.kind == "banned" and wish.on is None}

    def row(self, piece: Piece, parts: Sequence[PartProfile]) -> GridRow:
        """The piece before every section, and why it is left out."""
        known = self.known.get(piece.id)
        met = known.exposure if known else None
        own = self.own_levels.get(piece.id)
        outlook = outlook_of(piece, _bare(piece, parts), self.room.ensemble, met, own)
        cells = _cells(outlook)
        lost = sorted((c for c in cells if c.lost > self.lost), key=lambda c: c.share or 0.0)
        return GridRow(
            outlook=outlook,
            cells=cells,
            why_not=tuple(self._why_not(outlook, lost)),
            lost=tuple(lost),
            known=known,
            planned_on=self.planned.get(piece.id),
        )

    def _why_not(self, outlook: PieceOutlook, lost: Sequence[GridCell]) -> list[WhyNot]:
        covered = len({fit.cast.part for fit in outlook.fits})
        is_known = bool(outlook.readings) or bool(outlook.profile.parts and not covered)
        reasons = {
            WhyNot.MET: outlook.met is not None,
            WhyNot.NO_LEVEL: not is_known and bool(outlook.profile.parts),
            WhyNot.NOT_ENTERED: bool(outlook.piece.lacks),
            WhyNot.NOT_CAST: is_known and covered < LEAST_COVERED * (covered + len(outlook.uncovered)),
            WhyNot.IDLE: is_known and not outlook.can_be_cast,
            WhyNot.LOST: bool(lost),
            WhyNot.BANNED: outlook.piece.id in self.banned,
        }
        if reasons[WhyNot.NOT_CAST]:
            reasons[WhyNot.IDLE] = False
        return [reason for reason, holds in reasons.items() if holds]


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


def _is_asked(row: GridRow, query: GridQuery) -> bool:
    wanted = {Shown.READY: not row.why_not, Shown.LEFT_OUT: bool(row.why_not), Shown.ALL: True}
    words = f"{row.piece.title} {row.piece.composer} {row.piece.arranger}".casefold()
    return (
        wanted[query.show]
        and (not query.key or row.piece.home_key == query.key)
        and query.text.casefold() in words
    )


def _may_fit(row: GridRow, minutes: float | None) -> bool:
    """Whether a piece could fit into so many minutes, were its readings at the marked tempo.

    They are never quicker, so that no study need be opened of a piece for which even this is too long.
    """
    if minutes is None or row.level is None:
        return True
    return measure_reading(row.piece.playing_seconds / 60.0, 1.0, row.level).total <= minutes


def _training(skill: str, rows: Sequence[GridRow], wanted: Collection[int]) -> list[GridRow]:
    """Of the wanted pieces those that train a skill as the plan has it: held against all that can be read."""
    able = [row for row in rows if row.outlook.readings and row.outlook.can_be_cast]
    ladder = Ladder([row.outlook for row in able])
    return [row for row in able if row.piece.id in wanted and skill in dict(ladder.trains(row.piece.id))]


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
            return row.worst.share if row.worst else None
        case Order.TITLE:
            return 0.0


def _counts(ensemble: Ensemble, rows: Sequence[GridRow]) -> tuple[Mapping[Verdict, int], ...]:
    columns = range(len(ensemble.sections))
    return tuple(Counter(row.cells[at].verdict for row in rows if row.cells[at].part) for at in columns)


def _looked_at(work: UnitOfWork, room: GridRoom, rows: Sequence[GridRow]) -> list[GridRow]:
    """The rows with what only their studies tell; one without a study stays as it is."""
    profiles, corrections = outlines_and_corrections(work, [row.piece for row in rows])
    return [
        _look_at(row, profiles[row.piece.id], room.ensemble, corrections.own_level(row.piece.id))
        if row.piece.id in profiles
        else row
        for row in rows
    ]


def _look_at(row: GridRow, profile: PieceProfile, ensemble: Ensemble, own_level: float | None) -> GridRow:
    outlook = outlook_of(row.piece, profile, ensemble, row.outlook.met, own_level)
    shares = skill_shares(outlook).items()
    return replace(
        row,
        outlook=outlook,
        minutes=None if "minutes" in row.piece.lacks else reading_time(profile, outlook.level).minutes,
        skills=() if row.piece.is_on_paper else tuple(sorted(shares, key=lambda item: -item[1])),
    )
