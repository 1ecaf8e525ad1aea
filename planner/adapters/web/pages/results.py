"""The page of a day's results: entered as you go, and what they moved."""

from collections.abc import Mapping, Sequence

from flask import Blueprint, abort, flash, redirect, render_template, request, url_for
from flask.wrappers import Response
from werkzeug.wrappers import Response as BaseResponse

from planner.adapters.web.context import (
    account_name,
    answers,
    author,
    changing,
    needed_whole,
    own_sections,
    reading,
    sees,
    tools,
)
from planner.adapters.web.errors import status_of
from planner.adapters.web.forms.result import (
    FIELDS,
    alike_sent,
    changed_entries,
    meet_results,
    result_values,
    results_again,
)
from planner.adapters.web.kept import is_asked_as_you_go, kept, not_kept
from planner.adapters.web.shown import Form, first_shown
from planner.core.change import ChangeKind
from planner.core.difficulty import FOCUSES
from planner.core.ensemble import Section
from planner.errors import ConflictError, InputError, NotFoundError, OddEntryError
from planner.services.changes.records import Means, reading_subject
from planner.services.changes.undo import undo_change
from planner.services.day.log_results import LONGEST_REMARK, LoggedDay, log_results, stored_entries
from planner.services.day.read_day import read_day
from planner.services.day.result_entry import ResultEntry, entry_of
from planner.services.ports.work import UnitOfWork
from planner.services.results.same_for_all import same_for_all
from planner.services.results.show_results import ResultsView, show_results
from planner.services.results.what_moved import Moved, what_moved
from planner.services.term.terms import parse_date
from planner.wording.director.changes import change_sentence
from planner.wording.director.results import FELL_APART_NOTE
from planner.wording.director.sections import misfit_notes, saved_text

pages = Blueprint("results", __name__, url_prefix="/term/<int:term_id>/<on>/results")

_LINE = tuple(f"{name}-" for name in FIELDS)
"""How the fields of a section's line begin in the form of results."""


@pages.get("")
def show(term_id: int, on: str) -> str:
    """How each section read, to be entered or changed, and what it moved; with ``part`` the latter alone."""
    view = _view(reading(), term_id, on)
    if not request.args.get("part"):
        return _page(view)
    return render_template("day/moved.html", term=view.day.term, moved=_moved(view))


@pages.post("")
def save(term_id: int, on: str) -> BaseResponse | tuple[Response | str, int]:
    """Keep how sections read a piece; levels move at once.

    A line that still says what it said when the page was made is passed over, so that a page left open
    in another window takes nothing back; one that was emptied takes its result back, and where somebody
    else entered something else meanwhile the line comes back with both.
    """
    view, piece_id = _view(reading(), term_id, on), needed_whole("piece")
    ensemble, day = view.day.ensemble, view.day.on
    _refuse_others(ensemble.sections)
    sections = _own(ensemble.sections)
    try:
        with changing() as work:
            stored = stored_entries(work, ensemble.id, day, piece_id)
            meeting = meet_results(sections, stored, request.form)
            meeting.refuse_overtaken()
            entries = changed_entries(sections, piece_id, stored, meeting)
            if not entries and not any(meeting.values.values()) and not is_asked_as_you_go():
                raise InputError("No section has a first reading yet.", hint="Enter at least one number.")
            logged, change = _log(work, view, entries, sections)
            now = result_values(sections, stored_entries(work, ensemble.id, day, piece_id))
    except (InputError, ConflictError, OddEntryError) as error:
        with tools().work() as fresh:
            stored = stored_entries(fresh, ensemble.id, day, piece_id)
        form = results_again(error, sections, stored, request.form)
        if is_asked_as_you_go():
            return not_kept(error, form, result_values(sections, stored))
        if not view.takes(piece_id, tools().today()):
            raise
        return _page(view, {piece_id: form}), status_of(error)
    words = _words(entries, logged)
    if is_asked_as_you_go():
        return kept(now, words, change)
    _flash(words, logged)
    return redirect(url_for("results.show", term_id=term_id, on=on))


@pages.post("/all")
def fill(term_id: int, on: str) -> BaseResponse | tuple[str, int]:
    """Keep one entry for all sections: where nothing stands, or everywhere after asking."""
    view, piece_id = _view(reading(), term_id, on), needed_whole("piece")
    sections = _own(view.sections_of(piece_id))
    try:
        with changing() as work:
            stored = stored_entries(work, view.day.ensemble.id, view.day.on, piece_id)
            entries = same_for_all(
                sections, piece_id, stored, alike_sent(request.form), answers(),
                every=request.form.get("do") == "every",
            )  # fmt: skip
            logged, _ = _log(work, view, entries, sections)
    except (InputError, ConflictError, OddEntryError) as error:
        if not view.takes(piece_id, tools().today()):
            raise
        values = {name: request.form.get(name, "") for name in ("all-first", "all-second", "all-tempo", "do")}
        asked = error.questions if isinstance(error, OddEntryError) else ()
        refused = "" if asked else " ".join(filter(None, (str(error), error.hint)))
        back = Form(values, "", refused=refused, about=error.field, asked=asked)
        return _page(view, alike={piece_id: back}), status_of(error)
    _flash(_words(entries, logged), logged)
    return redirect(url_for("results.show", term_id=term_id, on=on))


@pages.post("/undo")
def undo(term_id: int, on: str) -> BaseResponse | tuple[Response | str, int]:
    """Take back what was just entered on this page, whoever may enter it again."""
    view, change_id = _view(reading(), term_id, on), needed_whole("change")
    ensemble, day, box = view.day.ensemble, view.day.on, tools()
    sections = _own(ensemble.sections)
    with changing() as work:
        change = work.changes.get(change_id)
        subject = reading_subject(change.subject.id, change.subject.name, ensemble.id, day)
        if change.kind != ChangeKind.RESULTS or change.subject.within != subject.within:
            raise NotFoundError("change", change_id, hint="Look under Changes.")
        if not all(sees(int(each)) for each in change.after):
            abort(403)
        done = undo_change(work, change_id, author(), Means(box.files, box.studies))
        now = result_values(sections, stored_entries(work, ensemble.id, day, change.subject.id))
    words = f"Undone. {change_sentence(done)}"
    if is_asked_as_you_go():
        return kept(now, words, done.id)
    flash(words, "results")
    return redirect(url_for("results.show", term_id=term_id, on=on))


def _view(work: UnitOfWork, term_id: int, on: str) -> ResultsView:
    """The day's results that are open to whoever asks."""
    return show_results(work, read_day(work, term_id, parse_date(on)), own_sections())


def _page(
    view: ResultsView, back: Mapping[int, Form] | None = None, alike: Mapping[int, Form] | None = None
) -> str:
    """The page; ``back`` and ``alike`` hold forms that were not taken, by piece."""
    day = view.day
    sections = _own(day.ensemble.sections)
    forms = {
        each.piece.id: first_shown(
            result_values(
                sections,
                {row.section.id: entry_of(row.result) for row in each.rows if row.result is not None},
            )
        )
        for each in view.readings
    }
    return render_template(
        "day/results.html",
        ensemble=day.ensemble,
        term=day.term,
        view=view,
        on=day.on,
        focuses=FOCUSES,
        is_to_come=day.on > tools().today() and not view.has_results,
        forms={**forms, **(back or {})},
        alike=alike or {},
        no_alike=Form({}, ""),
        fell_apart_note=FELL_APART_NOTE,
        longest_remark=LONGEST_REMARK,
        who=account_name(),
        moved=_moved(view),
    )


def _moved(view: ResultsView) -> Moved:
    """What the day moved, of the sections that are open to whoever asks."""
    day = view.day
    return what_moved(reading(), day.term, day.ensemble, day.on, tools().today(), own_sections())


def _own(sections: Sequence[Section]) -> list[Section]:
    """The sections whose results are open to whoever asks."""
    return [section for section in sections if sees(section.id)]


def _refuse_others(sections: Sequence[Section]) -> None:
    """Store nothing from a form that holds lines of a section which is not open to who sends it."""
    named = {field.rpartition("-")[2] for field in request.form if field.startswith(_LINE)}
    if any(str(section.id) in named and not sees(section.id) for section in sections):
        abort(403)


def _log(
    work: UnitOfWork,
    view: ResultsView,
    entries: Sequence[ResultEntry],
    sections: Sequence[Section],
) -> tuple[LoggedDay, int | None]:
    """Store entries; what came of it, and the entry of the journal, if there is a new one."""
    before = {each.id for each in work.changes.list_changes(1)}
    logged = log_results(
        work, view.day.ensemble.id, view.day.on, entries, by=author(), today=tools().today(),
        answers=answers(), seen=[section.id for section in sections],
    )  # fmt: skip
    newest = next(iter(work.changes.list_changes(1)), None)
    return logged, newest.id if newest is not None and newest.id not in before else None


def _words(entries: Sequence[ResultEntry], logged: LoggedDay) -> str:
    """What saving did, in one note."""
    stored = [entry for entry in entries if entry.first_share is not None]
    return saved_text(
        len(stored),
        [(c.section.name, c.before, c.after, c.error) for c in logged.changes if sees(c.section.id)],
        taken_back=len(entries) - len(stored),
        set_aside=sum(entry.counts is False for entry in stored),
    )


def _flash(words: str, logged: LoggedDay) -> None:
    """What saving did, and a second note where results are not as expected."""
    flash(words, "results")
    for note in misfit_notes(logged.misfits, len({result.section_id for result in logged.results})):
        flash(note, "results warning")
