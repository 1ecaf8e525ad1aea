"""Words for long work: what it is, how it stands, what came of it, what it could not do."""

from collections.abc import Mapping
from typing import Any

from planner.core.job import Job, JobRefusal, JobState
from planner.core.piece import KeptStudy

_TITLES: Mapping[str, str] = {"restudy": "Studying pieces again"}

_STATES: Mapping[JobState, str] = {
    JobState.QUEUED: "waiting",
    JobState.RUNNING: "under way",
    JobState.STOPPED: "stopped",
    JobState.DONE: "done",
    JobState.FAILED: "failed",
}


def job_title(kind: str) -> str:
    """What a kind of work is called.

    Example:
        >>> job_title("restudy")
        'Studying pieces again'
    """
    return _TITLES.get(kind, kind)


def state_words(job: Job) -> str:
    """How a job stands, in a word or two."""
    if job.state == JobState.RUNNING and job.is_stop_asked:
        return "stopping"
    return _STATES[job.state]


def progress_sentence(job: Job) -> str:
    """How far it is, for someone who watches."""
    if job.state == JobState.QUEUED:
        return "Waiting for its turn."
    if job.state == JobState.DONE:
        return result_sentence(job)
    if job.state == JobState.FAILED:
        return " ".join(refusal_sentence(each) for each in job.refusals if not each.name) or (
            "It stopped at a fault in the program; what was finished is kept."
        )
    of_all = f"{job.done} of {job.total} done" if job.total else "It begins"
    if job.state == JobState.STOPPED:
        return (
            f"Stopped with {of_all}; it can be resumed from there."
            if job.total
            else "Stopped before it began."
        )
    return f"{of_all}, last “{job.what}”." if job.what else f"{of_all}."


def result_sentence(job: Job) -> str:
    """What came of a job that is done.

    Example:
        >>> from datetime import UTC, datetime
        >>> from planner.core.change import Author, Door
        >>> by = Author(Door.PAGE, datetime(2026, 9, 3, tzinfo=UTC))
        >>> result_sentence(Job(1, "restudy", {}, JobState.DONE, by, result={"studied": 1, "kept": 0}))
        '1 piece was studied again.'
    """
    studied, kept = int(job.result.get("studied", 0)), int(job.result.get("kept", 0))
    words = f"{_pieces(studied)} studied again."
    if kept:
        whose = "keeps its" if kept == 1 else "keep their"
        words += f" {_pieces(kept)} not studied again and {whose} older study."
    return words


def moved_sentence(moved: Mapping[str, Any]) -> str:
    """A piece whose level moved when it was studied again.

    Example:
        >>> moved_sentence({"title": "Rondo", "before": 2.5, "after": 2.84})
        '“Rondo”: level 2.8, was 2.5.'
    """
    return f"“{moved['title']}”: level {moved['after']:.1f}, was {moved['before']:.1f}."


def refusal_sentence(refusal: JobRefusal) -> str:
    """What could not be done, and why.

    Example:
        >>> refusal_sentence(JobRefusal("Rondo", "not-found"))
        '“Rondo”: its score file is missing. Add the file again.'
    """
    why = why_kept(refusal.slug, refusal.detail)
    return f"“{refusal.name}”: {why}" if refusal.name else refusal.detail


def standing_sentence(kept: KeptStudy | None) -> str:
    """That a piece has an older study, and why; None where it only waits for its turn."""
    if kept is None:
        return "This study was made by an older version of the program and will be made again."
    why = why_kept(kept.slug, kept.detail)
    return f"This study was made by an older version of the program and stays in use: {why}"


def why_kept(slug: str, detail: str) -> str:
    """Why a piece could not be studied again."""
    if slug == "not-found":
        return "its score file is missing. Add the file again."
    reason = f" ({detail.rstrip('.')})" if detail else ""
    return f"its score file could not be studied{reason}. Export it again and add it again."


def _pieces(count: int) -> str:
    return "1 piece was" if count == 1 else f"{count} pieces were"
