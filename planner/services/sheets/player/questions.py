"""Two questions that a player answers from the page: what the sheet does not say already."""

from collections.abc import Sequence

from planner.core.fact import FactKind
from planner.core.profile import PieceProfile
from planner.core.room_question import Ask, AskLevel, RoomQuestion
from planner.services.questions.ask import questions_for
from planner.services.sheets.player.line import Line
from planner.services.sheets.player.sheet import sheet_lines
from planner.wording.questions import answer_words

MOST = 2
"""Questions on a sheet. Source: house choice: half a minute of the study time."""
_ON_SHEET = frozenset({Ask.SIGNATURE, Ask.IN_SIGNATURE, Ask.SIGNATURE_CHANGES})
"""What every sheet with pitches says in its own words."""
_ORDER = (AskLevel.MEDIUM, AskLevel.EASY, AskLevel.HARD)
"""Which are taken first. House choice: a player is to look, and to find it in the study time."""


def questions_of_part(profile: PieceProfile, part: int) -> tuple[RoomQuestion, ...]:
    """What every version of a part's sheet asks, and the director's sheet answers."""
    return sheet_questions(profile, part, sheet_lines(profile, profile.parts[part]))


def sheet_questions(profile: PieceProfile, part: int, lines: Sequence[Line]) -> tuple[RoomQuestion, ...]:
    """The questions for a part, none of which its lines answer.

    Args:
        profile: The study of the piece.
        part: Place of the part in the score.
        lines: What its sheet says.
    """
    spoken = {fact for line in lines for fact in line.facts}
    places = {place for fact in spoken for place in fact.places}
    is_answered = any(fact.kind is FactKind.OUTSIDE_SIGNATURE for fact in spoken)
    texts = " ".join(line.text for line in lines)
    open_ones = [
        question
        for question in questions_for(profile, part)
        if question.kind not in _ON_SHEET
        and not (question.kind is Ask.TELLS_KEY and not _is_sure(question, profile))
        and not (question.kind is Ask.OUTSIDE_SIGNATURE and is_answered)
        and not (set(question.asked) & places)
        and answer_words(question, profile).rstrip(".") not in texts
    ]
    return tuple(sorted(open_ones, key=lambda question: _ORDER.index(question.level))[:MOST])


def _is_sure(question: RoomQuestion, profile: PieceProfile) -> bool:
    """Whether the key that a question names is beyond doubt in the bars of its answer."""
    return any(
        each.key == question.keys[-1] and each.measure <= first and last <= each.end_measure
        for each in profile.sure_keys
        for first, last in question.places
    )
