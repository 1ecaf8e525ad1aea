"""The scale sheet of a gradebook: from which share of measures right on which mark holds."""

from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet

from planner.adapters.exports.workbook import (
    PERCENT,
    SMALL,
    TITLE,
    cell_at,
    entry,
    for_printing,
    heading_row,
    put_text,
    set_widths,
)
from planner.services.sheets.views import GradebookSheet

SCALE_SHEET = "Scale"
_FIRST, _ROWS = 6, 14
_LAST = _FIRST + _ROWS - 1
_WEIGHTS = _LAST + 4
_SHARES = f"{SCALE_SHEET}!$A${_FIRST}:$A${_LAST}"
_MARKS = f"{SCALE_SHEET}!$B${_FIRST}:$B${_LAST}"
_FIRST_WEIGHT = f"{SCALE_SHEET}!$B${_WEIGHTS}"
_SECOND_WEIGHT = f"{SCALE_SHEET}!$B${_WEIGHTS + 1}"


def fill_scale(page: Worksheet, sheet: GradebookSheet, paper: str) -> None:
    """Write the scale and the weights of the two readings, all of them open to change."""
    put_text(cell_at(page, 1, 1), "Scale", TITLE)
    put_text(cell_at(page, 2, 1), "Change the tinted cells and every mark in this workbook follows.", SMALL)
    put_text(
        cell_at(page, 3, 1),
        "A mark holds from its share of measures right up to the next share above.",
        SMALL,
    )
    heading_row(page, _FIRST - 1, ("Measures right, from", "Mark", "In words"), figures=(1, 2))
    for at in range(_ROWS):
        step = sheet.scale[at] if at < len(sheet.scale) else None
        entry(cell_at(page, _FIRST + at, 1), step.share if step else None, PERCENT)
        entry(cell_at(page, _FIRST + at, 2), step.mark if step else None, "0")
        entry(cell_at(page, _FIRST + at, 3), step.word if step else "")
    heading_row(page, _WEIGHTS - 1, ("How much each reading counts", "Weight"), figures=(2,))
    for at, (words, weight) in enumerate((("First reading", 100), ("Second reading", 0))):
        put_text(cell_at(page, _WEIGHTS + at, 1), words)
        entry(cell_at(page, _WEIGHTS + at, 2), weight, "0")
    put_text(cell_at(page, _WEIGHTS + 2, 1), "Without a second reading the first counts alone.", SMALL)
    share, mark = share_rule(), mark_rule()
    share.add(f"A{_FIRST}:A{_LAST}")
    mark.add(f"B{_FIRST}:B{_LAST}")
    mark.add(f"B{_WEIGHTS}:B{_WEIGHTS + 1}")
    page.add_data_validation(share)
    page.add_data_validation(mark)
    set_widths(page, (30, 12, 34))
    for_printing(page, paper=paper)


def share_rule() -> DataValidation:
    """Entries must be shares from 0 to 100 %."""
    return DataValidation(
        type="decimal", operator="between", formula1="0", formula2="1", allow_blank=True,
        showErrorMessage=True, errorTitle="Share of measures right",
        error="Enter a share from 0% to 100%, for example 85%.",
    )  # fmt: skip


def mark_rule() -> DataValidation:
    """Entries must be numbers from 0 to 100."""
    return DataValidation(
        type="decimal", operator="between", formula1="0", formula2="100", allow_blank=True,
        showErrorMessage=True, errorTitle="Mark", error="Enter a number from 0 to 100.",
    )  # fmt: skip


def counted_share(first: str, second: str) -> str:
    """Formula for the share that counts: both readings by their weights, or the first alone."""
    both = f"({first}*{_FIRST_WEIGHT}+{second}*{_SECOND_WEIGHT})/({_FIRST_WEIGHT}+{_SECOND_WEIGHT})"
    weighed = f"AND(ISNUMBER({second}),SUM({_FIRST_WEIGHT},{_SECOND_WEIGHT})>0)"
    return f'=IF(ISNUMBER({first}),IF({weighed},{both},{first}),"")'


def mark_of(share: str) -> str:
    """Formula for the mark of a share, whatever the order of the scale's rows; blank when none holds."""
    above = f'COUNTIF({_SHARES},">"&{share}+0.0000001)'
    reached = f"LARGE({_SHARES},{above}+1)"
    return f'=IF(ISNUMBER({share}),IFERROR(INDEX({_MARKS},MATCH({reached},{_SHARES},0)),""),"")'
