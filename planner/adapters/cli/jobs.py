"""Commands about long work: what is under way, stopping it, going on with it, studying pieces again."""

import time
from collections.abc import Mapping
from typing import Any

import click

from planner.adapters.cli.context import (
    WHOLE,
    Session,
    exit_code_of_slug,
    format_option,
    home_option,
    notes,
    out,
    print_json,
    progress_bar,
)
from planner.core.job import Job, JobState
from planner.errors import ConflictError
from planner.services.imports.import_job import clear_arrival
from planner.services.jobs.kinds import KINDS
from planner.services.jobs.manage import as_it_stands, close_job, list_jobs, resume_job, stop_job
from planner.services.jobs.run import Work, run_job
from planner.services.library.restudy import start_restudy
from planner.services.toolbox import changing
from planner.study.version import STUDY_VERSION
from planner.wording.director.changes import by_whom, moment
from planner.wording.director.jobs import (
    job_title,
    moved_sentence,
    progress_sentence,
    refusal_sentence,
    state_words,
)

_LOOK_EVERY_S = 0.5


def do_in_foreground(session: Session, job: Job, kinds: Mapping[str, Work] = KINDS) -> Job:
    """Do a job here with a bar on the screen, or watch it when another window is at it.

    Ctrl-C stops it; what was finished is kept. ``kinds`` is what can be done, by name.
    """
    tools = session.tools
    with progress_bar() as bar:
        task = bar.add_task(job_title(job.kind), total=job.total or None, completed=job.done, what="")

        def show(done: int, total: int, what: str) -> None:
            bar.update(task, completed=done, total=total or None, what=what)

        try:
            try:
                return run_job(tools, kinds, job.id, watcher=show)
            except ConflictError:
                return _watch(session, job.id, show)
        except KeyboardInterrupt:
            notes.print(f"Resume it later: planner jobs resume {job.id}", markup=False)
            raise


def _watch(session: Session, job_id: int, show: Any) -> Job:
    """Follow a job that another window does, until it ends; Ctrl-C asks it to stop."""
    tools = session.tools
    try:
        while True:
            with tools.work() as work:
                job = as_it_stands(work.jobs.get(job_id), tools.locks)
            show(job.done, job.total, job.what)
            if job.state not in (JobState.QUEUED, JobState.RUNNING):
                return job
            time.sleep(_LOOK_EVERY_S)
    except KeyboardInterrupt:
        with changing(tools.work) as work:
            stop_job(work, tools.locks, job_id)
        raise


def print_outcome(job: Job) -> int:
    """Say what came of a job; the exit code."""
    out.print(progress_sentence(job), markup=False)
    for moved in job.result.get("moved", ()):
        out.print(f"  {moved_sentence(moved)}", markup=False)
    for refusal in job.refusals:
        if refusal.name:
            notes.print(refusal_sentence(refusal, job.kind), markup=False)
    return exit_code_of_job(job)


def exit_code_of_job(job: Job) -> int:
    """0 when all was done, 2 when something of it could not be, else the code of what ended it."""
    if job.state == JobState.DONE:
        return 2 if job.refusals else 0
    if job.state == JobState.FAILED:
        return next((exit_code_of_slug(each.slug) for each in job.refusals if not each.name), 1)
    return 130


@click.command()
@click.option("--all", "with_kept", is_flag=True, help="Also those that could not be studied before.")
@home_option
@click.pass_obj
def restudy(session: Session, with_kept: bool) -> int:
    """Study every piece again whose study an older version of the program made.

    What you corrected by hand stays. A piece whose file is missing or cannot be read keeps the study it
    has and is named. Ctrl-C stops cleanly; what was finished is kept.
    """
    tools = session.tools
    with changing(tools.work) as work:
        job = start_restudy(work, session.author(), with_kept=with_kept)
        is_all = not work.pieces.find_stale(STUDY_VERSION)
    if job is None:
        out.print(f"Every study {'is' if is_all else 'that can be made is'} up to date.")
        return 0
    return print_outcome(do_in_foreground(session, job))


@click.group(invoke_without_command=True)
@format_option
@home_option
@click.pass_context
def jobs(context: click.Context, form: str) -> None:
    """List long work, stop it, or go on with it."""
    if context.invoked_subcommand is not None:
        return
    tools = context.obj.tools
    with tools.work() as work:
        found = list_jobs(work, tools.locks)
    if form == "json":
        print_json({"format": "jobs", "version": 1, "jobs": [_as_json(job) for job in found]})
        return
    if not found:
        out.print("Nothing has run yet.")
    for job in found:
        asked = f"asked for on {moment(job.by.at)} {by_whom(job.by)}"
        out.print(f"{job.id}  {job_title(job.kind)}: {state_words(job)}, {asked}.", markup=False)
        out.print(f"   {progress_sentence(job)}", markup=False)
        for refusal in job.refusals:
            if refusal.name:
                out.print(f"   {refusal_sentence(refusal, job.kind)}", markup=False)


def _as_json(job: Job) -> dict[str, Any]:
    return {
        "id": job.id, "kind": job.kind, "state": job.state, "done": job.done, "total": job.total,
        "what": job.what, "result": dict(job.result), "door": job.by.door, "account": job.by.account,
        "asked_at": job.by.at.isoformat(),
        "started_at": job.started_at.isoformat() if job.started_at else None,
        "finished_at": job.finished_at.isoformat() if job.finished_at else None,
        "refused": [
            {"name": each.name, "slug": each.slug, "detail": each.detail, "id": each.subject_id}
            for each in job.refusals
        ],
    }  # fmt: skip


@jobs.command()
@click.argument("job_id", metavar="NUMBER", type=WHOLE)
@home_option
@click.pass_obj
def stop(session: Session, job_id: int) -> None:
    """Stop work after the piece it is at; what is finished is kept."""
    tools = session.tools
    with changing(tools.work) as work:
        job = stop_job(work, tools.locks, job_id)
    out.print(f"{job_title(job.kind)}: {state_words(job)}.", markup=False)


@jobs.command()
@click.argument("job_id", metavar="NUMBER", type=WHOLE)
@home_option
@click.pass_obj
def resume(session: Session, job_id: int) -> int:
    """Go on with work that was stopped or broke off, here, with a bar on the screen."""
    tools = session.tools
    with changing(tools.work) as work:
        job = resume_job(work, tools.locks, job_id)
    return print_outcome(do_in_foreground(session, job))


@jobs.command()
@click.argument("job_id", metavar="NUMBER", type=WHOLE)
@home_option
@click.pass_obj
def close(session: Session, job_id: int) -> None:
    """Leave stopped work at what it finished; it is not offered to go on any more."""
    tools = session.tools
    with changing(tools.work) as work:
        job = close_job(work, tools.locks, job_id, tools.now())
    clear_arrival(tools, job)
    out.print(f"{job_title(job.kind)}: {progress_sentence(job)}", markup=False)


COMMANDS = (restudy, jobs)
