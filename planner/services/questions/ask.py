"""The questions that can be asked of a piece, or of one of its parts.

Only what has one right answer is asked, and that the whole of it: where the study names some of several
places, nothing is. A question of a part is answered by the page of that part.
"""

from planner.core.profile import PieceProfile
from planner.core.room_question import Ask, AskLevel, RoomQuestion
from planner.services.questions.of_part import part_questions
from planner.services.questions.of_piece import piece_questions

_LEVELS = tuple(AskLevel)
_KINDS = tuple(Ask)


def questions_for(
    profile: PieceProfile, part_index: int | None = None, level: AskLevel | None = None
) -> tuple[RoomQuestion, ...]:
    """What can be asked, the easy ones first, each once.

    Args:
        profile: The study.
        part_index: Place of the part that is asked, from 0; None for questions about the whole piece.
        level: Only these; None for all.

    Raises:
        IndexError: If there is no such part.

    Example:
        >>> from planner.core.profile import Roadmap, Tempo
        >>> tempo = Tempo(None, "quarter", 80)
        >>> questions_for(PieceProfile("", (), 0, (), Roadmap(()), "", (), (), tempo, 0, None, ()))
        ()
    """
    if profile.is_on_paper:
        return ()
    found = piece_questions(profile) if part_index is None else part_questions(profile, part_index)
    kept = [each for each in found if level is None or each.level is level]
    return tuple(sorted(kept, key=_order))


def _order(question: RoomQuestion) -> tuple[int, int, int]:
    places = question.asked or question.places
    return (
        _LEVELS.index(question.level),
        _KINDS.index(question.kind),
        places[0][0] if places else -1,
    )
