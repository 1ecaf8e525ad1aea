"""The values that a gradebook's formulas have when it is written: those of the pages, and their means."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from planner.core.term import WAS_THERE, Attendance
from planner.marks.day_marks import Reading, mark_of_share, share_that_counts
from planner.marks.term_marks import TermDay
from planner.services.day.marks import MarkRow, TermMarks, marks_of_sheet, reading_of
from planner.services.sheets.views import GradebookSheet, SectionReading


@dataclass(frozen=True, slots=True)
class ReadingColumn:
    """A piece that was read, or is to be, on a day: a column of readings."""

    on: date
    piece_id: int
    title: str


class Figures:
    """What stands in the cells of a gradebook, and follows from them."""

    def __init__(self, sheet: GradebookSheet) -> None:
        self.sheet = sheet
        self.marks: TermMarks = marks_of_sheet(sheet)
        self.days = tuple(day.on for day in sheet.days)
        self.columns = _columns(sheet)
        self._readings = {
            (each.section_id, day.on, each.piece_id): each for day in sheet.days for each in day.readings
        }
        self._sections = {row.id: _by_day(row) for row in self.marks.sections}
        self._players = {row.id: _by_day(row) for row in self.marks.players}

    def reading(self, section_id: int, column: ReadingColumn) -> SectionReading | None:
        """How a section read a piece on a day."""
        return self._readings.get((section_id, column.on, column.piece_id))

    def first(self, section_id: int, column: ReadingColumn) -> Fraction | None:
        """Bars of 100 that were right on the first reading."""
        found = self.reading(section_id, column)
        share = _exact(found).first if found else None
        return None if share is None else 100 * Fraction(share)

    def second(self, section_id: int, column: ReadingColumn) -> Fraction | None:
        """Bars of 100 that were right on the second reading."""
        found = self.reading(section_id, column)
        share = _exact(found).second if found else None
        return None if share is None else 100 * Fraction(share)

    def counted(self, section_id: int, column: ReadingColumn) -> Fraction | None:
        """The share of bars right that counts, of 100."""
        found = self.reading(section_id, column)
        share = share_that_counts(self.sheet.scheme, _exact(found)) if found else None
        return None if share is None else 100 * share

    def reading_mark(self, section_id: int, column: ReadingColumn) -> Fraction | None:
        """The mark of a reading by the scale."""
        share = self.counted(section_id, column)
        return None if share is None else mark_of_share(self.sheet.scheme, share / 100)

    @property
    def has_forms(self) -> bool:
        """Whether a scoring form is filled in for any reading."""
        return any(each.form_share is not None for each in self._readings.values())

    def form(self, section_id: int, column: ReadingColumn) -> Fraction | None:
        """What the points of the scoring form come to, of 100."""
        found = self.reading(section_id, column)
        return None if found is None or found.form_share is None else 100 * found.form_share

    def gain(self, section_id: int, column: ReadingColumn) -> Fraction | None:
        """Bars of 100 that were right on the second reading and not on the first."""
        found = self.reading(section_id, column)
        read = _exact(found) if found else None
        if read is None or read.first is None or read.second is None:
            return None
        return 100 * (Fraction(read.second) - Fraction(read.first))

    def section_day(self, section_id: int, on: date) -> TermDay | None:
        """A section's day in the term."""
        return self._sections[section_id].get(on)

    def player_day(self, seat: int, on: date) -> TermDay | None:
        """A player's day in the term."""
        return self._players[seat].get(on)


def mean(values: Iterable[Fraction | None]) -> Fraction | None:
    """The mean of those that are there."""
    there = [value for value in values if value is not None]
    return sum(there, Fraction(0)) / len(there) if there else None


def number(value: Fraction | None) -> float | None:
    """As a workbook stores it."""
    return None if value is None else float(value)


def mark_that_day(day: TermDay | None) -> float | None:
    """The mark of a day, as a workbook stores it."""
    return None if day is None else number(day.day.mark)


def weight_that_day(day: TermDay | None) -> float | None:
    """How much a day counts in the term: None without a mark or weight, 0 when it is left out."""
    if day is None or day.day.mark is None or not day.weight:
        return None
    return 0.0 if day.is_dropped else float(day.weight)


def attendance_share(row: MarkRow) -> float | None:
    """On what share of the days that count somebody was there; excused days do not."""
    there = row.count(*WAS_THERE)
    counted = there + row.count(Attendance.ABSENT)
    return there / counted if counted else None


def _exact(reading: SectionReading) -> Reading:
    return reading_of(reading)


def _by_day(row: MarkRow) -> dict[date, TermDay]:
    return {each.day.on: each for each in row.term.days}


def _columns(sheet: GradebookSheet) -> Sequence[ReadingColumn]:
    found: dict[tuple[date, int], ReadingColumn] = {}
    for day in sheet.days:
        for each in day.readings:
            if each.piece_id:
                found.setdefault((day.on, each.piece_id), ReadingColumn(day.on, each.piece_id, each.piece))
    return tuple(found.values())
