"""Remarks and make-ups as a list, with empty rows for more."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from planner.adapters.exports.book import DAY, Page
from planner.adapters.exports.gradebook.figures import Figures
from planner.adapters.exports.gradebook.rules import dates, one_of
from planner.core.filled_in import NEW, NEW_DAY, NEW_PIECE, NEW_WHO, Field
from planner.services.day.gradebook import who_labels

_HEAD, _FIRST = 3, 4
_NEW_ROWS, _NEW_PRINTED = 60, 6
"""Empty rows for new remarks, and how many of them are printed (house choices)."""
_DAY, _WHO, _PIECE, _MADE_UP, _REMARK = range(1, 6)
_HEADS = ("Day", "Player or section", "Piece", "Made up on", "Remark")
_NEW_KEYS = (NEW_DAY, NEW_WHO, NEW_PIECE, Field.MADE_UP, Field.REMARK)


@dataclass(frozen=True, slots=True)
class _Line:
    """A remark or a make-up."""

    key: str
    on: date
    who: str
    piece: str
    made_up_on: date | None
    remark: str


class Remarks:
    """The sheet with the list."""

    def __init__(self, page: Page, choices: Page, figures: Figures) -> None:
        self._page, self._choices, self._figures = page, choices, figures
        sheet = figures.sheet
        self._labels = who_labels(sheet.sections, sheet.players)
        self._order = {key: at for at, key in enumerate(self._labels)}
        self._lines = tuple(self._found())
        self._last = _FIRST + len(self._lines) + _NEW_ROWS - 1

    def _found(self) -> Iterator[_Line]:
        for day in self._figures.sheet.days:
            for one in day.players:
                if one.note or one.made_up_on:
                    who = self._labels.get(f"player {one.player_id}", one.player)
                    key = f"player {one.player_id} {day.on.isoformat()}"
                    yield _Line(key, day.on, who, "", one.made_up_on, one.note)
            for each in day.readings:
                if each.note and each.piece_id:
                    who = self._labels.get(f"section {each.section_id}", each.section)
                    key = f"reading {each.section_id} {each.piece_id} {day.on.isoformat()}"
                    yield _Line(key, day.on, who, each.piece, None, each.note)

    def is_made_up(self, seat: int, day: str) -> str:
        """Formula, within another, for whether a player has made up for the day in a cell."""
        page, last = self._page, self._last
        days, who, made = (page.range(_FIRST, column, last, column) for column in (_DAY, _WHO, _MADE_UP))
        label = self._choices.cell(self._order[f"player {seat}"], 0)
        return f"SUMPRODUCT(({days}={day})*({who}={label}),{made})>0"

    def fill(self) -> None:
        """Write the list, and beside it, on a hidden sheet, what may be chosen in it."""
        page = self._page
        page.text(1, 1, "Remarks and make-ups", "title")
        page.text(
            2,
            1,
            "For a new one choose the day and the player or section; give the piece where a day has several.",
            "note",
        )
        for column, words in enumerate(_HEADS, start=1):
            page.text(_HEAD, column, words, "head figure" if column in (_DAY, _MADE_UP) else "head")
        for column, key in zip((_DAY, _WHO, _PIECE, _MADE_UP, _REMARK), _NEW_KEYS, strict=True):
            page.column_key(column, key)
        for row, line in enumerate(self._lines, start=_FIRST):
            page.row_key(row, line.key)
            page.guard(f"{line.key} {NEW_WHO}", line.who)
            page.guard(f"{line.key} {NEW_DAY}", line.on.isoformat())
            if line.piece:
                page.guard(f"{line.key} {NEW_PIECE}", line.piece)
            self._line(row, line)
        first_new = _FIRST + len(self._lines)
        for number, row in enumerate(range(first_new, self._last + 1), start=1):
            page.row_key(row, f"{NEW} {number}")
            for column in (_DAY, _WHO, _PIECE, _MADE_UP, _REMARK):
                self._entry(row, column, None)
        self._fill_choices(first_new)
        page.widths((0, 11, 30, 22, 12, 48))
        page.freeze(_FIRST, _WHO + 1)
        page.protect()
        page.for_printing(
            min(self._last, first_new + _NEW_PRINTED - 1), _REMARK, first=(1, 1), heading_rows=(_HEAD, _HEAD)
        )

    def _line(self, row: int, line: _Line) -> None:
        page = self._page
        page.figure(row, _DAY, line.on, DAY)
        page.text(row, _WHO, line.who, "words")
        page.text(row, _PIECE, line.piece, "words")
        if line.key.startswith("player"):
            self._entry(row, _MADE_UP, line.made_up_on)
        else:
            page.text(row, _MADE_UP, "", "none")
        self._entry(row, _REMARK, line.remark)

    def _entry(self, row: int, column: int, value: str | date | None) -> None:
        if column in (_DAY, _MADE_UP):
            self._page.entry(row, column, value, DAY)
        else:
            self._page.entry(row, column, value or "")

    def _fill_choices(self, first_new: int) -> None:
        choices, page, sheet = self._choices, self._page, self._figures.sheet
        titles = sorted({column.title for column in self._figures.columns}, key=str.casefold)
        for at, words in enumerate(self._labels.values()):
            choices.text(at, 0, words)
        for at, on in enumerate(self._figures.days):
            choices.figure(at, 1, on, DAY)
        for at, title in enumerate(titles):
            choices.text(at, 2, title)
        newest, last = first_new + 1, self._last + 1
        lists = (
            ("Who", 0, len(self._labels), "C", "Player or section", "Choose one of the list."),
            ("Days", 1, len(sheet.days), "B", "Day", "Choose a day of this gradebook."),
            ("Pieces", 2, len(titles), "D", "Piece", "Choose a piece of the list."),
        )
        for name, column, count, letter, title, message in lists:
            if count:
                self._choices.name_as(name, column, count)
                page.rule(f"{letter}{newest}:{letter}{last}", one_of(name, title, message))
        page.rule(f"E{_FIRST + 1}:E{last}", dates("Made up on"))
