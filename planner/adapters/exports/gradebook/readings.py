"""How each section read: readings and points of the form by day, marks that follow, each section's term."""

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from planner.adapters.exports.book import MARK, NUMBER, SHORT_DAY, Page, letters, of_hundred_shape
from planner.adapters.exports.gradebook.figures import (
    Figures,
    ReadingColumn,
    mark_that_day,
    mean,
    number,
    weight_that_day,
)
from planner.adapters.exports.gradebook.rules import of_hundred, of_hundred_or
from planner.adapters.exports.gradebook.scale import Scale
from planner.adapters.exports.gradebook.tables import Block, average, weighed, weight_rows
from planner.adapters.exports.workbook import width_for
from planner.core.filled_in import EACH, NAME
from planner.core.term import FELL_APART_SHARE
from planner.wording.director.read_in import APART, FELL_APART
from planner.wording.director.sections import OUT_WORDS
from planner.wording.words import made_words

_DAYS, _TITLES, _FIRST = 3, 4, 5
_FIRST_COLUMN = 2
_FORM_NOTE = "The scoring form is filled in in the program."
_GAIN_SHAPE = "+0.0;-0.0;0"
MOST_COLUMNS = 36
"""Columns of days that can still be read side by side in print. Source: House choice."""
LONGEST_HEADING = 22
"""Letters of a title that stands upright; the sheet Scale has it whole. Source: House choice."""
UPRIGHT_COLUMNS = 16
"""Columns of days for which a sheet is wide enough that stands upright. Source: House choice."""
_FORM = "Scoring form"


@dataclass(frozen=True, slots=True)
class _Mean:
    """A column of a section's term: the mean of its row in a block.

    Attributes:
        heading: Of the column.
        block: Where the values stand.
        value: What stands there, by section and column.
        shape: Of the number.
        width: Of the column, in characters.
    """

    heading: str
    block: Block
    value: Callable[[int, ReadingColumn], Fraction | None]
    shape: str
    width: float


class Readings:
    """The sheet with the readings by day, and the sheet that sums them up."""

    def __init__(self, page: Page, figures: Figures, scale: Scale) -> None:
        self._page, self._figures, self._scale = page, figures, scale
        self._sections = figures.sheet.sections
        self._wide = max(len(figures.columns), 1)
        printed = 4 if figures.has_forms else 3
        self.first, self.second, self.marks = (self._block(at) for at in (0, 1, printed - 1))
        self.form = self._block(2) if figures.has_forms else None
        below = _FIRST + printed * (len(self._sections) + 1) + 2
        self._number, self._gain, self._counted, self._reading_marks = (
            self._block(at, below) for at in range(4)
        )
        after = below + 4 * (len(self._sections) + 1)
        self._head = Block(page, after, _FIRST_COLUMN, _FIRST_COLUMN + self._wide - 1)
        self._weights = self._block(0, after + 1)
        self._rows = {section_id: at for at, (section_id, _) in enumerate(self._sections)}
        self._of_day = {
            column.on: at
            for at, column in reversed(tuple(enumerate(figures.columns)))
        }  # fmt: skip

    def _block(self, at: int, start: int = _FIRST) -> Block:
        first = start + at * (len(self._sections) + 1) + 1
        return Block(self._page, first, _FIRST_COLUMN, _FIRST_COLUMN + self._wide - 1)

    def day_mark(self, section_id: int, on: object) -> str:
        """Reference to a section's mark of a day; empty when nothing was to be read on it."""
        column = self._of_day.get(on)  # type: ignore[call-overload]
        return "" if column is None else self.marks.cell(self._rows[section_id], column)

    def fill(self) -> None:
        """Write the readings by day."""
        page, columns = self._page, self._figures.columns
        page.text(1, 1, "Readings", "title")
        entries = f"Bars right of 100, or “{APART}” where a reading fell apart. Fill in the tinted cells."
        page.text(2, 1, f"{entries} {_FORM_NOTE}" if self.form else entries, "note")
        page.text(_DAYS, 1, "Section", "head")
        page.text(_TITLES, 1, "", "head")
        for at, column in enumerate(columns, start=_FIRST_COLUMN):
            page.figure(_DAYS, at, column.on, SHORT_DAY, "head upright")
            page.text(_TITLES, at, _cut(column.title), "head upright")
            page.column_key(at, f"{column.piece_id} {column.on.isoformat()}")
        page.column_key(1, NAME)
        page.heights((_DAYS,), 40)
        page.heights((_TITLES,), 18 + 5.0 * max((len(_cut(each.title)) for each in columns), default=0))
        self._entries(self.first, "First reading", "first")
        self._entries(self.second, "Second reading", "second")
        if self.form:
            self._points(self.form)
        self._day_marks()
        self._helpers()
        names = width_for((name for _, name in self._sections), least=12, most=24)
        page.widths((0, names, *[3.9] * self._wide))
        page.freeze(_FIRST, _FIRST_COLUMN)
        page.protect()
        page.for_printing(
            self.marks.first_row + len(self._sections), _FIRST_COLUMN + self._wide - 1, first=(1, 1),
            landscape=len(columns) > UPRIGHT_COLUMNS, pages_wide=max(1, -(-len(columns) // MOST_COLUMNS)),
            heading_rows=(_DAYS, _TITLES), heading_columns=(1, 1),
        )  # fmt: skip

    def _entries(self, block: Block, heading: str, field: str) -> None:
        self._named(block, heading)
        for section_id, at in self._rows.items():
            key = f"reading {section_id} {EACH} {field}"
            self._page.row_key(block.first_row + at, key)
            self._page.guard(key.replace(EACH, NAME), self._sections[at][1])
            for place, column in enumerate(self._figures.columns):
                reading = self._figures.reading(section_id, column)
                if reading is None:
                    self._page.text(block.first_row + at, _FIRST_COLUMN + place, "", "none")
                    continue
                share = reading.second_share if field == "second" else reading.first_share
                figure = None if share is None else round(100 * share, 9)
                shape = of_hundred_shape(figure, is_bracketed=not reading.counts)
                is_apart = field == "first" and reading.fell_apart
                value = APART if is_apart else figure
                self._page.entry(block.first_row + at, _FIRST_COLUMN + place, value, shape)
        if self._rows and self._figures.columns:
            rule = of_hundred("Bars right", "such as 85")
            if field == "first":
                rule = of_hundred_or(APART, block.here(0, 0))
            self._page.rule(self._range(block), rule)

    def _points(self, block: Block) -> None:
        """What the points of the form come to: they are filled in in the program."""
        self._named(block, f"{_FORM}, of 100")
        for section_id, at in self._rows.items():
            for place, column in enumerate(self._figures.columns):
                look = "none" if self._figures.reading(section_id, column) is None else "figure"
                value = number(self._figures.form(section_id, column))
                self._page.figure(block.first_row + at, _FIRST_COLUMN + place, value, "0.0", look)

    def _range(self, block: Block) -> str:
        last = block.first_row + len(self._rows)
        return f"{letters(_FIRST_COLUMN)}{block.first_row + 1}:{letters(block.last_column)}{last}"

    def _unkeyed(self, block: Block) -> None:
        """Rows in which nothing is filled in."""
        for row in range(block.first_row - 1, block.first_row + len(self._sections)):
            self._page.row_key(row)

    def _named(self, block: Block, heading: str) -> None:
        self._unkeyed(block)
        self._page.text(block.first_row - 1, 1, heading, "block")
        for at, (_, name) in enumerate(self._sections):
            self._page.text(block.first_row + at, 1, name)

    def _day_marks(self) -> None:
        """A section's day below its first piece: the mean of its readings."""
        self._named(self.marks, "Mark of the day")
        columns = self._figures.columns
        for section_id, at in self._rows.items():
            for place, column in enumerate(columns):
                row, there = self.marks.first_row + at, _FIRST_COLUMN + place
                if self._of_day[column.on] != place:
                    self._page.formula(row, there, '=""', None, MARK)
                    continue
                same = [n for n, each in enumerate(columns) if each.on == column.on]
                cells = f"{self._reading_marks.here(at, same[0])}:{self._reading_marks.here(at, same[-1])}"
                value = mark_that_day(self._figures.section_day(section_id, column.on))
                text = f'=IF(COUNT({cells})=0,"",ROUND(AVERAGE({cells}),10))'
                self._page.formula(row, there, text, value, MARK)

    def _helpers(self) -> None:
        """Beneath what is printed: what the marks are worked out from, step by step."""
        first, second, counted = self._number, self.second, self._counted
        self._page.row_key(self._number.first_row - 2)
        self._page.text(self._number.first_row - 2, 1, "How the marks come about (not printed)", "note")

        def plain(at: int, place: int) -> str:
            typed = self.first.here(at, place)
            is_apart = f'OR({typed}="{APART}",{typed}="{FELL_APART}")'
            return f'=IF(ISNUMBER({typed}),{typed},IF({is_apart},{100 * FELL_APART_SHARE:g},""))'

        def gained(at: int, place: int) -> str:
            one, two = first.here(at, place), second.here(at, place)
            return f'=IF(AND(ISNUMBER({one}),ISNUMBER({two})),ROUND({two}-{one},10),"")'

        def counts(at: int, place: int) -> str:
            points = self.form.here(at, place) if self.form else ""
            return self._scale.counted(first.here(at, place), second.here(at, place), points)

        def marked(at: int, place: int) -> str:
            return self._scale.mark_of(counted.here(at, place))

        figures = self._figures
        self._formulas(self._number, "First reading as a number", plain, figures.first, "0.0")
        self._formulas(self._gain, "Gain", gained, figures.gain, _GAIN_SHAPE)
        self._formulas(counted, "What counts, of 100", counts, figures.counted, "0.0")
        self._formulas(self._reading_marks, "Mark of the reading", marked, figures.reading_mark, MARK)
        self._page.row_key(self._head.first_row)
        self._page.text(self._head.first_row, 1, "Weight of the day", "block")
        self._named(self._weights, "What the day counts")
        columns = figures.columns
        is_first = [self._of_day[column.on] == place for place, column in enumerate(columns)]
        weights = [
            (self._scale.weight(c.on), float(figures.sheet.scheme.weight_of(c.on))) if first_of else ("", 0.0)
            for c, first_of in zip(columns, is_first, strict=True)
        ]
        values = [
            [
                weight_that_day(figures.section_day(section_id, column.on)) if first_of else None
                for column, first_of in zip(columns, is_first, strict=True)
            ]
            for section_id in self._rows
        ]
        weight_rows(self._weights, self.marks, self._head, self._scale, weights, values)

    def _formulas(
        self, block: Block, heading: str, text: Callable[[int, int], str],
        value: Callable[[int, ReadingColumn], object], shape: str,
    ) -> None:  # fmt: skip
        self._named(block, heading)
        for section_id, at in self._rows.items():
            for place, column in enumerate(self._figures.columns):
                found = number(value(section_id, column))  # type: ignore[arg-type]
                self._page.formula(block.first_row + at, _FIRST_COLUMN + place, text(at, place), found, shape)

    def fill_summary(self, page: Page) -> None:
        """Write each section's term."""
        sheet, figures = self._figures.sheet, self._figures
        made = f"{made_words(sheet.made_on, sheet.library_version)}."
        page.text(0, 0, f"{sheet.term}: gradebook", "title")
        page.text(1, 0, f"{sheet.ensemble}. {made}", "note")
        page.text(2, 0, "Empty cells never count. Bars right are of 100.", "note")
        means = self._means()
        shapes, mark_column = (*(each.shape for each in means), MARK), 2 + len(means)
        for column, words in enumerate(("Section", "Readings", *(each.heading for each in means), "Mark")):
            page.text(4, column, words, "head figure" if column else "head")
        page.text(4, mark_column + 1, "In words", "head")
        lines = []
        for section_id, at in self._rows.items():
            row, term = 5 + at, figures.marks.sections[at].term
            found = [self._values(section_id, each.value) for each in means]
            values = [*(mean(each) for each in found), term.mark]
            texts = [average(each.block.row(at)) for each in means]
            texts.append(weighed(self.marks.row(at), self._weights.row(at)))
            lines.append(values)
            page.text(row, 0, self._sections[at][1])
            page.formula(row, 1, f"=COUNT({self._number.row(at)})", float(len(found[0])), "0")
            for column, (text, value, shape) in enumerate(zip(texts, values, shapes, strict=True), start=2):
                page.formula(row, column, text, number(value), shape)
            words = self._scale.word_of(f"{letters(mark_column)}{row + 1}")
            page.formula(row, mark_column + 1, words, term.word, NUMBER, "name")
        after = 5 + len(self._sections)
        if lines:
            page.text(after, 0, "Whole ensemble", "block")
            for column, shape in enumerate(shapes, start=2):
                cells = f"{letters(column)}6:{letters(column)}{after}"
                page.formula(after, column, average(cells), number(mean(x[column - 2] for x in lines)), shape)
        page.text(
            after + 2,
            0,
            f"Bars right in parentheses on the sheet Readings: {OUT_WORDS} for the level.",
            "note",
        )
        names = width_for((name for _, name in self._sections), least=16, most=34)
        page.widths((names, 9, *(each.width for each in means), 9, 22))
        page.freeze(5, 1)
        page.protect()
        page.for_printing(after + 2, mark_column + 1, heading_rows=(4, 4))

    def _means(self) -> tuple[_Mean, ...]:
        """What is averaged over the term, column by column."""
        figures = self._figures
        form = (_Mean(_FORM, self.form, figures.form, "0.0", 10),) if self.form else ()
        return (
            _Mean("First reading", self._number, figures.first, "0.0", 12),
            _Mean("Second reading", self.second, figures.second, "0.0", 12),
            _Mean("Gain", self._gain, figures.gain, "+0.0;-0.0;0.0", 9),
            *form,
        )

    def _values(
        self, section_id: int, value: Callable[[int, ReadingColumn], Fraction | None]
    ) -> list[Fraction]:
        """A section's values of a kind, those that are there."""
        every = (value(section_id, column) for column in self._figures.columns)
        return [each for each in every if each is not None]


def _cut(title: str) -> str:
    """A title that stands upright over a narrow column: its beginning."""
    return title if len(title) <= LONGEST_HEADING else f"{title[: LONGEST_HEADING - 1].rstrip()}…"
