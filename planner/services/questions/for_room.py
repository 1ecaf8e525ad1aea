"""The questions about a piece in words, for everyone and then part by part."""

from dataclasses import dataclass

from planner.core.profile import PieceProfile
from planner.core.room_question import AskLevel
from planner.services.questions.ask import questions_for
from planner.wording.questions import LEVEL_NAMES, answer_words, question_words


@dataclass(frozen=True, slots=True)
class WordedQuestion:
    """One question with its answer, in words, and the name of its level."""

    question: str
    answer: str
    level: str


@dataclass(frozen=True, slots=True)
class QuestionGroup:
    """The questions to one part, or to everyone where ``part`` is empty."""

    part: str
    questions: tuple[WordedQuestion, ...]


def questions_in_words(
    profile: PieceProfile, part_index: int | None = None, level: AskLevel | None = None
) -> tuple[WordedQuestion, ...]:
    """The questions about the whole piece, or to one part; see ``questions_for``."""
    return tuple(
        WordedQuestion(question_words(each, profile), answer_words(each, profile), LEVEL_NAMES[each.level])
        for each in questions_for(profile, part_index, level)
    )


def room_questions(profile: PieceProfile, level: AskLevel | None = None) -> tuple[QuestionGroup, ...]:
    """Every question about a piece, those for everyone first; none without a question."""
    groups = [QuestionGroup("", questions_in_words(profile, None, level))]
    groups += [
        QuestionGroup(part.name, questions_in_words(profile, index, level))
        for index, part in enumerate(profile.parts)
    ]
    return tuple(group for group in groups if group.questions)
