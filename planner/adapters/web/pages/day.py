"""The page of a reading day: what is read, its guides, its results."""

from dataclasses import dataclass, replace
from pathlib import Path

from flask import Blueprint, flash, redirect, render_template, request, send_file, url_for
from flask.wrappers import Response
from werkzeug.wrappers import Response as BaseResponse

from planner.adapters.web.context import (
    author,
    changing,
    needed_number,
    number_argument,
    reading,
    tools,
)
from planner.core.difficulty import FOCUSES
from planner.core.ensemble import Section
from planner.core.fact import Topic
from planner.core.term import Result
from planner.errors import InputError, NotFoundError
from planner.services.day.log_results import LoggedDay, ResultEntry, log_results, stored_entries
from planner.services.day.read_day import DayView, SlotView, read_day
from planner.services.sheets.filing import kept_notes
from planner.services.sheets.make_guides import find_guides, make_guides, note_guides
from planner.services.term.terms import parse_date
from planner.wording.director.sections import misfit_notes, saved_text
from planner.wording.guide import FOR_THE_ROOM
from planner.wording.study.sentences import sentences_of
from planner.wording.words import count_of

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
        line_of=line_of,
        statements={slot.piece.id: _for_everyone(slot) for slot in view.slots},
        guides=_guides(view),
        caution=FOR_THE_ROOM,
    )


def _for_everyone(slot: SlotView) -> tuple[str, ...]:
    """What the director says before the first note: true for everyone."""
    facts = (fact for fact in slot.profile.facts_for("") if fact.topic in _TOPICS_FOR_DIRECTOR)
    return sentences_of(facts, slot.profile)


def _guides(view: DayView) -> list[Path]:
    return find_guides(tools().exports, reading(), view.term, view.on)


@pages.post("/guides")
def guides(term_id: int, on: str) -> BaseResponse:
    """Make the day's guides."""
    day = parse_date(on)
    made = make_guides(
        reading(),
        tools().files,
        tools().engraver,
        tools().guide_writer,
        term_id=term_id,
        on=day,
        exports=tools().exports,
        today=tools().today(),
        paper=tools().settings.paper,
    )
    with changing() as work:
        note_guides(work, term_id, day)
    flash(f"{count_of(len(made), 'sheet')} are ready.")
    for note in kept_notes(made):
        flash(note)
    return redirect(url_for("day.show", term_id=term_id, on=on) + "#guides")


@pages.get("/guides/<path:name>")
def guide(term_id: int, on: str, name: str) -> Response:
    """One printed guide."""
    found = _guides(read_day(reading(), term_id, parse_date(on)))
    wanted = next((path for path in found if f"{path.parent.name}/{path.name}" == name), None)
    if wanted is None:
        raise NotFoundError("guide", name, hint="Make the guides of the day again.")
    return send_file(wanted.resolve(), mimetype="application/pdf")


@pages.post("/results")
def results(term_id: int, on: str) -> BaseResponse:
    """Keep how each section read a piece; levels move at once.

    A line that still says what it said when the page was made is passed over, so that a page left open
    in another window takes nothing back; one that was emptied takes its result back.
    """
    view = read_day(reading(), term_id, parse_date(on))
    piece_id, mark = int(needed_number("piece")), request.form.get("mark", "")
    lines = {section.id: _typed(section) for section in view.ensemble.sections}
    if mark:
        lines = {i: replace(line, is_out=bool(line.first) and mark == "none") for i, line in lines.items()}
    changed = [section for section in view.ensemble.sections if lines[section.id] != _shown(section)]
    if not changed and not any(line.first for line in lines.values()):
        raise InputError("No section has a first reading yet.", hint="Enter at least one number.")
    with changing() as work:
        stored = stored_entries(work, view.ensemble.id, view.on, piece_id)
        entries = [_entry(lines[s.id], s, piece_id, stored.get(s.id)) for s in changed]
        logged = log_results(work, view.ensemble.id, view.on, entries, by=author())
    _flash_logged(entries, logged)
    return redirect(url_for("day.show", term_id=term_id, on=on) + "#results")


def _flash_logged(entries: list[ResultEntry], logged: LoggedDay) -> None:
    """What saving did, in one note, and a second one where results are not as expected."""
    kept = [entry for entry in entries if entry.first_share is not None]
    flash(
        saved_text(
            len(kept),
            [(c.section.name, c.before, c.after, c.error) for c in logged.changes],
            taken_back=len(entries) - len(kept),
            set_aside=sum(entry.counts is False for entry in kept),
        ),
        "results",
    )
    for note in misfit_notes(logged.misfits, len({result.section_id for result in logged.results})):
        flash(note, "results warning")


@dataclass(frozen=True, slots=True)
class Line:
    """One section's line of the results form: texts as they are typed and shown; all empty without a result.

    Attributes:
        first, second: Bars right of 100.
        problems: What went wrong.
        is_out: It does not count.
    """

    first: str = ""
    second: str = ""
    problems: tuple[str, ...] = ()
    is_out: bool = False


def line_of(result: Result | None) -> Line:
    """A stored result as the form shows it."""
    if result is None:
        return Line()
    second = "" if result.second_share is None else str(round(100 * result.second_share))
    problems = tuple(focus for focus in FOCUSES if focus in result.problems)
    return Line(str(round(100 * result.first_share)), second, problems, is_out=not result.counts)


def _typed(section: Section) -> Line:
    """The line as it was sent; empty where there is no first reading."""
    form, at = request.form, section.id
    first, chosen = form.get(f"first-{at}", "").strip(), form.getlist(f"problems-{at}")
    if not first:
        return Line()
    problems = tuple(focus for focus in FOCUSES if focus in chosen)
    return Line(first, form.get(f"second-{at}", "").strip(), problems, is_out=f"out-{at}" in form)


def _shown(section: Section) -> Line:
    """The line as the page showed it when it was made."""
    form, at = request.form, section.id
    problems = tuple(focus for focus in form.get(f"shown-problems-{at}", "").split(",") if focus)
    return Line(
        form.get(f"shown-first-{at}", ""), form.get(f"shown-second-{at}", ""), problems,
        is_out=bool(form.get(f"shown-out-{at}")),
    )  # fmt: skip


def _entry(line: Line, section: Section, piece_id: int, stored: ResultEntry | None) -> ResultEntry:
    """What was changed in a line, over what is stored by now."""
    if not line.first:
        return ResultEntry(section.id, piece_id, None)
    shown, entry = _shown(section), stored or ResultEntry(section.id, piece_id, None)
    if stored is None or line.first != shown.first:
        entry = replace(entry, first_share=_share(f"first-{section.id}", section.name))
    if stored is None or line.second != shown.second:
        entry = replace(entry, second_share=_share(f"second-{section.id}", section.name))
    if stored is None or line.problems != shown.problems:
        entry = replace(entry, problems=line.problems)
    if stored is None or line.is_out != shown.is_out:
        entry = replace(entry, counts=not line.is_out)
    return entry


def _share(field: str, section: str) -> float | None:
    """Bars right of 100 as a share; None when empty."""
    value = number_argument(field)
    if value is not None and not 0 <= value <= 100:
        raise InputError(f"{section}: bars right of 100 lie from 0 to 100, not {value:g}.")
    return None if value is None else value / 100
