"""A reading day and a term as they are shown: who reads what, with the study beside it."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from planner.core.ensemble import Ensemble, Section
from planner.core.piece import Piece
from planner.core.profile import PieceProfile
from planner.core.term import DayShape, Plan, Result, Slot, Term
from planner.errors import NotFoundError
from planner.scheduling.problem import OPEN_PIECE
from planner.services.ports.work import UnitOfWork


@dataclass(frozen=True, slots=True)
class SectionRow:
    """One section's line in the results form: what was logged, or None, and whether it is to be away."""

    section: Section
    result: Result | None
    is_away: bool = False


@dataclass(frozen=True, slots=True)
class SlotView:
    """A piece of the day with its study and the results so far.

    Attributes:
        slot: Where it is read, at stations for the first time.
        piece: What is read.
        profile: Its study.
        featured: The section with the tune; empty for none.
        rows: The sections that read it, and those that have a result of it.
        level: Of the piece for the ensemble.
        rooms: At stations, each round and station that reads it, such as ``(1, "Winds")``, rounds from 1.
    """

    slot: Slot
    piece: Piece
    profile: PieceProfile
    featured: str
    rows: tuple[SectionRow, ...]
    level: float | None
    rooms: tuple[tuple[int, str], ...] = ()


@dataclass(frozen=True, slots=True)
class LoggedPiece:
    """A piece that has results on a day although it is not planned there."""

    piece: Piece
    rows: tuple[SectionRow, ...]


@dataclass(frozen=True, slots=True)
class DayView:
    """One reading day of a term with the days around it, and what was read on it besides the plan.

    ``slots`` holds each piece once, also where several stations read it; ``shape`` is how the day differs.
    """

    term: Term
    ensemble: Ensemble
    on: date
    slots: tuple[SlotView, ...]
    before: date | None
    after: date | None
    besides: tuple[LoggedPiece, ...] = ()

    @property
    def shape(self) -> DayShape:
        """How the day differs from the others of its term."""
        return self.term.shape_on(self.on)


def read_day(work: UnitOfWork, term_id: int, on: date) -> DayView:
    """A reading day of a term.

    Raises:
        NotFoundError: If the term does not exist or does not read on that date.
    """
    term, ensemble = find_day(work, term_id, on)
    dates = term.reading_dates()
    plan = work.terms.plan(term_id)
    results = work.results.list_results(term.ensemble_id, on)
    planned = [slot for slot in (plan.on(on) if plan else ()) if slot.piece_id != OPEN_PIECE]
    planned_ids, logged_ids = ({one.piece_id for one in those} for those in (planned, results))
    pieces = work.pieces.get_all(planned_ids | logged_ids)
    profiles = work.pieces.profiles(planned_ids)
    levels = work.pieces.levels_for(ensemble.id, pieces)
    shape = term.shape_on(on)
    slots = tuple(
        _slot_view(
            [slot for slot in planned if slot.piece_id == piece_id], shape, pieces[piece_id],
            profiles[piece_id], ensemble, results, levels,
        )
        for piece_id in dict.fromkeys(slot.piece_id for slot in planned)
    )  # fmt: skip
    at = dates.index(on)
    return DayView(
        term=term,
        ensemble=ensemble,
        on=on,
        slots=slots,
        before=dates[at - 1] if at else None,
        after=dates[at + 1] if at + 1 < len(dates) else None,
        besides=tuple(
            LoggedPiece(pieces[piece_id], _rows(piece_id, ensemble, results, shape))
            for piece_id in sorted(logged_ids - planned_ids)
        ),
    )


def find_day(work: UnitOfWork, term_id: int, on: date) -> tuple[Term, Ensemble]:
    """The term and the ensemble of a reading day.

    Raises:
        NotFoundError: If the term does not exist or does not read on that date.
    """
    term = work.terms.get(term_id)
    if on not in term.reading_dates():
        raise NotFoundError("reading day", f"{on} in {term.name}", hint="Look at the term for its days.")
    return term, work.ensembles.get(term.ensemble_id)


def day_to_come(
    work: UnitOfWork, term: Term, ensemble: Ensemble, plan: Plan, on: date
) -> DayView:  # fmt: skip
    """A planned day as it is looked at before it is opened: what is read, without levels and results.

    Its studies are outlines, which hold no facts.
    """
    planned = [slot for slot in plan.on(on) if slot.piece_id != OPEN_PIECE]
    ids = {slot.piece_id for slot in planned}
    pieces, outlines = work.pieces.get_all(ids), work.pieces.outlines(ids)
    shape = term.shape_on(on)
    slots = tuple(
        _slot_view(
            [slot for slot in planned if slot.piece_id == piece_id], shape, pieces[piece_id],
            outlines[piece_id], ensemble, (), {piece_id: None},
        )
        for piece_id in dict.fromkeys(slot.piece_id for slot in planned)
        if piece_id in pieces and piece_id in outlines
    )  # fmt: skip
    return DayView(term, ensemble, on, slots, None, None)


def _slot_view(
    slots: Sequence[Slot],
    shape: DayShape,
    piece: Piece,
    profile: PieceProfile,
    ensemble: Ensemble,
    results: Sequence[Result],
    levels: Mapping[int, float | None],
) -> SlotView:
    stations = shape.stations
    seats = [(s.position + 1, stations[s.station]) for s in slots if (s.station or 0) < len(stations)
             and s.station is not None]  # fmt: skip
    seated = {section for _, station in seats for section in station.section_ids}
    is_for_all = len(seats) < len(slots)
    featured = (section_name(ensemble, slot.featured_section_id) for slot in slots)
    return SlotView(
        slot=slots[0],
        piece=piece,
        profile=profile,
        featured=next(filter(None, featured), ""),
        rows=tuple(
            row
            for row in _rows(piece.id, ensemble, results, shape)
            if is_for_all or row.section.id in seated or row.result is not None
        ),
        level=levels[piece.id],
        rooms=tuple((number, station.name) for number, station in seats),
    )


def _rows(
    piece_id: int, ensemble: Ensemble, results: Sequence[Result], shape: DayShape
) -> tuple[SectionRow, ...]:
    logged = {r.section_id: r for r in results if r.piece_id == piece_id}
    return tuple(
        SectionRow(section, logged.get(section.id), is_away=section.id in shape.absent)
        for section in ensemble.sections
    )


def section_name(ensemble: Ensemble, section_id: int | None) -> str:
    """Name of a section, or empty when none is meant."""
    return next((s.name for s in ensemble.sections if s.id == section_id), "")


@dataclass(frozen=True, slots=True)
class PlannedPiece:
    """A slot in the calendar, with the level of its piece for the ensemble."""

    slot: Slot
    piece: Piece
    featured: str
    level: float | None


@dataclass(frozen=True, slots=True)
class CalendarDay:
    """A weekday of the term on which the ensemble reads, or would but for a day off."""

    on: date
    slots: tuple[PlannedPiece, ...]
    is_off: bool
    has_results: bool


@dataclass(frozen=True, slots=True)
class CalendarWeek:
    """One week of the term; ``monday`` may lie before its first day."""

    monday: date
    days: tuple[CalendarDay, ...]


def calendar(work: UnitOfWork, term: Term) -> tuple[CalendarWeek, ...]:
    """The term week by week, days off included, with what is planned and where results are in."""
    plan = work.terms.plan(term.id)
    ensemble = work.ensembles.get(term.ensemble_id)
    read_on = {result.on for result in work.results.list_results(term.ensemble_id)}
    pieces = work.pieces.get_all({slot.piece_id for slot in plan.slots} if plan else ())
    levels = work.pieces.levels_for(ensemble.id, pieces)
    weeks: list[CalendarWeek] = []
    monday = term.first - timedelta(days=term.first.weekday())
    while monday <= term.last:
        dates = [monday + timedelta(days=n) for n in sorted(term.weekdays)]
        days = tuple(
            CalendarDay(
                on=on,
                slots=_planned(plan, on, ensemble, pieces, levels),
                is_off=on in term.days_off,
                has_results=on in read_on,
            )
            for on in dates
            if term.first <= on <= term.last
        )
        weeks.append(CalendarWeek(monday, days))
        monday += timedelta(days=7)
    return tuple(week for week in weeks if week.days)


def _planned(
    plan: Plan | None,
    on: date,
    ensemble: Ensemble,
    pieces: Mapping[int, Piece],
    levels: Mapping[int, float | None],
) -> tuple[PlannedPiece, ...]:
    return tuple(
        PlannedPiece(
            slot,
            pieces[slot.piece_id],
            section_name(ensemble, slot.featured_section_id),
            levels[slot.piece_id],
        )
        for slot in (plan.on(on) if plan else ())
        if slot.piece_id != OPEN_PIECE
    )


@dataclass(frozen=True, slots=True)
class RecordRow:
    """One section's shares of measures right on the first reading, day by day (None: did not read).

    ``out`` is True on the days on which none of its results counts for its level, ``apart`` on those on which
    every reading of its own fell apart.
    """

    name: str
    shares: tuple[float | None, ...]
    out: tuple[bool, ...] = ()
    apart: tuple[bool, ...] = ()

    @property
    def average(self) -> float | None:
        """Mean of the days it read; None when there are none."""
        known = [share for share in self.shares if share is not None]
        return sum(known) / len(known) if known else None


@dataclass(frozen=True, slots=True)
class Record:
    """A term's first readings: the days with results, and a row a section."""

    days: tuple[date, ...]
    rows: tuple[RecordRow, ...]


def read_record(work: UnitOfWork, term: Term, only: Collection[int] | None = None) -> Record:
    """The first readings of a term so far, of all sections or of some; several on a day are averaged."""
    ensemble = work.ensembles.get(term.ensemble_id)
    sections = [each for each in ensemble.sections if only is None or each.id in only]
    shown = {section.id for section in sections}
    results = [
        result
        for result in work.results.list_results(term.ensemble_id)
        if term.first <= result.on <= term.last and result.section_id in shown
    ]
    days = tuple(sorted({result.on for result in results}))
    rows = tuple(
        RecordRow(
            section.name,
            tuple(_share(results, section.id, on) for on in days),
            tuple(_is_out(results, section.id, on) for on in days),
            tuple(_is_apart(results, section.id, on) for on in days),
        )
        for section in sections
    )
    return Record(days, rows)


def _share(results: Sequence[Result], section_id: int, on: date) -> float | None:
    shares = [r.first_share for r in results if r.section_id == section_id and r.on == on]
    return sum(shares) / len(shares) if shares else None


def next_reading_day(work: UnitOfWork, term: Term, today: date) -> date:
    """The next day with a planned piece, today included.

    Raises:
        NotFoundError: If none is ahead.
    """
    plan = work.terms.plan(term.id)
    ahead = sorted({slot.on for slot in plan.slots if slot.on >= today}) if plan else []
    if not ahead:
        raise NotFoundError("planned day", f"ahead in {term.name}", hint="Plan the term, or say the day.")
    return ahead[0]


def _is_out(results: Sequence[Result], section_id: int, on: date) -> bool:
    counting = [r.counts for r in results if r.section_id == section_id and r.on == on]
    return bool(counting) and not any(counting)


def _is_apart(results: Sequence[Result], section_id: int, on: date) -> bool:
    apart = [r.fell_apart for r in results if r.section_id == section_id and r.on == on]
    return bool(apart) and all(apart)
