"""Studying a file that another machine sent: what a worker of a cluster runs, in guarded children."""

import queue
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import cast

from planner.adapters.children.guard import Child
from planner.adapters.children.messages import Refusal
from planner.adapters.scores.requests import HANDLER, Request, whole_study
from planner.core.profile import PieceProfile
from planner.services.ports.scores import Studied
from planner.study.version import STUDY_VERSION

_idle: "queue.LifoQueue[tuple[tuple[float, int], Child]]" = queue.LifoQueue()
"""Children of this worker that have nothing to do, with their limits; they end with the worker."""


def study_bytes(
    name: str, data: bytes, is_whole: bool, version: int, *, limits: tuple[float, int]
) -> tuple[Studied, ...] | Refusal:
    """The studies of the pieces of a file, or why it is refused; errors themselves do not travel.

    Args:
        name: The file's own name: a score without a title is called after it.
        data: Its content.
        is_whole: Whether a file of several movements stays one piece.
        version: Version of the study that is asked for.
        limits: Seconds and megabytes for the file.

    Returns:
        The studies; a refusal of kind ``version`` if this machine would not study as it is asked to.
    """
    if version != STUDY_VERSION:
        return Refusal("version", f"study version {STUDY_VERSION} instead of {version}")
    with TemporaryDirectory(prefix="planner-cluster-") as folder:
        path = Path(folder) / name
        path.write_bytes(data)
        result = _ask(Request(path, whole_study, "studied" if is_whole else "apart"), limits)
    if isinstance(result, Refusal):
        return result
    if is_whole:
        return (Studied(*cast(tuple[PieceProfile, bytes], result)),)
    return tuple(
        Studied(*each) for each in cast(tuple[tuple[PieceProfile, bytes, bytes | None], ...], result)
    )


def _ask(request: Request, limits: tuple[float, int]) -> object:
    """Let an idle child answer, or a new one."""
    try:
        own, child = _idle.get_nowait()
    except queue.Empty:
        own, child = limits, Child(HANDLER, *limits)
    if own != limits:
        child.stop()
        child = Child(HANDLER, *limits)
    try:
        return child.ask(request)
    finally:
        _idle.put((limits, child))
