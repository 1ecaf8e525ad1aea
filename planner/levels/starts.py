"""Where a section's level starts: years of playing, last year's level, one placement reading."""

import math
from datetime import date

import numpy as np

from planner.levels.belief import DEFAULT_ERROR
from planner.levels.curve import clip_level
from planner.levels.forecast import DRIFT_A_WEEK, GROWTH_A_WEEK
from planner.levels.history import LevelPoint, trace_level

YEARS_PLAYED = ((0.0, 0.5, 0.3), (1.0, 0.75, 0.4), (3.0, 1.5, 0.6), (5.0, 2.5, 0.8), (7.0, 3.5, 0.9),
                (11.0, 4.5, 1.0), (20.0, 5.5, 1.0))  # fmt: skip
"""Years played, level, standard error.

Source: halfway between two customs. A band performs level 1 at the end of its first year, about 2 in eighth
grade, 3 in the middle of high school, 4 as seniors, 5 in college and 6 as professionals, and reads one level
below (a music dealer's page of a director's rules, tapestrymusic.com). A state festival's sight-reading asks
2 of most middle schools and 4 to 6 of high schools (Michigan, District 10, 2025). School bands begin in sixth
grade. The errors are house choices, wide enough for either.
"""

SUMMER_LOSS_WEEKS = 4.0
"""Weeks of growth that a summer without rehearsals costs.

Source: about a month of school learning, in reading and arithmetic (Cooper, Nye, Charlton, Lindsay and
Greathouse 1996, Review of Educational Research 66:227-268, from memory); that reading music is lost like it
is a house choice.
"""
SUMMER_WEEKS = 10.0
"""Weeks after which all of it is lost; of a shorter break in proportion."""

NEW_YEAR_SPREAD = 0.3
"""Standard deviation, in levels, by which a new year's players differ from the old. Source: house choice."""

PLACEMENT_SPREAD = 1.0
"""Standard error, in levels, of the guess by which a placement part is chosen. Source: house choice."""


def start_from_years(years: float) -> tuple[float, float]:
    """Level and standard error of a section by the years it has played.

    Args:
        years: School years on the instrument, 0 or more; beyond twenty nothing is added.

    Example:
        >>> start_from_years(0), start_from_years(4)
        ((0.5, 0.3), (2.0, 0.7))
    """
    known, levels, errors = zip(*YEARS_PLAYED, strict=True)
    return float(np.interp(years, known, levels)), round(float(np.interp(years, known, errors)), 3)


def start_from_last_year(level: float, error: float | None, weeks: float) -> tuple[float, float]:
    """Level and standard error at the start of a year, by the level at the end of the last one.

    Args:
        level: Level then.
        error: Its standard error; None for the director's word alone.
        weeks: Weeks since then without rehearsals, 0 or more.

    Example:
        >>> start, error = start_from_last_year(2.5, 0.2, 10)
        >>> round(start, 2), round(error, 2)
        (2.4, 0.38)
    """
    sure = DEFAULT_ERROR if error is None else error
    gone = min(1.0, weeks / SUMMER_WEEKS)
    lost = GROWTH_A_WEEK * SUMMER_LOSS_WEEKS * gone
    doubt = math.hypot(sure, DRIFT_A_WEEK * math.sqrt(weeks), NEW_YEAR_SPREAD * math.sqrt(gone))
    return clip_level(level - lost), doubt


def start_from_placement(part_level: float, share: float, part_error: float = 0.0) -> tuple[float, float]:
    """Level and standard error of a section nothing is known about, by one reading.

    Args:
        part_level: Level of the part that was read, chosen near what the section might read.
        share: Share of bars right at first sight, 0 to 1.
        part_error: Standard error of the part's level.

    Example:
        >>> low, high = start_from_placement(2.0, 0.6)[0], start_from_placement(2.0, 0.95)[0]
        >>> 1.0 < low < 1.6 and 2.2 < high < 2.8
        True
    """
    once = LevelPoint(date.min, part_level, share, part_error)
    now = trace_level(part_level, PLACEMENT_SPREAD, [once]).now
    return now.level, now.error
