"""Two questions that a player answers from the page: what the sheet does not say already."""

from collections.abc import Sequence

from planner.core.fact import FactKind, Place
from planner.core.profile import PieceProfile
from planner.core.room_question import Ask, AskLevel, RoomQuestion
from planner.services.questions.ask import questions_for
from planner.services.sheets.player.line import Line
from planner.wording.questions import answer_words

MOST = 2
"""Questions on a sheet. Source: house choice: half a minute of the study time."""
_ON_SHEET = frozenset({Ask.SIGNATURE, Ask.IN_SIGNATURE, Ask.SIGNATURE_CHANGES})
"""What every sheet with pitches says in its own words."""
_WORDED = frozenset({FactKind.CHANGES, FactKind.DIVIDED, FactKind.PLAYERS})
"""Facts whose lines say what words on the page ask for."""
_ORDER = (AskLevel.MEDIUM, AskLevel.EASY, AskLevel.HARD)
"""Which are taken first. House choice: a player is to look, and to find it in the study time."""


def sheet_questions(profile: PieceProfile, part: int, lines: Sequence[Line]) -> tuple[RoomQuestion, ...]:
    """The questions for a part, none of which its lines answer.

    Args:
        profile: The study of the piece.
        part: Place of the part in the score.
        lines: What its sheet says.
    """
    spoken = {fact for line in lines for fact in line.facts}
    places = {place for fact in spoken for place in fact.places}
    worded = [place for fact in spoken if fact.kind in _WORDED for place in fact.places]
    texts = " ".join(line.text for line in lines)
    open_ones = [
        question
        for question in questions_for(profile, part)
        if question.kind not in _ON_SHEET
        and not (set(question.asked) & places)
        and not (question.kind is Ask.WORD and _is_among(question.asked, worded))
        and answer_words(question, profile).rstrip(".") not in texts
    ]
    return tuple(sorted(open_ones, key=lambda question: _ORDER.index(question.level))[:MOST])


def _is_among(asked: Sequence[Place], places: Sequence[Place]) -> bool:
    """Whether what is asked of begins inside one of some places."""
    return any(first <= at <= last for at, _ in asked for first, last in places)
