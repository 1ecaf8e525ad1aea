"""The dynamics line of a player's sheet: every mark, in rows where one cannot hold them all."""

from math import ceil

from planner.core.profile import DynamicUse, PartProfile, PieceProfile
from planner.services.sheets.views import DynamicPlace, DynamicRow
from planner.wording.words import BarNames, bar_names, bar_number

MOST_MARKS, MOST_ROWS = 14, 3
"""Marks and hairpins that a row holds, and most rows; a part with more has none: with marks left out the line
would tell a wrong loudness. Source: house choice."""


def has_dynamics_line(part: PartProfile) -> bool:
    """Whether a sheet draws the dynamics of a part: it has some, and not too many."""
    return 0 < len(part.dynamics) <= MOST_MARKS * MOST_ROWS


def dynamic_rows(profile: PieceProfile, part: PartProfile) -> tuple[DynamicRow, ...]:
    """The dynamics of a part along the piece, in rows of about as many marks; none where none are drawn.

    Each row is as long as the bars from its first mark to the first of the next row.
    """
    if not has_dynamics_line(part):
        return ()
    uses, numbers = part.dynamics, bar_names(profile)
    count = ceil(len(uses) / MOST_MARKS)
    starts = [0, *sorted({uses[len(uses) * row // count].measure for row in range(1, count)} - {0})]
    ends = [*starts[1:], max(1, profile.measures)]
    rows = (
        [use for use in uses if first <= use.measure < end] for first, end in zip(starts, ends, strict=True)
    )
    return tuple(
        tuple(_place(use, numbers, first, end) for use in row)
        for row, first, end in zip(rows, starts, ends, strict=True)
        if row
    )


def _place(use: DynamicUse, numbers: BarNames, first: int, end: int) -> DynamicPlace:
    last = use.measure if use.end_measure is None else use.end_measure
    bar, whole = bar_number(numbers, use.measure), end - first
    return DynamicPlace(use.mark, (use.measure - first) / whole, min(1.0, (last + 1 - first) / whole), bar)
