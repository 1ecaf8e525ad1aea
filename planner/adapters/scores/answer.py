"""What a child process does with a score file: read it, study it, cut it or write it clean."""

from planner.adapters.children.messages import Refusal
from planner.adapters.scores.reader import read_apart, read_clean, read_score, read_scores
from planner.adapters.scores.requests import Request
from planner.errors import PlannerError, ScoreReadError


def answer(request: object) -> object:
    """What was asked for, or a ``Refusal`` of kind ``score`` or ``unsupported``."""
    assert isinstance(request, Request)
    try:
        return _wanted(request)
    except ScoreReadError as error:
        kind = "unsupported" if error.slug == "score-unsupported" else "score"
        return Refusal(kind, error.reason)
    except PlannerError as error:
        return Refusal("score", error.message.rstrip("."))


def _wanted(request: Request) -> object:
    study = request.study or (lambda score: score)
    if request.want == "scores":
        return tuple(map(study, read_scores(request.path)))
    if request.want == "apart":
        return tuple((study(score), clean, data) for score, clean, data in read_apart(request.path))
    if request.want in ("clean", "studied"):
        score, clean = read_clean(request.path)
        return clean if request.study is None else (request.study(score), clean)
    score = read_score(request.path)
    return score if request.study is None else request.study(score)
