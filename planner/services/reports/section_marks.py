"""What made a section's marks, day by day, as reports lay it out."""

from collections.abc import Collection
from datetime import date

from planner.services.day.marks import MarkRow
from planner.services.reports.views import ReportColumn, ReportPart, ReportTable
from planner.wording.director.marks import part_text, shown_mark
from planner.wording.words import short_day

_COLUMNS = (
    ReportColumn("Day", 0.1), ReportColumn("Mark", 0.09, is_number=True), ReportColumn("What made it", 0.81),
)  # fmt: skip


def section_marks_part(
    row: MarkRow, heading: str, sentences: tuple[str, ...] = (), days: Collection[date] | None = None
) -> tuple[ReportPart, ...]:
    """A section's days with a mark, of all days or ``days`` alone, under a heading; nothing without any."""
    rows = tuple(
        (
            short_day(each.day.on),
            shown_mark(each.day.mark),
            "; ".join(part_text(part) for part in each.day.parts),
        )
        for each in row.term.days
        if each.day.mark is not None and (days is None or each.day.on in days)
    )
    return (ReportPart(heading, sentences, table=ReportTable(_COLUMNS, rows)),) if rows else ()
