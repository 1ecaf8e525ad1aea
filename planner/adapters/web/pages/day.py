"""The page of a reading day: what is read, its guides, its results."""

from pathlib import Path

from flask import Blueprint, flash, redirect, render_template, request, send_file, url_for
from flask.wrappers import Response
from werkzeug.wrappers import Response as BaseResponse

from planner.adapters.web.context import changing, needed_number, number_argument, reading, tools
from planner.core.difficulty import FOCUSES
from planner.core.fact import Topic
from planner.errors import InputError, NotFoundError
from planner.services.day.log_results import ResultEntry, log_results
from planner.services.day.read_day import DayView, SlotView, read_day
from planner.services.sheets.make_guides import find_guides, make_guides
from planner.services.term.terms import parse_date
from planner.wording.director.levels import section_moved
from planner.wording.guide import FOR_THE_ROOM
from planner.wording.study.sentences import sentences_of

pages = Blueprint("day", __name__, url_prefix="/term/<int:term_id>/<on>")

_TOPICS_FOR_DIRECTOR = frozenset({Topic.KEY, Topic.FORM, Topic.TEMPO, Topic.FIT})


@pages.get("/")
def show(term_id: int, on: str) -> str:
    """One reading day."""
    view = read_day(reading(), term_id, parse_date(on))
    return render_template(
        "day/show.html",
        ensemble=view.ensemble,
        term=view.term,
        view=view,
        on=view.on,
        focuses=FOCUSES,
        statements={slot.piece.id: _for_everyone(slot) for slot in view.slots},
        guides=_guides(view),
        caution=FOR_THE_ROOM,
    )


def _for_everyone(slot: SlotView) -> tuple[str, ...]:
    """What the director says before the first note: true for everyone."""
    facts = (fact for fact in slot.profile.facts_for("") if fact.topic in _TOPICS_FOR_DIRECTOR)
    return sentences_of(facts, slot.profile)


def _guides(view: DayView) -> list[Path]:
    return find_guides(tools().settings.exports_dir, view.on)


@pages.post("/guides")
def guides(term_id: int, on: str) -> BaseResponse:
    """Make the day's guides."""
    made = make_guides(
        reading(),
        tools().files,
        tools().engraver,
        tools().guide_writer,
        term_id=term_id,
        on=parse_date(on),
        out_dir=tools().settings.exports_dir,
        today=tools().today(),
        paper=tools().settings.paper,
    )
    flash(f"{len(made)} sheets are ready.")
    return redirect(url_for("day.show", term_id=term_id, on=on) + "#guides")


@pages.get("/guides/<path:name>")
def guide(term_id: int, on: str, name: str) -> Response:
    """One printed guide."""
    day = read_day(reading(), term_id, parse_date(on)).on
    root = tools().settings.exports_dir
    wanted = next((p for p in find_guides(root, day) if _relative(p, root) == name), None)
    if wanted is None:
        raise NotFoundError("guide", name, hint="Make the guides of the day again.")
    return send_file(wanted.resolve(), mimetype="application/pdf")


def _relative(path: Path, root: Path) -> str:
    return "/".join(path.relative_to(root).parts[1:])


@pages.post("/results")
def results(term_id: int, on: str) -> BaseResponse:
    """Keep how each section read a piece; levels move at once."""
    view = read_day(reading(), term_id, parse_date(on))
    piece_id = int(needed_number("piece"))
    entries = []
    for section in view.ensemble.sections:
        first = _share(f"first-{section.id}", section.name)
        if first is not None:
            problems = [p for p in request.form.getlist(f"problems-{section.id}") if p in FOCUSES]
            second = _share(f"second-{section.id}", section.name)
            entries.append(ResultEntry(section.id, piece_id, first, second, problems=tuple(problems)))
    if not entries:
        raise InputError("No section has a first reading yet.", hint="Enter at least one number.")
    with changing() as work:
        logged = log_results(work, view.ensemble.id, view.on, entries)
    for change in logged.changes:
        flash(section_moved(change.section.name, change.before, change.after, change.error))
    return redirect(url_for("day.show", term_id=term_id, on=on) + "#results")


def _share(field: str, section: str) -> float | None:
    """Bars right of 100 as a share; None when empty."""
    value = number_argument(field)
    if value is not None and not 0 <= value <= 100:
        raise InputError(f"{section}: bars right of 100 lie from 0 to 100, not {value:g}.")
    return None if value is None else value / 100
