"""Which bars that come back are worth looking up: music that moves, from where a phrase begins."""

from dataclasses import replace

from planner.core.fact import Place
from planner.core.profile import DynamicUse, PartProfile, Pattern, PieceProfile

LEAST_BARS = 3
"""Fewest bars that save reading when they come back. Source: house choice."""
LONG_BARS = 5
"""Bars that are worth looking up wherever they begin. Source: house choice: more than a phrase."""
MOVES_A_BAR, MOVES_A_LONG_BAR = 1.0, 0.5
"""Least changes of pitch to a bar, and where many bars come back.

Source: house choice: repeated and held notes are read at a glance.
"""
LEVELS = frozenset({"ppp", "pp", "p", "mp", "mf", "f", "ff", "fff"})
"""Marks that last. Source: common practice."""


def worth_looking_up(profile: PieceProfile, part: PartProfile, found: Pattern) -> Pattern | None:
    """A repeat of whole bars with those of its places that are worth it; None where fewer than two are."""
    first, last = found.places[0]
    bars = last - first + 1
    is_long = bars >= LONG_BARS
    if bars < LEAST_BARS or found.moves < (MOVES_A_LONG_BAR if is_long else MOVES_A_BAR) * bars:
        return None
    begins = _beginnings(profile, part)
    places = found.places if is_long else tuple(p for p in found.places if p[0] in begins)
    return replace(found, places=places) if len(places) > 1 and places[0] == found.places[0] else None


def _beginnings(profile: PieceProfile, part: PartProfile) -> set[int]:
    """Bars in which a phrase or a section begins, the bar after an upbeat too, and landmarks of the part."""
    upbeats = {bar.measure for bar in profile.unnumbered}
    starts = {phrase.measure for phrase in profile.phrases}
    starts |= {section.measure for section in profile.form} | {each.measure for each in part.landmarks}
    return starts | {at + 1 for at in starts & upbeats}


def new_level(part: PartProfile, found: Pattern) -> str:
    """The mark with which bars come back, where both places begin with one and it differs; else empty."""
    if len(found.places) != 2:
        return ""
    before, after = (_level_at(part, place) for place in found.places)
    return after if before and after and before != after else ""


def _level_at(part: PartProfile, place: Place) -> str:
    """The one mark of the first bar of a place, if it is a lasting one."""
    here: list[DynamicUse] = [use for use in part.dynamics if use.measure == place[0]]
    return here[0].mark if len(here) == 1 and here[0].mark in LEVELS else ""
