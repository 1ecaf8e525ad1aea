"""Pages of long work: how far it is, stopping it and going on with it."""

from flask import Blueprint, flash, jsonify, redirect, render_template, request, url_for
from flask.wrappers import Response
from werkzeug.wrappers import Response as BaseResponse

from planner.adapters.web.context import (
    author,
    changing,
    ensemble_in_view,
    local_address,
    reading,
    term_in_view,
    tools,
)
from planner.services.imports.import_job import clear_arrival
from planner.services.jobs.manage import as_it_stands, close_job, list_jobs, resume_job, stop_job
from planner.services.library.restudy import count_kept, start_restudy
from planner.wording.director.jobs import (
    job_title,
    moved_sentence,
    progress_sentence,
    refusal_sentence,
    state_words,
)

pages = Blueprint("jobs", __name__, url_prefix="/jobs")


def words() -> dict[str, object]:
    """What the templates need to speak of a job."""
    return {
        "job_title": job_title, "job_state": state_words, "job_progress": progress_sentence,
        "refused": refusal_sentence, "moved": moved_sentence,
    }  # fmt: skip


@pages.get("/")
def listing() -> str:
    """Long work, newest first."""
    found = list_jobs(reading(), tools().locks)
    return render_template(
        "jobs/list.html",
        ensemble=ensemble_in_view(),
        term=term_in_view(),
        jobs=found,
        kept=count_kept(reading()),
        **words(),
    )


@pages.get("/<int:job_id>.json")
def state(job_id: int) -> Response:
    """How far a job is, for the script that keeps the page up to date."""
    job = as_it_stands(reading().jobs.get(job_id), tools().locks)
    return jsonify(
        state=job.state,
        done=job.done,
        total=job.total,
        words=state_words(job),
        sentence=progress_sentence(job),
    )


@pages.post("/restudy")
def restudy() -> BaseResponse:
    """Study again what is not up to date, what could not be studied before too."""
    with changing() as work:
        job = start_restudy(work, author(), with_kept=True)
    if job is None:
        flash("Every study is up to date.")
    return redirect(url_for("jobs.listing"))


@pages.post("/<int:job_id>/stop")
def stop(job_id: int) -> BaseResponse:
    """Ask a job to stop."""
    with changing() as work:
        stop_job(work, tools().locks, job_id)
    return redirect(_back())


@pages.post("/<int:job_id>/resume")
def resume(job_id: int) -> BaseResponse:
    """Go on with a job."""
    with changing() as work:
        resume_job(work, tools().locks, job_id)
    return redirect(_back())


@pages.post("/<int:job_id>/close")
def close(job_id: int) -> BaseResponse:
    """Leave a job at what it finished."""
    with changing() as work:
        job = close_job(work, tools().locks, job_id, tools().now())
    clear_arrival(tools(), job)
    return redirect(_back())


def _back() -> str:
    """The page the job was shown on, where its form names one of ours; else the list of long work."""
    return local_address(request.form.get("back", "")) or url_for("jobs.listing")
