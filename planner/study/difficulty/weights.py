"""How much each dimension adds to a level."""

from planner.core.ensemble import LOWEST_LEVEL

BASE = 0.4
"""Where every part begins."""

WEIGHTS: dict[str, float] = {
    "rhythm": 0.2, "variety": 0.2, "syncopation": 0.1, "meter": 0.03,
    "key": 0.05, "accidentals": 0.2, "transposition": 0.05,
    "range": 0.12, "position": 0.12, "ledger lines": 0.03, "clef": 0.05,
    "motion": 0.05, "notes": 0.15, "chords": 0.05, "density": 0.35, "runs": 0.1,
    "independence": 0.1, "hands": 0.1, "rests": 0.03, "roadmap": 0.017, "expression": 0.017, "endurance": 0.03, "published charts": 0.15,
}  # fmt: skip


def weighted(levels: dict[str, float], weights: dict[str, float]) -> float:
    """A level from the dimensions' levels, not yet held to the scale's ends."""
    return BASE + sum(weights[name] * (level - LOWEST_LEVEL) for name, level in levels.items())
