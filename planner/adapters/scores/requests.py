"""What may be asked of a child process about a score file; ``answer`` does it.

Light on purpose: the process that asks loads neither the reader nor the study.
"""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from planner.core.profile import PieceProfile
from planner.core.score import Score

HANDLER = "planner.adapters.scores.answer:answer"


@dataclass(frozen=True, slots=True)
class Request:
    """What to do with ``path``.

    ``score`` is what was read, ``studied`` the study of it and the clean file as a pair,
    ``clean`` the clean file alone; ``scores`` what was read of every piece of the file, ``apart`` of
    each its study, its clean file and its own MusicXML. ``study`` is applied to a score when it is given.
    """

    path: Path
    study: Callable[[Score], object] | None = None
    want: Literal["score", "studied", "clean", "scores", "apart"] = "score"


def whole_study(score: Score) -> PieceProfile:
    """The study, loaded by the process that carries it out.

    Example:
        >>> whole_study(Score("Empty", (), ())).measures
        0
    """
    from planner.study.study import study

    return study(score)
