"""The dynamics line of a player's sheet: every mark, or the main ones where the line cannot hold them all."""

from collections.abc import Sequence

from planner.core.profile import DynamicUse, PartProfile, PieceProfile
from planner.services.sheets.views import DynamicPlace
from planner.study.page.dynamics import LOUDNESS, SWELLS, is_step
from planner.wording.words import bar_names, bar_number

MOST_MARKS = 16
"""Marks and hairpins that a dynamics line holds. Source: house choice."""
LONG_SWELL = 2
"""Bars from which a hairpin is worth as much as a new mark. Source: house choice."""


def dynamic_places(profile: PieceProfile, part: PartProfile) -> tuple[DynamicPlace, ...]:
    """The dynamics of a part along the piece, the main ones where they are many."""
    return tuple(_place(use, profile) for use in _main(part.dynamics))


def are_all_drawn(part: PartProfile) -> bool:
    """Whether the line holds every mark of the part."""
    return len(part.dynamics) <= MOST_MARKS


def _main(uses: Sequence[DynamicUse]) -> list[DynamicUse]:
    """Those that a player must know of first, as many as there is room for, in their order."""
    worth = _worth(uses)
    ranked = sorted(range(len(uses)), key=lambda at: (-worth[at], at))
    return [uses[at] for at in sorted(ranked[:MOST_MARKS])]


_UNKNOWN = 100
"""How loud it is after "più f": not as any plain mark."""


def _worth(uses: Sequence[DynamicUse]) -> list[int]:
    """For each mark how much it matters: where it begins, jumps, is loudest or softest; then what changes."""
    lasting = [LOUDNESS[use.mark] for use in uses if use.mark in LOUDNESS]
    extremes = {min(lasting), max(lasting)} if lasting else set()
    found: list[int] = []
    before = None
    for use in uses:
        loudness = LOUDNESS.get(use.mark)
        if is_step(use.mark):
            found.append(2)
            before = None if before is None else _UNKNOWN
        elif loudness is None:
            last = use.measure if use.end_measure is None else use.end_measure
            found.append(2 if use.mark in SWELLS and last - use.measure + 1 >= LONG_SWELL else 1)
        elif loudness == before:
            found.append(0)
        else:
            found.append(4 if before is None or use.sudden_from else 3 if loudness in extremes else 2)
            extremes.discard(loudness)
        before = before if loudness is None else loudness
    return found


def _place(use: DynamicUse, profile: PieceProfile) -> DynamicPlace:
    last = use.measure if use.end_measure is None else use.end_measure
    whole = max(1, profile.measures)
    bar = bar_number(bar_names(profile), use.measure)
    return DynamicPlace(use.mark, use.measure / whole, (last + 1) / whole, bar)
