"""How much each dimension adds to a level, for players and for singers."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from planner.core.difficulty import Dimension
from planner.core.ensemble import LOWEST_LEVEL


@dataclass(frozen=True, slots=True)
class Scale:
    """How dimensions add up to a level.

    Attributes:
        base: Where every part begins, in levels.
        weights: For each dimension, levels added by each level that it stands above the lowest.
        by_itself: Level of independence that stands for a part with nobody to be held against.
    """

    base: float
    weights: Mapping[str, float]
    by_itself: float = LOWEST_LEVEL

    def base_for(self, names: Collection[str]) -> float:
        """Where a part begins that has these dimensions.

        Where there is nobody to be independent from, independence is left out, and the part begins where
        ``by_itself`` puts it.
        """
        if Dimension.INDEPENDENCE in names:
            return self.base
        return self.base + self.weights[Dimension.INDEPENDENCE] * (self.by_itself - LOWEST_LEVEL)

    def total(self, levels: Mapping[str, float]) -> float:
        """The sum for the levels of some dimensions, not yet held to the ends of the scale.

        Example:
            >>> scale = Scale(0.2, {"meter": 0.5, "independence": 0.1})
            >>> round(scale.total({"meter": 2.5, "independence": 0.5}), 2)
            1.2
        """
        shares = (self.weights[name] * (level - LOWEST_LEVEL) for name, level in levels.items())
        return self.base_for(levels) + sum(shares)


PLAYED = Scale(
    0.05,
    {
        "rhythm": 0.21, "variety": 0.24, "syncopation": 0.13, "meter": 0.15,
        "key": 0.09, "accidentals": 0.28, "transposition": 0.2,
        "range": 0.16, "position": 0.16, "ledger lines": 0.05, "clef": 0.1,
        "motion": 0.11, "notes": 0.17, "chords": 0.07, "density": 0.25, "runs": 0.2,
        "independence": 0.05, "hands": 0.1, "rests": 0.03,
        "roadmap": 0.02, "expression": 0.02, "endurance": 0.02,
    },
)  # fmt: skip
"""Of everything that is played.

Source: fitted to parts graded from their page by the published charts, with least weights that keep the laws
of levels; ``python -m tests.benchmarks.levels fit``, where prior, least weights and shrinkage stand.
"""

SUNG = Scale(
    1.05,
    {
        "rhythm": 0.1, "variety": 0.15, "syncopation": 0.03, "meter": 0.08,
        "key": 0.0, "accidentals": 0.25, "transposition": 0.0,
        "range": 0.05, "position": 0.0, "ledger lines": 0.0, "clef": 0.15,
        "motion": 0.18, "notes": 0.05, "chords": 0.0, "density": 0.3, "runs": 0.1,
        "independence": 0.22, "hands": 0.0, "rests": 0.05,
        "roadmap": 0.03, "expression": 0.01, "endurance": 0.05,
    },
    by_itself=1.5,
)  # fmt: skip
"""Of everything that is sung.

A singer has no keys: what must be heard before it sounds (accidentals, leaps, a line held against the others)
weighs more, where the fingers go weighs nothing. One who sings alone stands where a part stands that is
parted from the others in one beat of twenty. Source: house choice of the weights, looked at on the hymns with
an editor's marks; the base fitted to sung parts graded from their page.
"""


def scale_of(family: str) -> Scale:
    """The scale of an instrument's family.

    Example:
        >>> scale_of("voice") is SUNG, scale_of("") is PLAYED
        (True, True)
    """
    return SUNG if family == "voice" else PLAYED
