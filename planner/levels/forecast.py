"""Where a section's level will be some weeks from now."""

import math

from planner.levels.belief import DEFAULT_ERROR
from planner.levels.curve import clip_level

GROWTH_A_WEEK = 0.02
"""Levels a section is expected to gain a week.

Source: house choice: the printed grades ½ to 3 are meant for about the first four school years of
36 weeks, so 0.6 to 0.75 levels a year.
"""

DRIFT_A_WEEK = 0.05
"""Standard deviation, in levels, by which a section's level wanders from the forecast in a week.

Source: house choice; over a term of 16 weeks it grows to 0.2 levels.
"""


def forecast_level(
    level: float, error: float | None, weeks: float, *, growth_a_week: float = GROWTH_A_WEEK
) -> tuple[float, float]:
    """Level and standard error expected after some weeks without further results.

    Args:
        level: Level now.
        error: Its standard error; None takes ``DEFAULT_ERROR``.
        weeks: From now, 0 or more.
        growth_a_week: Levels gained a week.

    Example:
        >>> level, error = forecast_level(2.0, 0.3, 16)
        >>> round(level, 2), round(error, 2)
        (2.32, 0.36)
    """
    sure = DEFAULT_ERROR if error is None else error
    return clip_level(level + growth_a_week * weeks), math.hypot(sure, DRIFT_A_WEEK * math.sqrt(weeks))
