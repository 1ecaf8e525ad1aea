"""Publish a term plan: what the printed sheet, the workbook and the calendar say."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from functools import partial

from planner import __version__
from planner.core.ensemble import Ensemble
from planner.core.piece import Piece
from planner.core.profile import PieceProfile
from planner.core.term import DayShape, Slot, Term
from planner.core.text import file_name
from planner.errors import NotFoundError
from planner.services.ports.files import ExportShelf, Filed
from planner.services.ports.scores import Progress
from planner.services.ports.work import UnitOfWork
from planner.services.ports.writers import PlanWriter
from planner.services.sheets.filing import term_folder
from planner.services.sheets.views import DayNote, DayWithoutPiece, PlanRow, PlanSheet
from planner.services.term.calendar_days import update_calendar
from planner.wording.director.plan import (
    DAY_OFF,
    open_day_reason,
    places_left,
    proof_text,
    room_words,
    slot_reasons,
    target_of,
    wall_reasons,
)
from planner.wording.director.term_days import shape_text
from planner.wording.words import capital, credit_words


def publish_plan(
    work: UnitOfWork,
    writers: Sequence[PlanWriter],
    *,
    term_id: int,
    exports: ExportShelf,
    today: date,
    now: datetime,
    progress: Progress | None = None,
) -> tuple[Filed, ...]:
    """Write the term's plan once with each writer.

    A calendar file must bring up to date what calendars have from the one before, so what it says of each
    day is remembered.

    Args:
        work: An open unit of work that is going to be committed.
        writers: One for each form wanted.
        term_id: Whose plan.
        exports: Receives the files, in the folder of the term.
        today: Printed as the day they were made; earlier days count as past.
        now: Noted for the days whose entry in a calendar changes.
        progress: Told after each file.

    Returns:
        The files, in the order of the writers.

    Raises:
        NotFoundError: If there is no such term, or it has no plan yet.
        ExportError: If a file cannot be written.
    """
    sheet = plan_sheet(work, term_id, today=today)
    if any(writer.updates_copies for writer in writers):
        days = update_calendar(work, work.terms.get(term_id), sheet.rows, now)
        sheet = replace(sheet, calendar=days)
    folder = term_folder(work, work.terms.get(term_id))
    written = []
    for writer in writers:
        name = f"{folder}/plan-{file_name(sheet.term) or term_id}{writer.suffix}"
        written.append(exports.put(name, partial(writer.write, sheet)))
        if progress:
            progress(len(written), len(writers), written[-1].path.name)
    return tuple(written)


def plan_sheet(work: UnitOfWork, term_id: int, *, today: date) -> PlanSheet:
    """The term's plan with titles, levels and tempos filled in.

    A piece that was planned for a day which the term has lost since is left out, unless it was read on it.

    Raises:
        NotFoundError: If there is no such term, or it has no plan yet.
    """
    term = work.terms.get(term_id)
    plan = work.terms.plan(term_id)
    if plan is None:
        raise NotFoundError("plan for the term", term.name, hint="Plan the term first.")
    ensemble = work.ensembles.get(term.ensemble_id)
    dates = term.reading_dates()
    kept = {*dates, *(result.on for result in work.results.list_results(ensemble.id))}
    slots = [slot for slot in plan.slots if slot.on in kept]
    pieces = work.pieces.get_all({slot.piece_id for slot in slots})
    profiles, levels = work.pieces.profiles(pieces), work.pieces.levels_for(ensemble.id, pieces)
    rows = tuple(
        replace(
            _row(
                slot, pieces[slot.piece_id], profiles[slot.piece_id], ensemble, today, levels[slot.piece_id]
            ),
            room=_room(term, slot),
        )
        for slot in slots
    )
    return PlanSheet(
        term_id=term.id,
        term=term.name,
        ensemble=ensemble.name,
        first=dates[0],
        last=dates[-1],
        minutes=term.minutes,
        rows=rows,
        without_piece=tuple(_without_piece(term, {row.on for row in rows}, today)),
        notes=tuple(_notes(term, ensemble, slots, today)),
        proof=proof_text(plan),
        made_on=today,
        library_version=__version__,
    )


def _without_piece(term: Term, filled: set[date], today: date) -> Iterator[DayWithoutPiece]:
    reading = set(term.reading_dates())
    for number in range((term.last - term.first).days + 1):
        day = term.first + timedelta(days=number)
        if day.weekday() in term.weekdays and day not in filled:
            is_off = day not in reading
            yield DayWithoutPiece(day, DAY_OFF if is_off else open_day_reason(is_past=day < today))


def _notes(term: Term, ensemble: Ensemble, slots: Sequence[Slot], today: date) -> Iterator[DayNote]:
    """How days with pieces differ from the others, and how many places they still have."""
    names = {section.id: section.name for section in ensemble.sections}
    dates = set(term.reading_dates())
    for on, count in sorted(Counter(slot.on for slot in slots).items()):
        shape = term.shape_on(on)
        if shape != DayShape(on):
            yield DayNote(on, capital(shape_text(shape, names)), is_above=True)
        left = term.slots_on(on) * max(1, len(shape.stations)) - count
        if left > 0 and on in dates and on >= today:
            yield DayNote(on, places_left(left), is_above=False)


def _room(term: Term, slot: Slot) -> str:
    """Round and station of a slot; empty where all read together."""
    stations = term.shape_on(slot.on).stations
    if slot.station is None or slot.station >= len(stations):
        return ""
    return room_words(slot.position + 1, stations[slot.station].name)


def _row(
    slot: Slot,
    piece: Piece,
    profile: PieceProfile,
    ensemble: Ensemble,
    today: date,
    level: float | None,
) -> PlanRow:
    sections = {section.id: section.name for section in ensemble.sections}
    tempo = profile.tempo_bpm
    bpm = tempo.first_reading if tempo.first_reading is not None else tempo.reading
    return PlanRow(
        on=slot.on,
        position=slot.position,
        title=piece.title or profile.title or "Untitled",
        credit=credit_words(piece.composer, piece.arranger),
        level=level,
        focus=slot.focus,
        featured=sections.get(slot.featured_section_id or 0, ""),
        minutes=slot.minutes,
        reading_bpm=bpm or None,
        beat_unit=tempo.unit,
        is_pinned=slot.is_pinned,
        is_past=slot.on < today,
        reasons=slot_reasons(slot, ensemble.sections),
        why=wall_reasons(slot, ensemble.sections),
        target=target_of(slot),
    )
