"""The steps from an empty home to the first reading day: what is done, under way, and next."""

from collections.abc import Sequence
from dataclasses import dataclass

from flask import url_for

from planner.adapters.web.context import ensemble_in_view, reading, sees_all, term_in_view, tools
from planner.core.job import JobState
from planner.scheduling.problem import OPEN_PIECE
from planner.services.imports.import_job import IMPORT
from planner.services.jobs.manage import list_jobs
from planner.services.plan.plan_job import PLAN

_GOES_ON = (JobState.QUEUED, JobState.RUNNING)


@dataclass(frozen=True, slots=True)
class Step:
    """One step.

    Attributes:
        endpoint: The page on which it is done.
        label: What to do, as a heading says it.
        why: What it is for.
        href: The address of the page; empty while an earlier step must come first.
        is_done: Whether it is done.
        is_under_way: Whether long work that was asked for is going to do it.
    """

    endpoint: str
    label: str
    why: str
    href: str
    is_done: bool
    is_under_way: bool = False


def first_steps() -> Sequence[Step]:
    """All of them in order; none for those who see only their own, and none once all are done."""
    if not sees_all():
        return ()
    work, ensemble, term = reading(), ensemble_in_view(), term_in_view()
    has_sections = ensemble is not None and bool(ensemble.sections)
    plan = work.terms.plan(term.id) if term is not None else None
    has_plan = plan is not None
    has_pieces = any(slot.piece_id != OPEN_PIECE for slot in (plan.slots if plan else ()))
    has_pieces = has_pieces or work.pieces.count() > 0
    if has_pieces and has_sections and has_plan:
        return ()
    going_on = {job.kind for job in list_jobs(work, tools().locks, only_open=True) if job.state in _GOES_ON}
    return (
        Step(
            "library.pieces", "Add scores", "the music you own, as files",
            url_for("library.pieces") + "#add", has_pieces, is_under_way=IMPORT in going_on,
        ),
        Step(
            "sections.listing",
            "Name your sections" if ensemble else "Name your ensemble and its sections",
            "who reads which part, and how well", url_for("sections.listing"), has_sections,
        ),
        Step(
            "term.new", "Set the term’s dates", "first day, last day, and the days you read",
            url_for("term.new") if ensemble else "", is_done=term is not None,
        ),
        Step(
            "term.show", "Plan the term", "the planner proposes, you decide",
            url_for("term.show", term_id=term.id) if term else "", has_plan, is_under_way=PLAN in going_on,
        ),
    )  # fmt: skip


def next_step(*done_here: str) -> Step | None:
    """The first step that waits for the director and can be done now; None when there is none.

    Args:
        done_here: The endpoints of steps that the page itself is about.
    """
    waiting = (step for step in first_steps() if step.href and not (step.is_done or step.is_under_way))
    return next((step for step in waiting if step.endpoint not in done_here), None)
