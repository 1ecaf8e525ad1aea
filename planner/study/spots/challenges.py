"""A challenge: one thing that makes one place of a part hard, with the words that say it."""

from dataclasses import dataclass

INTERVALS: tuple[str, ...] = (
    "a unison", "a second", "a third", "a fourth", "a fifth", "a sixth", "a seventh", "an octave", "a ninth",
    "a tenth", "an eleventh", "a twelfth", "a thirteenth", "a fourteenth", "two octaves",
)  # fmt: skip
"""Names of intervals by staff steps."""


@dataclass(frozen=True, slots=True)
class Challenge:
    """One hard thing.

    Attributes:
        measure: Written position where it stands.
        reason: Short name of its kind, e.g. ``"wide leap"``.
        weight: How much it matters; 1 is a leap of an octave.
        words: What is there, as part of a sentence: ``"leap of an octave up to C6"``.
        end_measure: Last written position it reaches; its own measure when None.
    """

    measure: int
    reason: str
    weight: float
    words: str
    end_measure: int | None = None


def interval_name(steps: int) -> str:
    """How an interval of so many staff steps is called.

    Example:
        >>> interval_name(7), interval_name(16)
        ('an octave', 'more than two octaves')
    """
    return INTERVALS[abs(steps)] if abs(steps) < len(INTERVALS) else "more than two octaves"
