"""The summary of a gradebook: averages of each section and player over the days, and attendance."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from planner.adapters.exports.gradebook_day import DayPlaces
from planner.adapters.exports.gradebook_scale import DROPPED
from planner.adapters.exports.workbook import (
    GENERAL,
    HEADING,
    MARK,
    PERCENT,
    SMALL,
    TITLE,
    cell_at,
    for_printing,
    formula,
    heading_row,
    put_text,
    quoted,
    set_widths,
    width_for,
)
from planner.services.sheets.views import GradebookSheet
from planner.wording.director.marks import LETTERS
from planner.wording.words import full_date

_FIRST_DAY_COLUMN = 3
_WEIGHT = "Weight"
_DAYS_ON_A_PAGE = 16
"""Columns of days that can still be read side by side in print. Source: House choice."""
_SECTION_FIGURES = (
    ("First reading", PERCENT), ("Second reading", PERCENT), ("Gain", "+0%;-0%;0%"), ("Mark", MARK),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Block:
    """A table of one figure by day: where its rows are."""

    name: str
    first_row: int
    last_column: str

    def row(self, at: int) -> str:
        """Reference to the row of the section or player at this place."""
        row = self.first_row + at
        return f"{self.name}!$C${row}:${self.last_column}${row}"

    def within(self, at: int, last: str = "") -> str:
        """As ``row``, for formulas of the same sheet, up to a column."""
        row = self.first_row + at
        return f"$C{row}:${last or self.last_column}{row}"


def fill_by_day(
    sections_page: Worksheet,
    players_page: Worksheet,
    sheet: GradebookSheet,
    days: Sequence[DayPlaces],
    paper: str,
) -> tuple[dict[str, _Block], dict[str, _Block]]:
    """Write the figures day by day, one table a figure; returns where they are, by figure."""
    sections = [(section_id, name, "") for section_id, name in sheet.sections]
    players = [(player_id, name, section) for player_id, name, section in sheet.players]
    by_section, by_player, row = {}, {}, 1
    for (figure, shape), column in zip(_SECTION_FIGURES, "CDEG", strict=True):
        cells = _section_formula(column)
        by_section[figure] = _table(sections_page, row, figure, sections, days, cells, shape)
        row += len(sections) + 4
    by_section[_WEIGHT] = _weights(sections_page, row, sections, days, by_section["Mark"])
    row = 1
    for figure, rule, shape in (("Attendance", _attendance, "General"), ("Mark", _player_mark, MARK)):
        by_player[figure] = _table(players_page, row, figure, players, days, rule, shape)
        row += len(players) + 4
    by_player[_WEIGHT] = _weights(players_page, row, players, days, by_player["Mark"])
    for page in (sections_page, players_page):
        set_widths(page, (_names_width(sheet), _sections_width(sheet), *([9] * len(days))))
        page.freeze_panes = "C1"
        wide = max(1, -(-len(days) // _DAYS_ON_A_PAGE))
        for_printing(page, paper=paper, landscape=True, pages_wide=wide, heading_columns="A:B")
    return by_section, by_player


def fill_summary(
    page: Worksheet,
    sheet: GradebookSheet,
    by_section: dict[str, _Block],
    by_player: dict[str, _Block],
    paper: str,
) -> None:
    """Write the averages over all days."""
    put_text(cell_at(page, 1, 1), f"{sheet.term}: gradebook", TITLE)
    made = f"Made {full_date(sheet.made_on)} by the sight-reading program planner {sheet.library_version}"
    put_text(cell_at(page, 2, 1), f"{sheet.ensemble}. {made}. Empty cells never count.", SMALL)
    heading_row(
        page,
        4,
        ("Section", "Days read", "First reading", "Second reading", "Gain", "Mark"),
        figures=range(2, 7),
    )
    for at, (_, name) in enumerate(sheet.sections):
        row = 5 + at
        put_text(cell_at(page, row, 1), name)
        formula(cell_at(page, row, 2), f"=COUNT({by_section['First reading'].row(at)})", "0")
        for column, (figure, shape) in enumerate(_SECTION_FIGURES, start=3):
            mean = weighed(by_section, at) if figure == "Mark" else average(by_section[figure].row(at))
            formula(cell_at(page, row, column), mean, shape)
    after = 5 + len(sheet.sections)
    if sheet.sections:
        put_text(cell_at(page, after, 1), "Whole ensemble", HEADING)
        for column, (_, shape) in enumerate(_SECTION_FIGURES, start=3):
            letter = get_column_letter(column)
            formula(cell_at(page, after, column), average(f"{letter}5:{letter}{after - 1}"), shape)
    start = after + 3
    heading_row(
        page,
        start - 1,
        ("Player", "Section", "Present", "Late", "Absent", "Excused", "Attendance", "Mark"),
        figures=range(3, 9),
    )
    for at, (_, name, section) in enumerate(sheet.players):
        row, states = start + at, by_player["Attendance"].row(at)
        put_text(cell_at(page, row, 1), name)
        put_text(cell_at(page, row, 2), section)
        for column, letter in enumerate(LETTERS.values(), start=3):
            formula(cell_at(page, row, column), f'=COUNTIF({states},"{letter}")', "0")
        there = f'=IF(SUM(C{row}:E{row})=0,"",(C{row}+D{row})/SUM(C{row}:E{row}))'
        formula(cell_at(page, row, 7), there, PERCENT)
        formula(cell_at(page, row, 8), weighed(by_player, at), MARK)
    set_widths(page, (_names_width(sheet), max(14.0, _sections_width(sheet)), 14, 16, 13, 11, 12, 11))
    page.freeze_panes = "A5"
    for_printing(page, paper=paper)


_Cell = Callable[[DayPlaces, int], str]


def average(cells: str) -> str:
    """Formula for the average of the numbers among these cells; blank without any."""
    return f'=IF(COUNT({cells})=0,"",AVERAGE({cells}))'


def weighed(blocks: Mapping[str, _Block], at: int) -> str:
    """Formula for the mark of a term: the marks of the days by their weights; blank without any."""
    marks, weights = blocks["Mark"].row(at), blocks[_WEIGHT].row(at)
    return f'=IF(SUM({weights})>0,SUMPRODUCT({marks},{weights})/SUM({weights}),"")'


def _weights(
    page: Worksheet, row: int, rows: Sequence[tuple[int, str, str]], days: Sequence[DayPlaces], marks: _Block
) -> _Block:
    """How much each day counts for each section or player, the lowest left out; above it what days weigh."""
    put_text(cell_at(page, row, 1), "Weight of the day", TITLE)
    for column, day in enumerate(days, start=_FIRST_DAY_COLUMN):
        formula(cell_at(page, row, column), f"=N({day.weight})", GENERAL)
    head = _Block(marks.name, row, marks.last_column)
    block = _table(page, row + 2, _WEIGHT, rows, days, lambda _day, _key: "", "General")
    for at in range(len(rows)):
        for column in range(_FIRST_DAY_COLUMN, _FIRST_DAY_COLUMN + len(days)):
            text = _weight(marks, head, at, get_column_letter(column), get_column_letter(column - 1))
            formula(cell_at(page, block.first_row + at, column), text, GENERAL)
    return block


def _weight(marks: _Block, head: _Block, at: int, column: str, before: str) -> str:
    """What a day counts: nothing when it is among the lowest; of equally low days the first goes."""
    own, every, weights = f"{column}{marks.first_row + at}", marks.within(at), head.within(0)
    weight = f"{column}${head.first_row}"
    counted = f"({every}<101)*({weights}>0)"  # a text, as of a day without a mark, is above every number
    lower = f"SUMPRODUCT({counted}*({every}<{own}))"
    earlier = ""
    if column != get_column_letter(_FIRST_DAY_COLUMN):
        past, own_past = head.within(0, before), marks.within(at, before)
        earlier = f"+SUMPRODUCT(({past}>0)*({own_past}={own}))"
    dropped = f"AND(N({DROPPED})>0,{lower}{earlier}<MIN(N({DROPPED}),SUMPRODUCT({counted})-1))"
    return f'=IF(AND(ISNUMBER({own}),{weight}>0),IF({dropped},0,{weight}),"")'


def _section_formula(column: str) -> _Cell:
    def cell(day: DayPlaces, section_id: int) -> str:
        cells = day.cells(section_id, column)
        return average(cells) if cells else '=""'

    return cell


def _attendance(day: DayPlaces, player_id: int) -> str:
    cell = day.player_cell(player_id, "C")
    found = '""'
    for state, letter in reversed(tuple(LETTERS.items())):
        found = f'IF({cell}="{state}","{letter}",{found})'
    return f"={found}" if cell else ""


def _player_mark(day: DayPlaces, player_id: int) -> str:
    cell = day.player_cell(player_id, "F")
    return f'=IF(ISNUMBER({cell}),{cell},"")' if cell else '=""'


def _table(
    page: Worksheet, row: int, figure: str, rows: Sequence[tuple[int, str, str]], days: Sequence[DayPlaces],
    rule: _Cell, shape: str,
) -> _Block:  # fmt: skip
    """One figure, a row for each section or player and a column for each day."""
    put_text(cell_at(page, row, 1), figure, TITLE)
    heading_row(page, row + 1, ("", "", *(day.heading for day in days)), figures=range(3, 3 + len(days)))
    for at, (key, name, group) in enumerate(rows, start=row + 2):
        put_text(cell_at(page, at, 1), name)
        put_text(cell_at(page, at, 2), group)
        for column, day in enumerate(days, start=_FIRST_DAY_COLUMN):
            text = rule(day, key)
            if text:
                formula(cell_at(page, at, column), text, shape)
    last = get_column_letter(_FIRST_DAY_COLUMN + max(len(days), 1) - 1)
    return _Block(quoted(page.title), row + 2, last)


def _names_width(sheet: GradebookSheet) -> float:
    names = [name for _, name in sheet.sections] + [name for _, name, _ in sheet.players]
    return width_for(names, least=18, most=40)


def _sections_width(sheet: GradebookSheet) -> float:
    return width_for((section for _, _, section in sheet.players), least=4, most=30)
