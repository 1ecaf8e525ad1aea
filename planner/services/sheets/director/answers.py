"""What the players' sheets ask, answered for the director: each question once, with every part's answer."""

from collections.abc import Iterable

from planner.core.profile import PieceProfile
from planner.services.sheets.director.views import AnswerLine
from planner.services.sheets.player.questions import questions_of_part
from planner.wording.director.sheet import answers_by_part
from planner.wording.questions import answer_words, question_in_brief


def sheet_answers(profile: PieceProfile, parts: Iterable[int]) -> tuple[AnswerLine, ...]:
    """The questions on the sheets of some parts, those that most of them are asked first.

    Args:
        profile: The study of the piece.
        parts: Places in the score of the parts that have a sheet.
    """
    found: dict[str, dict[str, list[str]]] = {}
    for at in parts:
        for question in questions_of_part(profile, at):
            answers = found.setdefault(question_in_brief(question, profile), {})
            name = profile.parts[at].name or f"Part {at + 1}"
            answers.setdefault(answer_words(question, profile), []).append(name)
    asked = sorted(found, key=lambda text: -sum(map(len, found[text].values())))
    return tuple(AnswerLine(text, answers_by_part(tuple(found[text].items()))) for text in asked)
