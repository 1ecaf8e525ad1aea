"""Pages of imports: files that come in, some at a time or all at once; what came of one; taking it back."""

from collections.abc import Iterable, Sequence
from contextlib import suppress
from functools import partial
from pathlib import PurePosixPath

from flask import Blueprint, flash, jsonify, redirect, render_template, request, url_for
from flask.wrappers import Response
from werkzeug.datastructures import FileStorage
from werkzeug.wrappers import Response as BaseResponse

from planner.adapters.web.context import author, changing, ensemble_in_view, reading, term_in_view, tools
from planner.adapters.web.pages.jobs import words
from planner.core.job import Job, JobState
from planner.errors import ConflictError, InputError, NotFoundError
from planner.services.changes.journal import brought_pieces
from planner.services.imports.import_job import IMPORT, brought_by, import_job, start_import
from planner.services.imports.import_scores import ImportReport
from planner.services.imports.score_files import ARCHIVE_SUFFIX, SCORE_SUFFIXES
from planner.services.imports.undo_import import UNDO_IMPORT, look_at_undo, start_undo_import
from planner.services.jobs.kinds import KINDS
from planner.services.jobs.manage import as_it_stands
from planner.services.jobs.run import run_job
from planner.wording.director.imports import in_use_sentence
from planner.wording.words import listed

pages = Blueprint("imports", __name__, url_prefix="/imports")

FEW = 3
"""Plain files that are read while the page waits; more go on in the background (house choice)."""

_SHOWN = 500
"""Pieces and files that a page lists one by one; of more it says how many (house choice)."""


def suffixes() -> str:
    """Endings of the files of a folder that are worth sending, for the script that sends them."""
    return " ".join((*SCORE_SUFFIXES, ARCHIVE_SUFFIX))


def receive(uploads: Iterable[FileStorage], arrival: str = "") -> str:
    """Take uploaded files in, as a new arrival or with those of one that is coming in; its name."""
    inbox = tools().inbox
    arrival = arrival or inbox.open()
    inbox.paths(arrival)  # named here if it is not there
    for upload in uploads:
        if upload.filename:
            inbox.put(arrival, upload.filename, upload.stream)
    return arrival


def are_few(uploads: Sequence[FileStorage]) -> bool:
    """Whether the page may wait for some uploads: few plain files, no folder and no zip."""
    return len(uploads) <= FEW and not any(_is_many(upload.filename or "") for upload in uploads)


def _is_many(name: str) -> bool:
    return "/" in name or "\\" in name or PurePosixPath(name).suffix.lower() == ARCHIVE_SUFFIX


def import_now(job: Job) -> BaseResponse:
    """Do an import while the page waits, and go to the page that says what came of it, or how far it is."""
    reports: list[ImportReport] = []
    with suppress(ConflictError):  # the worker beside the pages was quicker
        run_job(tools(), {**KINDS, IMPORT: partial(import_job, report=reports.append)}, job.id)
    unchanged = [path.name for report in reports for path in report.unchanged]
    if unchanged:
        flash(f"Already here: {listed(unchanged)}.")
    return redirect(url_for("imports.show", job_id=job.id), 303)


@pages.post("/")
def start() -> Response:
    """Take files in that come some at a time, and begin to import them when the last are here.

    The answer names the arrival that the others join, or the page that shows how far the import is.
    """
    arrival = receive(request.files.getlist("scores"), request.form.get("arrival", ""))
    if request.form.get("more"):
        return jsonify(arrival=arrival)
    paths = tools().inbox.paths(arrival)
    if not paths:
        raise InputError("No file was chosen.", hint="Choose one or more score files, or a folder of them.")
    with changing() as work:
        job = start_import(work, paths, author(), arrival=arrival)
    unsent = request.form.getlist("unsent")
    if unsent:
        named = ", ".join(f"“{name}”" for name in unsent[:5])
        more = f" and {len(unsent) - 5} more" if len(unsent) > 5 else ""
        flash(f"Your browser could not send {named}{more}. Add them with the command line, or one by one.")
    return jsonify(address=url_for("imports.show", job_id=job.id))


@pages.get("/<int:job_id>")
def show(job_id: int) -> str:
    """How far an import is, and what came of it so far."""
    return _page(_import(job_id))


def _import(job_id: int) -> Job:
    job = as_it_stands(reading().jobs.get(job_id), tools().locks)
    if job.kind not in (IMPORT, UNDO_IMPORT):
        raise NotFoundError("import", job_id, hint="Look at the work under way.")
    return job


def _page(job: Job) -> str:
    count = reading().changes.count_of_jobs([job.id]).get(job.id)
    is_open = job.state in (JobState.QUEUED, JobState.RUNNING)
    return render_template(
        "imports/show.html",
        ensemble=ensemble_in_view(),
        term=term_in_view(),
        job=job,
        is_done=job.state == JobState.DONE,
        brought=brought_by(reading(), job.id),
        can_be_undone=job.kind == IMPORT and not is_open and brought_pieces(count),
        shown=_SHOWN,
        **words(),
    )


@pages.get("/<int:job_id>/undo")
def look(job_id: int) -> str:
    """What taking an import back would do: asked before it is done."""
    job = _import(job_id)
    return render_template(
        "imports/undo.html",
        ensemble=ensemble_in_view(),
        term=term_in_view(),
        job=job,
        outlook=look_at_undo(reading(), tools().locks, job_id),
        why=in_use_sentence,
    )


@pages.post("/<int:job_id>/undo")
def undo(job_id: int) -> BaseResponse:
    """Take an import back, in the background."""
    with changing() as work:
        job = start_undo_import(work, tools().locks, job_id, author())
    return redirect(url_for("imports.show", job_id=job.id))
