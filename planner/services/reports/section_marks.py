"""What made a section's marks, day by day, as reports lay it out."""

from collections.abc import Collection, Iterator
from datetime import date

from planner.marks.term_marks import TermDay
from planner.services.day.marks import MarkRow
from planner.services.reports.views import ReportColumn, ReportPart, ReportTable
from planner.wording.director.marks import part_text, shown_mark
from planner.wording.director.reports import BEHIND_TEXT, day_weight_text, term_mark_text
from planner.wording.words import short_day

_DAY, _MARK = ReportColumn("Day", 0.1), ReportColumn("Mark", 0.09, is_number=True)
_WEIGHT = ReportColumn("Weight", 0.12, is_number=True)
_MADE = "What made it"


def section_marks(row: MarkRow) -> tuple[ReportPart, ...]:
    """A section's marks for its own report: each day with a mark, and its weight; nothing without any."""
    rows = tuple(
        (short_day(each.day.on), shown_mark(each.day.mark), day_weight_text(each), _made(each))
        for each in _marked(row)
    )
    columns = (_DAY, _MARK, _WEIGHT, ReportColumn(_MADE, 0.69))
    part = ReportPart("Marks", (term_mark_text(row.term),), table=ReportTable(columns, rows))
    return (part,) if rows else ()


def section_marks_behind(row: MarkRow, days: Collection[date]) -> tuple[ReportPart, ...]:
    """A section's marks for a player's report, on the ``days`` on which they count; nothing without any."""
    rows = tuple(
        (short_day(each.day.on), shown_mark(each.day.mark), _made(each))
        for each in _marked(row)
        if each.day.on in days
    )
    table = ReportTable((_DAY, _MARK, ReportColumn(_MADE, 0.81)), rows)
    return (ReportPart("The section's marks", (BEHIND_TEXT,), table=table),) if rows else ()


def _marked(row: MarkRow) -> Iterator[TermDay]:
    return (each for each in row.term.days if each.day.mark is not None)


def _made(each: TermDay) -> str:
    return "; ".join(part_text(part) for part in each.day.parts)
