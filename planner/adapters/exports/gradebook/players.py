"""Players by day: who was there, own marks, the marks that follow, and each player's term."""

from collections.abc import Callable

from planner.adapters.exports.book import MARK, NUMBER, SHORT_DAY, Page, here, letters, of_hundred_shape
from planner.adapters.exports.gradebook.figures import (
    Figures,
    attendance_share,
    mark_that_day,
    number,
    weight_that_day,
)
from planner.adapters.exports.gradebook.readings import MOST_COLUMNS, UPRIGHT_COLUMNS, Readings
from planner.adapters.exports.gradebook.remarks import Remarks
from planner.adapters.exports.gradebook.rules import attendance, of_hundred
from planner.adapters.exports.gradebook.scale import ABSENT, EXCUSED, Scale
from planner.adapters.exports.gradebook.tables import Block, weighed, weight_rows
from planner.adapters.exports.workbook import width_for
from planner.core.filled_in import NAME
from planner.core.term import Attendance
from planner.services.sheets.views import PlayerDay
from planner.wording.director.marks import ATTENDANCE_WORDS, LETTERS
from planner.wording.words import listed

_DAYS, _FIRST = 3, 4
_FIRST_COLUMN = 3
_HEADS = ("Player", "Section", "Here", "Late", "Absent", "Excused", "Attendance", "Mark", "In words")


class Players:
    """The sheets with a row for each player."""

    def __init__(
        self, attendance_page: Page, own_page: Page, marks_page: Page, figures: Figures, scale: Scale,
        readings: Readings, remarks: Remarks,
    ) -> None:  # fmt: skip
        self._figures, self._scale, self._readings, self._remarks = figures, scale, readings, remarks
        self._players = figures.sheet.players
        self._wide = max(len(figures.days), 1)
        self._attendance, self._own, self._marks = (
            self._block(page, _FIRST) for page in (attendance_page, own_page, marks_page)
        )
        below = _FIRST + len(self._players) + 3
        self._made_up = self._block(marks_page, below)
        after = below + len(self._players) + 1
        self._head = self._block(marks_page, after)
        self._weights = self._block(marks_page, after + 2)
        self._there = {(each.player_id, day.on): each for day in figures.sheet.days for each in day.players}

    def _block(self, page: Page, row: int) -> Block:
        return Block(page, row, _FIRST_COLUMN, _FIRST_COLUMN + self._wide - 1)

    def fill(self) -> None:
        """Write attendance, own marks and the marks by day."""
        letters_text = listed([f"{letter} {ATTENDANCE_WORDS[state]}" for state, letter in LETTERS.items()])
        self._page(
            self._attendance, "Attendance", f"{letters_text}. Gray: not in the ensemble that day.", 2.6
        )
        self._entries(
            self._attendance,
            "attendance",
            lambda one: (LETTERS[one.attendance] if one.attendance else None, "@"),
        )
        self._page(
            self._own, "Own marks", "Marks of 100, two decimals at most. Fill in the tinted cells.", 3.9
        )
        self._entries(self._own, "mark", _own_mark)
        if self._players and self._figures.days:
            self._attendance.page.rule(self._range(self._attendance), attendance())
            self._own.page.rule(self._range(self._own), of_hundred("Own mark", "such as 87.5"))
        self._page(self._marks, "Marks", "Marks of the day, of 100. They follow from the other sheets.", 3.9)
        self._day_marks()
        self._helpers()

    def _page(self, block: Block, title: str, note: str, width: float) -> None:
        page, days = block.page, self._figures.days
        page.text(1, 1, title, "title")
        page.text(2, 1, note, "note")
        page.text(_DAYS, 1, "Player", "head")
        page.text(_DAYS, 2, "Section", "head")
        for at, on in enumerate(days, start=_FIRST_COLUMN):
            page.figure(_DAYS, at, on, SHORT_DAY, "head upright")
        page.heights((_DAYS,), 42)
        self._named(block)
        names = width_for((name for _, name, _ in self._players), least=12, most=19)
        sections = width_for((section for _, _, section in self._players), least=7, most=11)
        page.widths((0, names, sections, *[width] * self._wide))
        page.freeze(_FIRST, _FIRST_COLUMN)
        page.protect()
        page.for_printing(
            _FIRST + max(len(self._players), 1) - 1, _FIRST_COLUMN + self._wide - 1, first=(1, 1),
            landscape=width > 3 and len(days) > UPRIGHT_COLUMNS,
            pages_wide=max(1, -(-len(days) // MOST_COLUMNS)),
            heading_rows=(_DAYS, _DAYS), heading_columns=(1, 2),
        )  # fmt: skip

    def _named(self, block: Block) -> None:
        for at, (_, name, section) in enumerate(self._players):
            block.page.text(block.first_row + at, 1, name)
            block.page.text(block.first_row + at, 2, section)

    def _entries(
        self, block: Block, field: str, entry: Callable[[PlayerDay], tuple[str | float | None, str]]
    ) -> None:
        for at, on in enumerate(self._figures.days):
            block.page.column_key(_FIRST_COLUMN + at, f"{on.isoformat()} {field}")
        block.page.column_key(1, NAME)
        for at, (seat, name, _) in enumerate(self._players):
            block.page.row_key(block.first_row + at, f"player {seat}")
            block.page.guard(f"player {seat} {NAME}", name)
            for place, on in enumerate(self._figures.days):
                there = self._there.get((seat, on))
                row, column = block.first_row + at, _FIRST_COLUMN + place
                if there is None:
                    block.page.text(row, column, "", "none")
                else:
                    block.page.entry(row, column, *entry(there))

    def _range(self, block: Block) -> str:
        last = block.first_row + len(self._players)
        return f"{letters(_FIRST_COLUMN)}{block.first_row + 1}:{letters(block.last_column)}{last}"

    def _day_marks(self) -> None:
        for at, (seat, _, _) in enumerate(self._players):
            for place, on in enumerate(self._figures.days):
                there = self._there.get((seat, on))
                row, column = self._marks.first_row + at, _FIRST_COLUMN + place
                if there is None:
                    self._marks.page.formula(row, column, '=""', None, MARK, "none")
                    continue
                section = self._readings.day_mark(there.section_id, on) or '""'
                text = self._scale.player_mark(
                    self._attendance.cell(at, place),
                    section,
                    self._own.cell(at, place),
                    self._made_up.here(at, place),
                )
                value = mark_that_day(self._figures.player_day(seat, on))
                self._marks.page.formula(row, column, text, value, MARK)

    def _helpers(self) -> None:
        """Beneath what is printed: what was made up, and how much each day counts."""
        page = self._marks.page
        page.text(self._made_up.first_row - 2, 1, "How the marks come about (not printed)", "note")
        page.text(self._made_up.first_row - 1, 1, "Made up (1: yes)", "block")
        self._named(self._made_up)
        for at, (seat, _, _) in enumerate(self._players):
            for place, on in enumerate(self._figures.days):
                there = self._there.get((seat, on))
                missed = there is not None and there.attendance in (Attendance.ABSENT, Attendance.EXCUSED)
                value = float(there is not None and there.made_up_on is not None) if missed else None
                state = self._attendance.cell(at, place)
                made = self._remarks.is_made_up(seat, here(_DAYS, _FIRST_COLUMN + place, row_abs=True))
                text = f'=IF(OR({state}="{ABSENT}",{state}="{EXCUSED}"),IF({made},1,0),"")'
                page.formula(self._made_up.first_row + at, _FIRST_COLUMN + place, text, value, "0")
        page.text(self._head.first_row, 1, "Weight of the day", "block")
        page.text(self._weights.first_row - 1, 1, "What the day counts", "block")
        self._named(self._weights)
        weigh = self._figures.sheet.scheme.weight_of
        days = self._figures.days
        weights = [(self._scale.weight(on), float(weigh(on))) for on in days]
        values = [
            [weight_that_day(self._figures.player_day(seat, on)) for on in days]
            for seat, _, _ in self._players
        ]
        weight_rows(self._weights, self._marks, self._head, self._scale, weights, values)

    def fill_summary(self, page: Page) -> None:
        """Write each player's term."""
        page.text(0, 0, "Players", "title")
        page.text(1, 0, "Attendance leaves excused days out. Marks are of 100.", "note")
        for column, words in enumerate(_HEADS):
            page.text(3, column, words, "head" if column in (0, 1, 8) else "head figure")
        for at, mine in enumerate(self._figures.marks.players):
            row, states = 4 + at, self._attendance.row(at)
            page.text(row, 0, mine.name)
            page.text(row, 1, mine.section)
            for column, state in enumerate(Attendance, start=2):
                text = f'=COUNTIF({states},"{LETTERS[state]}")'
                page.formula(row, column, text, float(mine.count(state)), "0")
            here_late, counted = f"(C{row + 1}+D{row + 1})", f"SUM(C{row + 1}:E{row + 1})"
            page.formula(row, 6, f'=IF({counted}=0,"",{here_late}/{counted})', attendance_share(mine), "0%")
            mark = weighed(self._marks.row(at), self._weights.row(at))
            page.formula(row, 7, mark, number(mine.term.mark), MARK)
            page.formula(row, 8, self._scale.word_of(f"H{row + 1}"), mine.term.word, NUMBER, "name")
        names = width_for((name for _, name, _ in self._players), least=18, most=30)
        sections = width_for((section for _, _, section in self._players), least=10, most=20)
        page.widths((names, sections, 6.5, 6.5, 7.5, 8.5, 11, 7.5, 20))
        page.freeze(4, 1)
        page.protect()
        page.for_printing(4 + max(len(self._players), 1) - 1, 8, heading_rows=(3, 3))


def _own_mark(one: PlayerDay) -> tuple[float | None, str]:
    """A player's own mark, and the form in which it is shown."""
    mark = None if one.mark is None else float(one.mark)
    return mark, of_hundred_shape(mark)
