"""Words for long work: what it is, how it stands, what came of it, what it could not do."""

from collections.abc import Mapping
from datetime import date
from pathlib import PurePosixPath
from typing import Any

from planner.core.job import Job, JobRefusal, JobState
from planner.core.piece import KeptStudy
from planner.wording.director.files import kept_text
from planner.wording.director.imports import import_result_sentence, undone_import_sentence
from planner.wording.director.on_paper import no_guide_note
from planner.wording.words import count_of, long_day

_TITLES: Mapping[str, str] = {
    "restudy": "Studying pieces again",
    "plan": "Planning a term",
    "import": "Adding scores",
    "undo-import": "Taking an import back",
    "guides": "Making guides",
}

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
        return " ".join(refusal_sentence(each, job.kind) for each in job.refusals if not each.name) or (
            "It stopped at a fault in the program; what was finished is kept."
        )
    if job.kind == "plan":
        return _search_sentence(job)
    of_all = f"{job.done} of {job.total} done" if job.total else "It begins"
    if job.state == JobState.STOPPED:
        from_there = "" if job.kind == "guides" else " from there"
        return (
            f"Stopped with {of_all}; it can be resumed{from_there}."
            if job.total
            else "Stopped before it began."
        )
    return f"{of_all}, last “{job.what}”." if job.what else f"{of_all}."


def _search_sentence(job: Job) -> str:
    """How far the search for a plan is: filled slots, what the best costs, and below what none can.

    Example:
        >>> from datetime import UTC, datetime
        >>> from planner.core.change import Author, Door
        >>> by = Author(Door.PAGE, datetime(2026, 9, 3, tzinfo=UTC))
        >>> _search_sentence(Job(1, "plan", {}, JobState.RUNNING, by, done=36, what="4310 4120"))
        '36 slots filled; the best plan costs 4,310, none can cost less than 4,120.'
    """
    if job.state == JobState.STOPPED:
        return "Stopped before a plan was found; nothing has changed."
    if not job.what:
        return "It begins."
    best, bound = (float(number) for number in job.what.split())
    slots = "1 slot" if job.done == 1 else f"{job.done} slots"
    proof = f", none can cost less than {bound:,.0f}" if bound > 0 else ""
    return f"{slots} filled; the best plan costs {best:,.0f}{proof}."


def result_sentence(job: Job) -> str:
    """What came of a job that is done.

    Example:
        >>> from datetime import UTC, datetime
        >>> from planner.core.change import Author, Door
        >>> by = Author(Door.PAGE, datetime(2026, 9, 3, tzinfo=UTC))
        >>> result_sentence(Job(1, "restudy", {}, JobState.DONE, by, result={"studied": 1, "kept": 0}))
        '1 piece was studied again.'
    """
    if job.result.get("closed"):
        return f"Left at {job.done} of {job.total}." if job.total else "Left before it began."
    if job.kind == "plan":
        return _planned_sentence(job)
    if job.kind == "import":
        return import_result_sentence(job)
    if job.kind == "undo-import":
        return undone_import_sentence(job)
    if job.kind == "guides":
        return _guides_sentence(job)
    studied, kept = int(job.result.get("studied", 0)), int(job.result.get("kept", 0))
    words = f"{_pieces(studied)} studied again."
    if kept:
        whose = "keeps its" if kept == 1 else "keep their"
        words += f" {_pieces(kept)} not studied again and {whose} older study."
    return words


def _planned_sentence(job: Job) -> str:
    """What came of planning.

    Example:
        >>> from datetime import UTC, datetime
        >>> from planner.core.change import Author, Door
        >>> by = Author(Door.PAGE, datetime(2026, 9, 3, tzinfo=UTC))
        >>> found = {"outcome": "proposed", "readings": 36, "open": 0, "days": 3, "stopped": True}
        >>> _planned_sentence(Job(1, "plan", {}, JobState.DONE, by, result=found))
        'A plan is proposed that would change 3 days. The search was stopped early.'
    """
    found = job.result
    readings, left_open, days = (int(found.get(name, 0)) for name in ("readings", "open", "days"))
    planned = f"{readings} {'reading is' if readings == 1 else 'readings are'} planned"
    words = {
        "stored": f"{planned}{f', {left_open} left open' if left_open else ''}.",
        "proposed": f"A plan is proposed that would change {days} {'day' if days == 1 else 'days'}.",
        "kept": "The plan stays; no better one was found.",
        "unchanged": "Nothing has changed since the plan was made.",
    }.get(str(found.get("outcome", "")), planned + ".")
    return f"{words} The search was stopped early." if found.get("stopped") else words


def _guides_sentence(job: Job) -> str:
    """What came of making the guides of a day.

    Example:
        >>> from datetime import UTC, datetime
        >>> from planner.core.change import Author, Door
        >>> by = Author(Door.PAGE, datetime(2026, 9, 3, tzinfo=UTC))
        >>> found = {"sheets": 19, "on_paper": [], "kept": []}
        >>> _guides_sentence(Job(1, "guides", {"on": "2026-09-08"}, JobState.DONE, by, result=found))
        '19 files for Tuesday, September 8 are ready.'
    """
    made, on = int(job.result.get("sheets", 0)), date.fromisoformat(str(job.request["on"]))
    each = (
        f"{count_of(made, 'file')} for {long_day(on)} {'is' if made == 1 else 'are'} ready.",
        no_guide_note(tuple(job.result.get("on_paper", ()))),
        *(kept_text(name, kept) for name, kept in job.result.get("kept", ())),
    )
    return " ".join(text for text in each if text)


def moved_sentence(moved: Mapping[str, Any]) -> str:
    """A piece whose level moved when it was studied again.

    Example:
        >>> moved_sentence({"title": "Rondo", "before": 2.5, "after": 2.84})
        '“Rondo”: level 2.8, was 2.5.'
    """
    return f"“{moved['title']}”: level {moved['after']:.1f}, was {moved['before']:.1f}."


def refusal_sentence(refusal: JobRefusal, kind: str = "restudy") -> str:
    """What could not be done by work of a kind, and why.

    Example:
        >>> refusal_sentence(JobRefusal("Rondo", "not-found"))
        '“Rondo”: its score file is missing. Add the file again.'
        >>> refusal_sentence(JobRefusal("Fall/a.mxl", "input", "a.mxl: it is empty."), "import")
        'Fall/a.mxl: it is empty.'
    """
    if kind == "import" and refusal.name:
        own = PurePosixPath(refusal.name).name
        return (
            refusal.name + refusal.detail.removeprefix(own)
            if refusal.detail.startswith(own)
            else refusal.detail
        )
    if kind == "undo-import" and refusal.name:
        return f"“{refusal.name}”: {refusal.detail}"
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
