"""Levels in words: what makes them, and what holds them where they are."""

from collections.abc import Sequence

from planner.core.ensemble import LOWEST_LEVEL
from planner.wording.words import listed

SAME_LEVEL = 0.05
"""Levels less apart read the same to a tenth."""


def grade_text(grade: float) -> str:
    """A published grade, ``½`` for the lowest.

    Example:
        >>> grade_text(0.5), grade_text(3.0)
        ('½', '3')
    """
    return "½" if grade == LOWEST_LEVEL else f"{grade:g}"


def chart_note(broken: Sequence[str], floor: float) -> str:
    """That the published grade charts hold a part's level up, and by which of their limits.

    Example:
        >>> chart_note(("range", "keys"), 0.5)
        'By its range and keys it is beyond grade ½ of the published charts, and so never placed below.'
    """
    grade = grade_text(floor)
    return (
        f"By its {listed(broken)} it is beyond grade {grade} of the published charts, and so never placed "
        "below."
    )


def section_moved(section: str, before: float, after: float, error: float) -> str:
    """How a section's level moved by the results of a day.

    Example:
        >>> section_moved("Flute", 2.0, 2.31, 0.3)
        'Flute moves up from level 2.0 to 2.3, give or take 0.3.'
    """
    if abs(after - before) < SAME_LEVEL:
        return f"{section} stays at level {after:.1f}, give or take {error:.1f}."
    way = "up" if after > before else "down"
    return f"{section} moves {way} from level {before:.1f} to {after:.1f}, give or take {error:.1f}."
