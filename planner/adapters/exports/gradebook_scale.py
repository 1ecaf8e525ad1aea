"""The scale sheet of a gradebook: from which share of measures right on which mark holds."""

from collections.abc import Sequence
from decimal import Decimal

from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet

from planner.adapters.exports.workbook import (
    FIGURE,
    GENERAL,
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
from planner.core.mark_scheme import ScaleStep
from planner.services.sheets.views import GradebookSheet

SCALE_SHEET = "Scale"
_FIRST, _ROWS = 6, 14
_LAST = _FIRST + _ROWS - 1
_WEIGHTS = _LAST + 4
_SHARES = f"{SCALE_SHEET}!$A${_FIRST}:$A${_LAST}"
_MARKS = f"{SCALE_SHEET}!$B${_FIRST}:$B${_LAST}"
_PARTS = _WEIGHTS + 6
_CHOICES = _PARTS + 5


def _choice(row: int) -> str:
    return f"{SCALE_SHEET}!$B${row}"


_FIRST_WEIGHT, _SECOND_WEIGHT, _GAIN_WEIGHT = (_choice(_WEIGHTS + at) for at in range(3))
_SECTION_WEIGHT, _OWN_WEIGHT, _ATTENDANCE_WEIGHT = (_choice(_PARTS + at) for at in range(3))
_OWN_REPLACES, _LATE, _ABSENT, DROPPED = (_choice(_CHOICES + at) for at in range(4))


def fill_scale(page: Worksheet, sheet: GradebookSheet, paper: str) -> None:
    """Write the scale, the weights and the other choices, all of them open to change."""
    put_text(cell_at(page, 1, 1), "Scale", TITLE)
    put_text(cell_at(page, 2, 1), "Change the tinted cells and every mark in this workbook follows.", SMALL)
    put_text(
        cell_at(page, 3, 1),
        "A mark holds from its share of measures right up to the next share above.",
        SMALL,
    )
    heading_row(page, _FIRST - 1, ("Measures right, from", "Mark", "In words"), figures=(1, 2))
    scheme = sheet.scheme
    steps = sorted(scheme.scale, key=lambda step: step.share)
    for at in range(_ROWS):
        step = steps[at] if at < len(steps) else None
        from_share = float(step.share) if step else None
        entry(cell_at(page, _FIRST + at, 1), from_share, _percent(step))
        entry(cell_at(page, _FIRST + at, 2), float(step.mark) if step else None, GENERAL)
        entry(cell_at(page, _FIRST + at, 3), step.word if step else "")
    heading_row(page, _WEIGHTS - 1, ("How much each reading counts", "Weight"), figures=(2,))
    readings = (
        ("First reading", scheme.first), ("Second reading", scheme.second),
        ("Gain: of the wrong bars, how many were put right", scheme.gain),
    )  # fmt: skip
    _numbers(page, _WEIGHTS, readings)
    put_text(cell_at(page, _WEIGHTS + 3, 1), "Without a second reading the first counts alone.", SMALL)
    heading_row(page, _PARTS - 1, ("What makes a player's day", "Weight"), figures=(2,))
    parts = (
        ("Section's mark", scheme.section), ("Own mark", scheme.own), ("Attendance", scheme.attendance),
    )  # fmt: skip
    _numbers(page, _PARTS, parts)
    heading_row(page, _CHOICES - 1, ("Other choices", ""), figures=(2,))
    put_text(cell_at(page, _CHOICES, 1), "An own mark takes the place of the section's")
    entry(cell_at(page, _CHOICES, 2), "yes" if scheme.own_replaces else "no")
    cell_at(page, _CHOICES, 2).alignment = FIGURE
    credits = (
        ("Credit for late, of 100", scheme.late), ("Credit for absent, of 100", scheme.absent),
        ("Lowest days left out", Decimal(scheme.drop)),
    )  # fmt: skip
    _numbers(page, _CHOICES + 1, credits)
    put_text(
        cell_at(page, _CHOICES + 4, 1),
        "Excused never counts. A mark for a day that was missed counts once it is made up.",
        SMALL,
    )
    share, mark, weight, yes = share_rule(), mark_rule(), weight_rule(), _yes_rule()
    share.add(f"A{_FIRST}:A{_LAST}")
    mark.add(f"B{_FIRST}:B{_LAST}")
    weight.add(f"B{_WEIGHTS}:B{_WEIGHTS + 2}")
    weight.add(f"B{_PARTS}:B{_PARTS + 2}")
    yes.add(f"B{_CHOICES}")
    mark.add(f"B{_CHOICES + 1}:B{_CHOICES + 3}")
    for rule in (share, mark, weight, yes):
        page.add_data_validation(rule)
    set_widths(page, (50, 12, 34))
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


def weight_rule() -> DataValidation:
    """Entries must be weights."""
    return DataValidation(
        type="decimal", operator="between", formula1="0", formula2="1000", allow_blank=True,
        showErrorMessage=True, errorTitle="Weight", error="Enter a number from 0 to 1000.",
    )  # fmt: skip


def _yes_rule() -> DataValidation:
    return DataValidation(
        type="list", formula1='"yes,no"', allow_blank=False, showErrorMessage=True,
        errorTitle="Own mark", error="Enter yes or no.",
    )  # fmt: skip


def _percent(step: ScaleStep | None) -> str:
    return PERCENT if step is None or not 100 * step.share % 1 else "0.0%"


def _numbers(page: Worksheet, row: int, lines: Sequence[tuple[str, Decimal]]) -> None:
    for at, (words, number) in enumerate(lines, start=row):
        put_text(cell_at(page, at, 1), words)
        entry(cell_at(page, at, 2), float(number), GENERAL)


def counted_share(first: str, second: str) -> str:
    """Formula for the share that counts: readings and gain by their weights, or the first alone."""
    read = f"ISNUMBER({second})"
    gained = f"AND({read},{first}<1)"
    weights = f"N({_FIRST_WEIGHT})+IF({read},N({_SECOND_WEIGHT}),0)+IF({gained},N({_GAIN_WEIGHT}),0)"
    values = (
        f"{first}*N({_FIRST_WEIGHT})+IF({read},{second}*N({_SECOND_WEIGHT}),0)"
        f"+IF({gained},MAX(0,({second}-{first})/(1-{first}))*N({_GAIN_WEIGHT}),0)"
    )
    return f'=IF(ISNUMBER({first}),IF({weights}>0,({values})/({weights}),{first}),"")'


def player_mark(row: int) -> str:
    """Formula for a player's mark of a day, from the cells of their row on the sheet of the day."""
    state, section, own, made_up = (f"{column}{row}" for column in "CDEG")
    missed = f'OR({state}="absent",{state}="excused")'
    has_own = f"AND(ISNUMBER({own}),OR(NOT({missed}),ISNUMBER({made_up})))"
    has_section = f'AND(ISNUMBER({section}),NOT({missed}),NOT(AND({has_own},{_OWN_REPLACES}="yes")))'
    is_known = f'OR({state}="present",{state}="late",{state}="absent")'
    missing = f'AND({state}="absent",NOT(ISNUMBER({made_up})))'
    credit = f'IF({state}="late",N({_LATE}),IF({missing},N({_ABSENT}),100))'
    parts = (
        (has_section, section, _SECTION_WEIGHT), (has_own, own, _OWN_WEIGHT),
        (is_known, credit, _ATTENDANCE_WEIGHT),
    )  # fmt: skip
    weights = "+".join(f"IF({counts},N({weight}),0)" for counts, _, weight in parts)
    values = "+".join(f"IF({counts},{value}*N({weight}),0)" for counts, value, weight in parts)
    return f'=IF({weights}>0,({values})/({weights}),"")'


def mark_of(share: str) -> str:
    """Formula for the mark of a share, whatever the order of the scale's rows; blank when none holds."""
    above = f'COUNTIF({_SHARES},">"&{share}+0.0000001)'
    reached = f"LARGE({_SHARES},{above}+1)"
    return f'=IF(ISNUMBER({share}),IFERROR(INDEX({_MARKS},MATCH({reached},{_SHARES},0)),""),"")'
