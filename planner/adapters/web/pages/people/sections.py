"""Pages of the people: ensembles, their sections and players."""

from collections.abc import Mapping

from flask import Blueprint, flash, redirect, render_template, request, session, url_for
from werkzeug.wrappers import Response

from planner.adapters.drawing.level_chart import NARROW, WIDE, draw_level, draw_small, shared_span
from planner.adapters.web.access import may
from planner.adapters.web.context import (
    answers,
    author,
    changing,
    ensemble_in_view,
    needed_number,
    needed_whole,
    number_argument,
    reading,
    sees,
    term_in_view,
    terms_in_view,
    tools,
    whole_argument,
)
from planner.adapters.web.errors import status_of
from planner.adapters.web.forms.table import sent_fields, sent_rows
from planner.adapters.web.pages.people.ensembles import ensembles_page
from planner.adapters.web.shown import questions_of
from planner.adapters.web.svg import svg_of
from planner.core.ensemble import Ensemble, Section, StartBasis, StartKind
from planner.core.term import Term
from planner.errors import ConflictError, EntriesError, InputError, NotFoundError, OddEntryError, PlannerError
from planner.levels.curve import TARGET_SHARE
from planner.levels.history import LevelTrace
from planner.services.changes.records import Means
from planner.services.entered.shares import read_bars
from planner.services.levels.section_levels import section_evidence
from planner.services.levels.section_term import sections_over_term
from planner.services.people.lists.sections_table import FIELDS, SectionEntry, section_texts, take_table
from planner.services.people.roster import add_ensemble, list_ensembles, remove_section
from planner.services.people.sections_from_score import add_sections_from_piece
from planner.services.people.starts import last_start_change, set_start, take_back_start
from planner.wording.director.instruments import instrument_choices
from planner.wording.director.people import saved_sections_text
from planner.wording.director.sections import (
    focus_text,
    growth_text,
    interval_text,
    misfit_notes,
    misfit_text,
    range_text,
    start_in_sentence,
    start_text,
)

pages = Blueprint("sections", __name__, url_prefix="/sections")

BLANK_ROWS = 3
"""Rows for new sections at the end of the table. Source: house choice."""


@pages.get("/")
def listing() -> str:
    """Every section of the ensemble in view, in one table that is edited in place."""
    return _listing()


def _listing(sent: list[SectionEntry] | None = None, error: PlannerError | None = None) -> str:
    """The table as it is stored, or as it was sent with what is wrong in it."""
    ensemble = ensemble_in_view()
    evidence = section_evidence(reading(), ensemble, today=tools().today()) if ensemble else {}
    traces = {i: each.trace for i, each in evidence.items()}
    return render_template(
        "sections/list.html",
        ensemble=ensemble,
        term=term_in_view(),
        traces=traces,
        misfits=_misfits(ensemble, traces) if ensemble else (),
        range_text=range_text,
        start_text=start_text,
        ensembles=list_ensembles(reading()),
        rows=_rows(ensemble, sent) if ensemble else (),
        faults=error.faults if isinstance(error, EntriesError) else {},
        refused=str(error) if error and not isinstance(error, EntriesError) else "",
        families=instrument_choices(),
        titles=reading().pieces.titles(),
        target_percent=round(100 * TARGET_SHARE),
    )


def _rows(ensemble: Ensemble, sent: list[SectionEntry] | None) -> list[tuple[Section | None, SectionEntry]]:
    """The rows of the table, each with the section it is about; at its end rows for new ones."""
    there = {section.id: section for section in ensemble.sections}
    if sent is None:
        texts = {section.id: section_texts(section) for section in ensemble.sections}
        sent = [SectionEntry(i, text, text) for i, text in texts.items()]
        blank = dict.fromkeys(FIELDS, "")
        sent += [SectionEntry(0, blank, blank)] * BLANK_ROWS
    return [(there.get(entry.id), entry) for entry in sent]


@pages.post("/ensembles")
def create() -> Response | tuple[str, int]:
    """Begin an ensemble and bring it into view."""
    try:
        with changing() as work:
            name, kind = request.form.get("name", ""), request.form.get("kind", "band")
            ensemble = add_ensemble(work, name, kind, by=author())
    except (InputError, ConflictError) as error:
        return ensembles_page(error=error), status_of(error)
    session["ensemble"] = ensemble.id
    return redirect(url_for("sections.listing"))


@pages.post("/ensembles/choose")
def choose() -> Response:
    """Bring another ensemble into view."""
    session["ensemble"] = needed_whole("ensemble")
    return redirect(url_for("sections.listing" if may("sections.listing") else "today.show"))


@pages.post("/")
def table() -> Response | tuple[str, int]:
    """Store what was changed in the table of sections, and the new ones in it."""
    rows = [SectionEntry(key, typed, shown) for key, typed, shown in sent_rows(request.form, FIELDS)]
    try:
        with changing() as work:
            changed, new = take_table(work, _ensemble().id, rows, by=author())
    except (InputError, ConflictError) as error:
        return _listing(rows, error), status_of(error)
    flash(saved_sections_text(changed, new))
    return redirect(url_for("sections.listing"))


@pages.post("/from-piece")
def from_piece() -> Response:
    """Add a section for each part of a piece."""
    piece_id, level = needed_whole("piece"), needed_number("level")
    with changing() as work:
        add_sections_from_piece(work, _ensemble().id, piece_id, level=level, by=author())
    return redirect(url_for("sections.listing"))


@pages.route("/<int:section_id>", methods=["GET", "POST"])
def edit(section_id: int) -> str | Response | tuple[str, int]:
    """One section: change it, and its players."""
    section = _find(section_id)
    typed, error = section_texts(section), None
    if request.method == "POST":
        typed, shown = sent_fields(request.form, FIELDS, str(section_id))
        try:
            with changing() as work:
                take_table(work, _ensemble().id, [SectionEntry(section_id, typed, shown)], by=author())
        except (InputError, ConflictError) as refused:
            error = refused
        else:
            flash("Saved.")
            return redirect(url_for("sections.listing"))
    page = _section_page(section, typed, error)
    return (page, status_of(error)) if error else page


def _section_page(
    section: Section,
    typed: Mapping[str, str],
    error: PlannerError | None,
    begun: Mapping[str, str] | None = None,
) -> str:
    """The page of a section; ``begun`` holds a form of where its level starts that was not taken."""
    section_id = section.id
    ensemble = _ensemble()
    known = section_evidence(reading(), ensemble, today=tools().today(), only=section_id)
    trace = known[section_id].trace
    return render_template(
        "sections/edit.html",
        ensemble=ensemble,
        term=term_in_view(),
        section=section,
        trace=trace,
        misfit=misfit_text(section.name, trace.misfit) if trace.misfit else "",
        start=start_text(section.start_basis),
        begun=section.level if section.start_level is None else section.start_level,
        interval=interval_text(trace.now),
        can_take_back=last_start_change(reading(), section) is not None,
        typed=typed,
        shown=section_texts(section),
        faults=error.faults if isinstance(error, EntriesError) else {},
        refused=str(error) if error and not isinstance(error, EntriesError | OddEntryError) else "",
        about=error.field if error else "",
        odd=questions_of(error),
        sent=begun or {},
        families=instrument_choices(),
    )


@pages.post("/<int:section_id>/start")
def start(section_id: int) -> Response | tuple[str, int]:
    """Let the level start anew, from years, from last year or from a placement reading."""
    found = _find(section_id)
    try:
        with changing() as work:
            basis, today = _basis_sent(found), tools().today()
            section = set_start(work, section_id, basis, today=today, by=author(), answers=answers())
    except (InputError, OddEntryError) as error:
        return _section_page(found, section_texts(found), error, request.form), status_of(error)
    begins = start_in_sentence(section.start_basis)
    flash(f"{section.name} starts {begins}. It stands at level {section.level:.1f} now.")
    return redirect(url_for("sections.edit", section_id=section_id))


def _basis_sent(section: Section) -> StartBasis:
    """Where a level is to start, as a form says it.

    Raises:
        InputError: If a number cannot be read.
    """
    kind = request.form.get("kind", "")
    return StartBasis(
        StartKind(kind) if kind in set(StartKind) else StartKind.WORD,
        years=number_argument("years"),
        level=number_argument("level"),
        share=read_bars(section.name, request.form.get("bars_right", ""), "bars_right"),
        weeks=number_argument("weeks"),
    )


@pages.post("/<int:section_id>/start/back")
def take_back(section_id: int) -> Response:
    """Take the newest change of where the level starts back."""
    box = tools()
    with changing() as work:
        section = take_back_start(work, section_id, author(), Means(box.files, box.studies))
    flash(f"Taken back. {section.name} starts {start_in_sentence(section.start_basis)}.")
    return redirect(url_for("sections.edit", section_id=section_id))


@pages.get("/levels")
def levels() -> str:
    """Every section's level over the term, small, side by side."""
    ensemble, term = _ensemble(), _term_shown()
    views = sections_over_term(reading(), ensemble, term, tools().today())
    span = shared_span(views.values())
    return render_template(
        "sections/levels.html",
        ensemble=ensemble,
        term=term,
        views=views,
        terms=terms_in_view(),
        chosen=request.args.get("term"),
        drawn={i: svg_of(draw_small(view, span)) for i, view in views.items()},
        misfits=_misfits(ensemble, {i: view.trace for i, view in views.items()}),
        range_text=range_text,
    )


@pages.get("/<int:section_id>/level")
def level(section_id: int) -> str:
    """One section's level over the term, with its results and forecasts."""
    ensemble, term, section = _ensemble(), _term_shown(), _find(section_id)
    views = sections_over_term(reading(), ensemble, term, tools().today(), only=section_id)
    view = views[section_id]
    trace, ids = view.trace, [each.id for each in ensemble.sections]
    at = ids.index(section_id)
    return render_template(
        "sections/level.html",
        ensemble=ensemble,
        term=term,
        section=section,
        view=view,
        terms=terms_in_view(),
        chosen=request.args.get("term"),
        wide=svg_of(draw_level(view, WIDE)),
        narrow=svg_of(draw_level(view, NARROW)),
        before=next((each for each in reversed(ensemble.sections[:at]) if sees(each.id)), None),
        after=next((each for each in ensemble.sections[at + 1 :] if sees(each.id)), None),
        start=start_text(section.start_basis),
        begun=section.level if section.start_level is None else section.start_level,
        interval=interval_text(view.now),
        range_text=range_text,
        growth=growth_text(trace.days[-1].growth) if trace.days else "",
        misfit=misfit_text(section.name, trace.misfit) if trace.misfit else "",
        by_focus=[focus_text(each) for each in trace.by_focus],
        days={day.on: day for day in trace.days},
        reading_days=term.reading_dates() if term else (),
    )


def _term_shown() -> Term | None:
    """The term that is asked for, else the one in view; None when there is none.

    Raises:
        NotFoundError: If there is no such term.
    """
    asked = whole_argument("term")
    if asked is None:
        return term_in_view()
    found = next((term for term in terms_in_view() if term.id == asked), None)
    if found is None:
        raise NotFoundError("term", asked)
    return found


def _misfits(ensemble: Ensemble, traces: Mapping[int, LevelTrace]) -> list[str]:
    names = {section.id: section.name for section in ensemble.sections}
    misfits = {names[i]: trace.misfit for i, trace in traces.items() if trace.misfit}
    return misfit_notes(misfits, sum(bool(trace.days) for trace in traces.values()))


@pages.post("/<int:section_id>/remove")
def remove(section_id: int) -> Response:
    """Take a section out."""
    with changing() as work:
        section = remove_section(work, section_id, by=author())
    flash(f"{section.name} is gone. It can be brought back on the page of changes.")
    return redirect(url_for("sections.listing"))


def _ensemble() -> Ensemble:
    ensemble = ensemble_in_view()
    if ensemble is None:
        raise NotFoundError("ensemble", "yet", hint="Name your ensemble first.")
    return ensemble


def _find(section_id: int) -> Section:
    for section in _ensemble().sections:
        if section.id == section_id:
            return section
    raise NotFoundError("section", section_id)
