"""Pages of the backups: making one, taking one in, checking it, deleting it, going back to it."""

from flask import Blueprint, flash, redirect, render_template, request, send_file, url_for
from flask.wrappers import Response
from werkzeug.wrappers import Response as BaseResponse

from planner.adapters.web.context import author, changing, ensemble_in_view, term_in_view, tools
from planner.adapters.web.download import named
from planner.core.ensemble import Ensemble
from planner.core.term import Term
from planner.errors import ConflictError, HomeError, InputError, NotFoundError
from planner.services.backups.keep_backups import (
    check_backup,
    make_backup,
    remove_backup,
    take_in_backup,
)
from planner.services.backups.restore_backup import restore_backup
from planner.services.library.restudy import start_restudy
from planner.wording.director.backups import (
    REASONS,
    UNREADABLE,
    WARNING,
    backed_up_text,
    checked_text,
    removed_text,
    restored_text,
    size_text,
    taken_in_text,
)

pages = Blueprint("backups", __name__, url_prefix="/backups")


def _in_view() -> tuple[Ensemble | None, Term | None, HomeError | None]:
    """What the masthead names; and what is wrong with the library, where it cannot be opened."""
    try:
        return ensemble_in_view(), term_in_view(), None
    except HomeError as error:
        return None, None, error


@pages.get("/")
def listing() -> str:
    """The backups, newest first; shown whatever has befallen the library."""
    ensemble, term, trouble = _in_view()
    return render_template(
        "backups/list.html",
        ensemble=ensemble,
        term=term,
        trouble=trouble,
        backups=tools().backups.list_backups(),
        reasons=REASONS,
        unreadable=UNREADABLE,
        size_text=size_text,
    )


@pages.post("/")
def make() -> BaseResponse:
    """Back the home up now."""
    report = make_backup(tools().backups, tools().now())
    for line in backed_up_text(report.path.name, report.pieces, report.missing):
        flash(line)
    return redirect(url_for("backups.listing"))


@pages.post("/take-in")
def take_in() -> BaseResponse:
    """Put a backup that lies elsewhere among the others."""
    upload = request.files.get("file")
    if upload is None or not upload.filename:
        raise InputError("There is no file.", hint="Choose a backup.", field="file")
    report = take_in_backup(tools().backups, upload.stream)
    flash(taken_in_text(report.path.name, report.pieces))
    return redirect(url_for("backups.listing"))


@pages.get("/<name>/delete")
def ask(name: str) -> str:
    """Ask whether a backup shall be deleted."""
    kept = next((each for each in tools().backups.list_backups() if each.path.name == name), None)
    if kept is None:
        raise NotFoundError("backup", name)
    return render_template(
        "backups/remove.html",
        ensemble=ensemble_in_view(),
        term=term_in_view(),
        backup=kept,
        reasons=REASONS,
        unreadable=UNREADABLE,
        size_text=size_text,
    )


@pages.post("/<name>/delete")
def remove(name: str) -> BaseResponse:
    """Delete a backup for good."""
    kept = remove_backup(tools().backups, name, is_sure=bool(request.form.get("sure")))
    flash(removed_text(kept.path.name))
    return redirect(url_for("backups.listing"))


@pages.get("/<name>")
def file(name: str) -> Response:
    """One backup, to be kept elsewhere."""
    path = tools().backups.find(name)
    return named(send_file(path.resolve(), mimetype="application/zip"), path.name)


@pages.post("/<name>/check")
def check(name: str) -> BaseResponse:
    """Read one to its end."""
    report = check_backup(tools().backups, tools().backups.find(name))
    flash(checked_text(name, report.files, report.pieces))
    return redirect(url_for("backups.listing"))


@pages.route("/<name>/restore", methods=["GET", "POST"])
def restore(name: str) -> str | BaseResponse:
    """Ask whether to go back to a backup; sent as a form, do it."""
    path = tools().backups.find(name)
    if request.method == "GET":
        ensemble, term, trouble = _in_view()
        kept = next(each for each in tools().backups.list_backups() if each.path == path)
        return render_template(
            "backups/restore.html",
            ensemble=ensemble,
            term=term,
            trouble=trouble,
            backup=kept,
            warning=WARNING,
        )
    if not request.form.get("sure"):
        raise ConflictError("Nothing was changed.", hint="Tick the box to go back to the backup.")
    report = restore_backup(tools(), path)
    with changing() as work:
        start_restudy(work, author(), is_asked_for=False)
    lines = restored_text(
        name,
        report.pieces,
        report.before.name if report.before else "",
        report.set_aside.name if report.set_aside else "",
        report.missing,
        [each.name for each in report.kept],
    )
    for line in lines:
        flash(line)
    return redirect(url_for("backups.listing"))
