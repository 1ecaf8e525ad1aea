"""What a child process does with a score file: read it, study it, cut it or write it clean."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from planner.adapters.children.messages import Refusal
from planner.adapters.scores.reader import read_clean, read_score, split_pieces
from planner.core.score import Score
from planner.errors import PlannerError, ScoreReadError

HANDLER = f"{__name__}:answer"


@dataclass(frozen=True, slots=True)
class Request:
    """What to do with ``path``.

    ``score`` is what was read, ``studied`` the study of it and the clean file as a pair,
    ``clean`` the clean file alone, ``pieces`` the pieces that the file holds. ``study`` is
    applied to the score when it is given.
    """

    path: Path
    study: Callable[[Score], object] | None = None
    want: Literal["score", "studied", "clean", "pieces"] = "score"


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
    if request.want == "pieces":
        return split_pieces(request.path)
    if request.want in ("clean", "studied"):
        score, clean = read_clean(request.path)
        return clean if request.study is None else (request.study(score), clean)
    score = read_score(request.path)
    return score if request.study is None else request.study(score)
