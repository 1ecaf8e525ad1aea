"""The levels of a piece on paper: what the publisher's grade, or the director's word, says of every part."""

from collections.abc import Mapping
from dataclasses import replace
from math import hypot

from planner.core.profile import PieceProfile
from planner.levels.refit import PUBLISHED_ERROR
from planner.study.difficulty.difficulty import STANDARD_ERROR

PART_SPREAD = 0.45
"""How far the parts of a piece lie from its level, as a root mean square.

Source: the pieces of the sample library, all their parts (``tests/levels/test_on_paper.py`` counts it); most
parts lie below the level of their piece, in which the hardest weighs most.
"""


def levels_on_paper(
    profile: PieceProfile, own: Mapping[tuple[str, str], float], published_grade: float | None
) -> tuple[PieceProfile, float | None]:
    """The profile with every part at the level that is known of the piece, and the error of that.

    Which part is harder than another, nobody knows: each stands at the level of the piece, with an error that
    holds both that of the grade and how far parts lie from their piece.

    Args:
        profile: Of a piece on paper.
        own: The director's levels, by part and dimension; that of the piece under ``("", "")``.
        published_grade: The publisher's; None when it is not known.

    Returns:
        The profile, its level None where neither is known, and the standard error of the piece's level.
    """
    word = own.get(("", ""))
    level = published_grade if word is None else word
    error = None if level is None else PUBLISHED_ERROR if word is None else STANDARD_ERROR
    parts = []
    for part in profile.parts:
        corrected = own.get((part.name, ""))
        if corrected is not None:
            parts.append(replace(part, level=corrected, level_error=STANDARD_ERROR))
        else:
            wide = None if error is None else round(hypot(error, PART_SPREAD), 2)
            parts.append(replace(part, level=level, level_error=wide))
    return replace(profile, level=level, parts=tuple(parts)), error
