"""One reading day of a gradebook: how each section read, who was there, and the marks that follow."""

from dataclasses import dataclass

from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet

from planner.adapters.exports.gradebook_scale import (
    counted_share,
    mark_of,
    mark_rule,
    player_mark,
    share_rule,
    weight_rule,
)
from planner.adapters.exports.workbook import (
    FIGURE,
    GENERAL,
    MARK,
    PERCENT,
    SMALL,
    TITLE,
    cell_at,
    day_entry,
    entry,
    for_printing,
    formula,
    heading_row,
    put_text,
    quoted,
    set_widths,
    width_for,
)
from planner.core.term import Attendance
from planner.services.sheets.views import GradebookDay, GradebookSheet
from planner.wording.director.sections import OUT_WORDS
from planner.wording.words import full_day, short_day

_SECTION_HEADS = (
    "Section",
    "Piece",
    "First reading",
    "Second reading",
    "Gain",
    "Counts",
    "Mark",
    "Note",
    "For the level",
)
_PLAYER_HEADS = (
    "Section",
    "Player",
    "Attendance",
    "Section's mark",
    "Own mark",
    "Mark",
    "Made up on",
    "Note",
)
_WEIGHT_ROW, _FIRST = 4, 6
_ROWS_ON_A_PAGE = 75
"""Rows that can still be read when a sheet is printed on one page. Source: House choice."""


@dataclass(frozen=True, slots=True)
class DayPlaces:
    """Where a day's figures stand, so that the summary can point at them.

    Attributes:
        name: The sheet's name as formulas want it.
        heading: Short date for the summary's column.
        readings: Rows of each section's readings, by section id.
        players: Row of each player, by player id.
    """

    name: str
    heading: str
    readings: dict[int, tuple[int, ...]]
    players: dict[int, int]

    def cells(self, section_id: int, column: str) -> str:
        """References to a column of a section's readings, parted by commas; empty without any."""
        return ",".join(f"{self.name}!${column}${row}" for row in self.readings.get(section_id, ()))

    @property
    def weight(self) -> str:
        """Reference to what the day weighs."""
        return f"{self.name}!$C${_WEIGHT_ROW}"

    def player_cell(self, player_id: int, column: str) -> str:
        """Reference to a column of a player's row; empty when not in the section that day."""
        row = self.players.get(player_id)
        return f"{self.name}!${column}${row}" if row else ""


def fill_day(page: Worksheet, sheet: GradebookSheet, day: GradebookDay, paper: str) -> DayPlaces:
    """Write one day's sheet and say where its figures are."""
    put_text(cell_at(page, 1, 1), full_day(day.on), TITLE)
    read = "; ".join(day.pieces) or "nothing planned"
    put_text(cell_at(page, 2, 1), f"{sheet.ensemble}, {sheet.term}. Read: {read}", SMALL)
    put_text(cell_at(page, 3, 1), "Fill in the tinted cells; the rest follows.", SMALL)
    put_text(cell_at(page, _WEIGHT_ROW, 1), "Weight of this day")
    entry(cell_at(page, _WEIGHT_ROW, 3), float(sheet.scheme.weight_of(day.on)), GENERAL)
    weights = weight_rule()
    weights.add(f"C{_WEIGHT_ROW}")
    page.add_data_validation(weights)
    heading_row(page, _FIRST - 1, _SECTION_HEADS, figures=range(3, 8))
    rows = _readings(page, day)
    start = _FIRST + len(day.readings) + 2
    heading_row(page, start - 1, _PLAYER_HEADS, figures=range(3, 8))
    players = _players(page, day, rows, start)
    sections = width_for((name for _, name in sheet.sections), least=16, most=34)
    second = width_for((*day.pieces, *(player.player for player in day.players)), least=22, most=44)
    set_widths(page, (sections, second, 13, 13, 11, 11, 13, 36, 15))
    page.freeze_panes = f"A{_FIRST}"
    fits = page.max_row <= _ROWS_ON_A_PAGE
    for_printing(page, paper=paper, pages_high=1 if fits else 0)
    return DayPlaces(
        quoted(page.title),
        short_day(day.on),
        {s: tuple(at) for s, at in rows.items()},
        players,
    )


def _readings(page: Worksheet, day: GradebookDay) -> dict[int, list[int]]:
    shares = share_rule()
    page.add_data_validation(shares)
    rows: dict[int, list[int]] = {}
    for row, reading in enumerate(day.readings, start=_FIRST):
        put_text(cell_at(page, row, 1), reading.section)
        put_text(cell_at(page, row, 2), reading.piece)
        entry(cell_at(page, row, 3), reading.first_share, PERCENT)
        entry(cell_at(page, row, 4), reading.second_share, PERCENT)
        both = f"AND(ISNUMBER(C{row}),ISNUMBER(D{row}))"
        formula(cell_at(page, row, 5), f'=IF({both},D{row}-C{row},"")', "+0%;-0%;0%")
        formula(cell_at(page, row, 6), counted_share(f"C{row}", f"D{row}"), PERCENT)
        formula(cell_at(page, row, 7), mark_of(f"F{row}"), MARK)
        entry(cell_at(page, row, 8), reading.note)
        if not reading.counts:
            put_text(cell_at(page, row, 9), OUT_WORDS)
        rows.setdefault(reading.section_id, []).append(row)
    if day.readings:
        shares.add(f"C{_FIRST}:D{_FIRST + len(day.readings) - 1}")
    return rows


def _players(page: Worksheet, day: GradebookDay, rows: dict[int, list[int]], start: int) -> dict[int, int]:
    there, marks, dates = _attendance_rule(), mark_rule(), _date_rule()
    page.add_data_validation(there)
    page.add_data_validation(marks)
    page.add_data_validation(dates)
    places: dict[int, int] = {}
    for row, player in enumerate(day.players, start=start):
        put_text(cell_at(page, row, 1), player.section)
        put_text(cell_at(page, row, 2), player.player)
        entry(cell_at(page, row, 3), player.attendance.value if player.attendance else None)
        cells = ",".join(f"G{at}" for at in rows.get(player.section_id, ()))
        average = f'=IF(COUNT({cells})=0,"",AVERAGE({cells}))' if cells else '=""'
        formula(cell_at(page, row, 4), average, MARK)
        entry(cell_at(page, row, 5), None if player.mark is None else float(player.mark), MARK)
        formula(cell_at(page, row, 6), player_mark(row), MARK)
        day_entry(cell_at(page, row, 7), player.made_up_on)
        entry(cell_at(page, row, 8), player.note)
        cell_at(page, row, 3).alignment = FIGURE
        places[player.player_id] = row
    if day.players:
        last = start + len(day.players) - 1
        there.add(f"C{start}:C{last}")
        marks.add(f"E{start}:E{last}")
        dates.add(f"G{start}:G{last}")
    return places


def _attendance_rule() -> DataValidation:
    states = ",".join(Attendance)
    return DataValidation(
        type="list", formula1=f'"{states}"', allow_blank=True, showErrorMessage=True,
        errorTitle="Attendance", error=f"Enter one of {states}, or leave the cell empty.",
    )  # fmt: skip


def _date_rule() -> DataValidation:
    return DataValidation(
        type="date", operator="greaterThan", formula1="1", allow_blank=True, showErrorMessage=True,
        errorTitle="Made up on", error="Enter a date, or leave the cell empty.",
    )  # fmt: skip
