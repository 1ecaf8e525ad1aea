"""Pieces whose music is alike, in sentences for the director."""

from planner.core.fingerprint import Kin, Likeness
from planner.wording.words import percent


def alike_sentence(title: str, likeness: Likeness) -> str:
    """What a piece shares with another, by the other's title.

    Example:
        >>> alike_sentence("Rondo", Likeness(3, 8, Kin.SAME, 0.97))
        'The same music as “Rondo”: 97% of the shorter one is in the other.'
    """
    if likeness.kin is Kin.SAME:
        if likeness.share >= 0.995:
            return f"The same music as “{title}”: all of the shorter one is in the other."
        return f"The same music as “{title}”: {percent(likeness.share)} of the shorter one is in the other."
    return f"Another setting of the same tune: “{title}”."


def count_sentence(pairs: int) -> str:
    """How many pairs of files wait for the director.

    Example:
        >>> count_sentence(1)
        'One pair of pieces may be the same music in two files.'
    """
    if pairs == 1:
        return "One pair of pieces may be the same music in two files."
    return f"{pairs} pairs of pieces may be the same music in two files."
