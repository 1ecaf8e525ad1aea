"""The study of a score with the instruments of some parts as the director set them."""

from collections.abc import Mapping
from dataclasses import replace

from planner.core.profile import PieceProfile
from planner.core.score import Score
from planner.study.instrument_questions import UNSURE
from planner.study.study import study, with_distinct_names


def with_instruments(score: Score, instruments: Mapping[str, str]) -> Score:
    """The score with the instruments of some parts, by name, as the director says.

    Names of parts are told apart first, as in the study; a name that no part has is passed over.

    Example:
        >>> from planner.core.score import Part
        >>> score = Score("Air", (), (Part("P1", "Melody"),))
        >>> with_instruments(score, {"Melody": "oboe"}).parts[0].instrument
        'oboe'
    """
    score = with_distinct_names(score)
    if not any(part.name in instruments for part in score.parts):
        return score
    parts = (replace(part, instrument=instruments.get(part.name, part.instrument)) for part in score.parts)
    return replace(score, parts=tuple(parts))


def study_corrected(score: Score, instruments: Mapping[str, str]) -> PieceProfile:
    """The study with those instruments, and without the questions they answer.

    Example:
        >>> study_corrected(Score("Empty", (), ()), {}).measures
        0
    """
    profile = study(with_instruments(score, instruments))
    left = (issue for issue in profile.issues if not (issue.slug == UNSURE and issue.part in instruments))
    return replace(profile, issues=tuple(left))
