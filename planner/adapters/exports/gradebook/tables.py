"""Tables by day: a row for each section or player, a column for each day or reading."""

from collections.abc import Sequence
from dataclasses import dataclass

from planner.adapters.exports.book import Page, here, letters
from planner.adapters.exports.gradebook.scale import Scale


@dataclass(frozen=True, slots=True)
class Block:
    """A table on a sheet: where its rows and columns of days are, counted from 0.

    Attributes:
        page: The sheet.
        first_row: Of the first section or player.
        first_column, last_column: Of the days; without any day one empty column.
    """

    page: Page
    first_row: int
    first_column: int
    last_column: int

    def cell(self, at: int, column: int) -> str:
        """Reference, from any sheet, to a cell of the row of the section or player at a place."""
        return self.page.cell(self.first_row + at, self.first_column + column)

    def row(self, at: int) -> str:
        """Reference, from any sheet, to the row of the section or player at a place."""
        row = self.first_row + at
        return self.page.range(row, self.first_column, row, self.last_column)

    def within(self, at: int, last: int | None = None) -> str:
        """As ``row``, for formulas of the same sheet, up to the column of a day."""
        row, upto = self.first_row + at, self.last_column if last is None else self.first_column + last
        return f"${letters(self.first_column)}{row + 1}:${letters(upto)}{row + 1}"

    def here(self, at: int, column: int) -> str:
        """As ``cell``, for formulas of the same sheet."""
        return here(self.first_row + at, self.first_column + column)


def average(cells: str) -> str:
    """Formula for the average of the numbers among these cells; blank without any."""
    return f'=IF(COUNT({cells})=0,"",AVERAGE({cells}))'


def weighed(marks: str, weights: str) -> str:
    """Formula for the mark of a term: the marks of the days by their weights; blank without any."""
    return f'=IF(SUM({weights})>0,ROUND(SUMPRODUCT({marks},{weights})/SUM({weights}),10),"")'


def weight_rows(
    block: Block, marks: Block, head: Block, scale: Scale, weights: Sequence[tuple[str, float]],
    values: Sequence[Sequence[float | None]],
) -> None:  # fmt: skip
    """How much each day counts for each row, the lowest left out; above it what days weigh.

    Args:
        block: Where it goes.
        marks: The marks of the days, on the same sheet.
        head: The one row of what each day weighs.
        scale: Where it is chosen how many days are left out.
        weights: By column, reference to what its day weighs, and that; an empty one: the day has another.
        values: By row and column, what the formulas come to.
    """
    for column, (text, weight) in enumerate(weights):
        at = head.first_column + column
        head.page.formula(head.first_row, at, f"=N({text})" if text else "=0", weight)
    for at, row in enumerate(values):
        for column, value in enumerate(row):
            text = _weight(marks, head, at, column, scale.dropped)
            block.page.formula(block.first_row + at, block.first_column + column, text, value)


def _weight(marks: Block, head: Block, at: int, column: int, drop: str) -> str:
    """What a day counts: nothing when it is among the lowest; of equally low days the first goes."""
    own, every, weights = marks.here(at, column), marks.within(at), head.within(0)
    weight = head.here(0, column)
    counted = f"({every}<101)*({weights}>0)"  # a text, as of a day without a mark, is above every number
    lower = f"SUMPRODUCT({counted}*({every}<{own}))"
    earlier = ""
    if column:
        past, own_past = head.within(0, column - 1), marks.within(at, column - 1)
        earlier = f"+SUMPRODUCT(({past}>0)*({own_past}={own}))"
    dropped = f"IF(N({drop})>0,{lower}{earlier}<MIN(N({drop}),SUMPRODUCT({counted})-1),FALSE)"
    return f'=IF(AND(ISNUMBER({own}),{weight}>0),IF({dropped},0,{weight}),"")'
