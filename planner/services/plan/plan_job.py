"""Planning as long work: asked for, watched, stopped keeping the best plan so far."""

from typing import Any

from planner.core.change import Author, Values
from planner.core.job import Job
from planner.errors import ConflictError
from planner.services.jobs.manage import start_job
from planner.services.jobs.run import JobStopped, Steps
from planner.services.plan.plan_term import PlanView, plan_term
from planner.services.ports.work import UnitOfWork
from planner.services.toolbox import Toolbox

PLAN = "plan"
"""Name of this kind of long work."""


def start_planning(
    work: UnitOfWork, term_id: int, by: Author, *, leave_open: bool = True, limit_s: float | None = None
) -> Job:
    """Queue the planning of a term; when it is being planned already that goes on.

    Args:
        work: The transaction.
        term_id: Which term.
        by: Who asks for it.
        leave_open: Leave days open when there are too few fresh pieces, instead of refusing.
        limit_s: Seconds the search may take; None for what the settings say.

    Raises:
        NotFoundError: If there is no such term.
        ConflictError: If another term is being planned.
    """
    term = work.terms.get(term_id)
    request = {"term": term_id, "leave_open": leave_open, "limit_s": limit_s}
    job = start_job(work, PLAN, request, by)
    if job.request["term"] != term_id:
        raise ConflictError(
            f"Another term is being planned; {term.name} has to wait.", hint="Try again when it is done."
        )
    return job


def plan_job(tools: Toolbox, job: Job, steps: Steps) -> Values:
    """Plan the term of a job. Asked to stop, it keeps the best plan found so far.

    Returns:
        ``term``, ``outcome``, how many ``readings`` are planned and how many slots are ``open``, how many
        ``days`` a proposal would change, the ``notes``, and whether it was ``stopped``.
    """
    request = job.request
    is_stopped = False

    def watch(best: int, bound: float, filled: int) -> bool:
        nonlocal is_stopped
        try:
            # One more than is filled: work that is not done yet is not told as done.
            steps.tell(filled, filled + 1, f"{best} {bound:.0f}")
        except JobStopped:
            if steps.is_ending():
                raise
            is_stopped = True
        return not is_stopped

    view = plan_term(
        tools.work,
        request["term"],
        tools.today(),
        by=Author(job.by.door, tools.now(), job.by.account),
        limit_s=request["limit_s"] or tools.settings.plan_limit_s,
        steps=tools.settings.plan_steps or None,
        leave_open=request["leave_open"],
        progress=watch,
    )
    return _result(view, is_stopped=is_stopped)


def _result(view: PlanView, *, is_stopped: bool) -> dict[str, Any]:
    return {
        "term": view.term.id,
        "outcome": str(view.outcome),
        "readings": len(view.slots),
        "open": sum(day.slots for day in view.open_days),
        "days": len(view.proposal.changes) if view.proposal else 0,
        "notes": list(view.notes),
        "stopped": is_stopped,
    }
