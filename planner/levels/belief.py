"""What is believed about a section's level, and how a reading moves it.

The belief is a mean and a standard error. A reading counts as a number of
right-or-wrong trials against a part of known level; belief and reading are joined
at the most likely level (Newton's method on a concave curve).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from planner.levels.curve import SLOPE, TARGET_SHARE, logistic

DEFAULT_ERROR = 0.75
"""Standard error, in levels, of a level that only the director's word stands behind.

Source: house choice; a director's guess is within one level about four times in five.
"""

READING_TRIALS = 12.0
"""Right-or-wrong trials that the share of one reading is worth.

Source: house choice. The measures of one reading are not independent and the share is judged by ear;
12 trials near the target share scatter by 0.10, the size of such a judgement.
"""


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading as evidence.

    Attributes:
        part_level: Level of the part read.
        share: Share right, 0 to 1.
        trials: Trials it is worth.
        part_error: Standard error of the part's level.
    """

    part_level: float
    share: float
    trials: float = READING_TRIALS
    part_error: float = 0.0


@dataclass(frozen=True, slots=True)
class Scale:
    """The curve in use: logits a unit, and the share read when both sides are equal.

    The defaults are the level scale; chess ratings use ``ln(10)/400`` and one half,
    the Rasch model 1 and one half.
    """

    slope: float = SLOPE
    even_share: float = TARGET_SHARE

    @property
    def even_logit(self) -> float:
        """Logit of ``even_share``."""
        return math.log(self.even_share / (1 - self.even_share))

    def attenuation(self, part_error: float) -> float:
        """How much an uncertain part level flattens the curve, 0 to 1.

        Source:
            Glickman (1999), Applied Statistics 48:377-394, g(RD).

        Example:
            >>> round(Scale(math.log(10) / 400, 0.5).attenuation(30), 7)
            0.995498
        """
        return 1.0 / math.sqrt(1.0 + 3.0 * (self.slope * part_error / math.pi) ** 2)

    def share(self, level: float, reading: Reading) -> float:
        """Expected share of a reading at a level; the even share where both are equal, however uncertain."""
        steep = self.slope * self.attenuation(reading.part_error)
        return logistic(self.even_logit + steep * (level - reading.part_level))


LEVELS = Scale()
"""The scale of levels."""


def estimate(
    prior: tuple[float, float],
    readings: Sequence[Reading],
    *,
    scale: Scale = LEVELS,
    most_steps: int = 100,
) -> tuple[float, float]:
    """The most likely level and its standard error after some readings, taken as of one moment.

    Args:
        prior: Level and standard error before; an infinite error says nothing was known.
        readings: The evidence; without any the prior comes back.
        scale: The curve.
        most_steps: Newton steps; 1 gives the step of Glickman's rating system.

    Returns:
        Level (not clipped to the scale) and its standard error.

    Source:
        Rasch (1960); Wright and Stone (1979), Best Test Design; one step is Glickman (1999).

    Example:
        >>> level, error = estimate((2.0, 0.75), [Reading(2.0, 0.95)])
        >>> level > 2.0 and error < 0.75
        True
    """
    start, error = prior
    if not readings:
        return prior
    sureness = 0.0 if math.isinf(error) else 1.0 / error**2
    level = start
    for _ in range(most_steps):
        pull, information = _evidence(level, readings, scale)
        step = (pull + sureness * (start - level)) / (information + sureness)
        step = max(-1.0 / scale.slope, min(1.0 / scale.slope, step)) if most_steps > 1 else step
        level += step
        if abs(step) * scale.slope < 1e-10:
            break
    if most_steps > 1:
        _, information = _evidence(level, readings, scale)
    return level, 1.0 / math.sqrt(information + sureness)


def _evidence(level: float, readings: Sequence[Reading], scale: Scale) -> tuple[float, float]:
    """Slope and curvature of the readings' log-likelihood at a level."""
    pull = information = 0.0
    for reading in readings:
        steep = scale.slope * scale.attenuation(reading.part_error)
        share = scale.share(level, reading)
        pull += reading.trials * steep * (reading.share - share)
        information += reading.trials * steep**2 * share * (1 - share)
    return pull, information
