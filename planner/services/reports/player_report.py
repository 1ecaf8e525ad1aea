"""A player's term: attendance, marks with what made them, and what made the section's marks behind."""

from collections.abc import Collection
from datetime import date

from planner import __version__
from planner.core.term import Attendance, Term
from planner.errors import NotFoundError
from planner.marks.day_marks import LeftOut, Part, Source
from planner.marks.term_marks import TermDay
from planner.services.day.marks import MarkRow, read_term_marks
from planner.services.ports.work import UnitOfWork
from planner.services.read_once import read_once
from planner.services.reports.names import player_file
from planner.services.reports.section_marks import section_marks_behind
from planner.services.reports.views import (
    MarkPoint,
    MarksPicture,
    ReportColumn,
    ReportPart,
    ReportTable,
    ReportView,
)
from planner.wording.director.marks import ATTENDANCE_WORDS, part_text, shown_mark
from planner.wording.director.reports import attendance_text, day_weight_text, span_text, term_mark_text
from planner.wording.words import day, short_day

_COLUMNS = (
    ReportColumn("Day", 0.09), ReportColumn("Attendance", 0.14),
    ReportColumn("Section", 0.09, is_number=True), ReportColumn("Mark", 0.08, is_number=True),
    ReportColumn("Weight", 0.12, is_number=True), ReportColumn("What made it", 0.3),
    ReportColumn("Remark", 0.18),
)  # fmt: skip


def player_report(
    work: UnitOfWork, term_id: int, seat_id: int, today: date, *, only: Collection[int] | None = None
) -> ReportView:
    """The report of a player on one seat, as the gradebook has them.

    Args:
        work: An open unit of work; nothing is changed.
        term_id: Which term.
        seat_id: The player's seat.
        today: The day of the report.
        only: Of these sections alone; None of all.

    Raises:
        NotFoundError: If there is no such term, or no such player in these sections.
    """
    work = read_once(work)
    term = work.terms.get(term_id)
    ensemble = work.ensembles.get(term.ensemble_id)
    marks = read_term_marks(work, term_id, today=today, only=only)
    row = next((each for each in marks.players if each.id == seat_id), None)
    if row is None:
        raise NotFoundError("player", f"{seat_id} in {ensemble.name}", hint="Look at the gradebook.")
    section_id = next(s.id for s in ensemble.sections if any(p.id == seat_id for p in s.players))
    section = next(each for each in marks.sections if each.id == section_id)
    return ReportView(
        name=player_file(seat_id),
        title=row.name,
        about=f"{row.section}, {term.name}, {span_text(term.first, term.last)}",
        lead=_lead(row),
        parts=_parts(term, row, section) if row.term.days else (),
        ensemble=ensemble.name,
        made_on=today,
        library_version=__version__,
    )


def _lead(row: MarkRow) -> tuple[str, ...]:
    counts = {state: row.count(state) for state in Attendance}
    unknown = sum(mark.attendance is None for mark in row.entered.values())
    made_up = sum(mark.made_up_on is not None for mark in row.entered.values())
    lead = [term_mark_text(row.term), attendance_text(counts, unknown)]
    return (*lead, f"Made up: {made_up} of the days missed.") if made_up else tuple(lead)


def _parts(term: Term, row: MarkRow, section: MarkRow) -> tuple[ReportPart, ...]:
    days = {each.day.on for each in row.term.days if any(_is_behind(part) for part in each.day.parts)}
    return (_marks_part(term, row, section), *section_marks_behind(section, days))


def _is_behind(part: Part) -> bool:
    return part.source is Source.SECTION and part.left_out is None


def _marks_part(term: Term, row: MarkRow, section: MarkRow) -> ReportPart:
    of_section = {each.day.on: each.day.mark for each in section.term.days}
    points = tuple(
        MarkPoint(each.day.on, each.day.mark, of_section.get(each.day.on), each.counts)
        for each in row.term.days
    )
    has_marks = any(point.mark is not None or point.section is not None for point in points)
    rows = tuple(_line(row, each, shown_mark(of_section.get(each.day.on))) for each in row.term.days)
    picture = MarksPicture(term.first, term.last, points) if has_marks else None
    return ReportPart("Day by day", (), picture, ReportTable(_COLUMNS, rows))


def _line(row: MarkRow, each: TermDay, section: str) -> tuple[str, ...]:
    entered = row.entered.get(each.day.on)
    state = ATTENDANCE_WORDS[entered.attendance] if entered and entered.attendance else ""
    if entered is not None and entered.made_up_on is not None:
        state = f"{state}, made up on {day(entered.made_up_on)}"
    return (
        short_day(each.day.on),
        state,
        section,
        shown_mark(each.day.mark) or "none",
        day_weight_text(each),
        "; ".join(part_text(p) for p in each.day.parts if p.left_out is not LeftOut.NO_WEIGHT),
        entered.note if entered else "",
    )
