"""Making the guides of a reading day as long work: asked for, watched, stopped and gone on with."""

from collections.abc import Callable, Sequence
from datetime import date

from planner.core.change import Author, Values
from planner.core.job import Job
from planner.services.jobs.manage import list_jobs, start_job
from planner.services.jobs.run import Steps
from planner.services.ports.files import Filed
from planner.services.ports.records import JobLocks
from planner.services.ports.work import UnitOfWork
from planner.services.sheets.make_guides import (
    check_guides,
    note_guides,
    print_guides,
    read_guides,
    without_guides,
)
from planner.services.sheets.views import SheetKind
from planner.services.toolbox import Toolbox, changing

GUIDES = "guides"
"""Name of this kind of long work."""


def start_guides(work: UnitOfWork, term_id: int, on: date, kind: SheetKind, by: Author) -> Job:
    """Queue the guides of a day; when the same are being made already that goes on.

    Raises:
        NotFoundError: If there is no such term or plan, or nothing is planned on that day.
        ConflictError: If all that is planned is on paper, and the sheets are not those with blanks.
    """
    check_guides(work, term_id, on, kind)
    return start_job(work, GUIDES, {"term": term_id, "on": on.isoformat(), "kind": kind.value}, by)


def guides_job(
    tools: Toolbox, job: Job, steps: Steps, report: Callable[[Sequence[Filed]], object] = lambda _: None
) -> Values:
    """Make the guides that a job asks for; what was printed before a stop stays, and is printed anew.

    Args:
        tools: The ports.
        job: Which day, and which version of the sheets.
        steps: Told after each sheet.
        report: Handed the files once all are made.

    Returns:
        How many ``sheets`` were made, the titles ``on_paper`` that have none, and of files that somebody had
        ``kept`` the new name with the names of what stays.
    """
    term_id, on = int(job.request["term"]), date.fromisoformat(job.request["on"])
    kind, paper, today = SheetKind(job.request["kind"]), tools.settings.paper, tools.today()
    with tools.work() as work:
        batch = read_guides(
            work, tools.files, tools.engraver, term_id=term_id, on=on, today=today, paper=paper, kind=kind
        )
        on_paper = () if kind is SheetKind.BLANKS else without_guides(work, term_id, on)
    made = print_guides(
        batch,
        tools.guide_writer,
        exports=tools.exports,
        today=today,
        director_writer=tools.director_writer,
        progress=steps.tell,
    )
    with changing(tools.work) as work:
        note_guides(work, term_id, on)
    report(made)
    kept = [[each.path.name, [path.name for path in each.kept]] for each in made if each.kept]
    return {"sheets": len(made), "on_paper": list(on_paper), "kept": kept}


def last_guides(work: UnitOfWork, locks: JobLocks, term_id: int, on: date) -> Job | None:
    """The last time guides of a day were asked for; None when it is not among the latest work."""
    day = (term_id, on.isoformat())
    found = (job for job in list_jobs(work, locks) if job.kind == GUIDES)
    return next((job for job in found if (job.request.get("term"), job.request.get("on")) == day), None)
