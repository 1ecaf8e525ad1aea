"""The page of a reading day: what is read, its guides, its results."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from flask import Blueprint, abort, flash, redirect, render_template, request, send_file, url_for
from flask.wrappers import Response
from werkzeug.wrappers import Response as BaseResponse

from planner.adapters.web.context import (
    answers,
    author,
    changing,
    needed_whole,
    reading,
    sees,
    sees_all,
    tools,
)
from planner.adapters.web.download import named
from planner.adapters.web.errors import status_of
from planner.adapters.web.own_guides import own_guides, own_section_ids
from planner.adapters.web.result_form import (
    FIRST,
    OUT,
    PROBLEMS,
    SECOND,
    changed_entries,
    meet_results,
    result_values,
    results_again,
)
from planner.adapters.web.shown import Form, first_shown
from planner.core.difficulty import FOCUSES
from planner.core.ensemble import Section
from planner.core.fact import Topic
from planner.errors import ConflictError, InputError, NotFoundError, OddEntryError
from planner.services.day.log_results import LoggedDay, log_results, stored_entries
from planner.services.day.read_day import DayView, LoggedPiece, SectionRow, SlotView, read_day
from planner.services.day.result_entry import ResultEntry, entry_of
from planner.services.sheets.filing import kept_notes
from planner.services.sheets.make_guides import (
    make_guides,
    note_guides,
    parts_read,
    without_guides,
)
from planner.services.term.terms import parse_date
from planner.wording.director.on_paper import no_guide_note
from planner.wording.director.sections import misfit_notes, saved_text
from planner.wording.guide import FOR_THE_ROOM
from planner.wording.study.sentences import sentences_of
from planner.wording.words import count_of

pages = Blueprint("day", __name__, url_prefix="/term/<int:term_id>/<on>")

_LINE = tuple(f"{name}-" for name in (FIRST, SECOND, PROBLEMS, OUT))
"""How the fields of a section's line begin in the form of results."""
_TOPICS_FOR_DIRECTOR = frozenset({Topic.KEY, Topic.FORM, Topic.TEMPO, Topic.FIT})


@pages.get("/")
def show(term_id: int, on: str) -> str:
    """One reading day."""
    return _day_page(_own_rows(read_day(reading(), term_id, parse_date(on))))


def _day_page(view: DayView, back: Mapping[int, Form] | None = None) -> str:
    """The page of a day; ``back`` holds a form of results that was not taken, by piece."""
    sections = _own_sections(view)
    forms = {
        entry.piece.id: first_shown(result_values(sections, _entries(entry))) for entry in _readings(view)
    }
    has_results = any(row.result for entry in _readings(view) for row in entry.rows)
    return render_template(
        "day/show.html",
        ensemble=view.ensemble,
        term=view.term,
        view=view,
        on=view.on,
        focuses=FOCUSES,
        away=[each.name for each in view.ensemble.sections if each.id in view.shape.absent],
        is_to_come=view.on > tools().today() and not has_results,
        is_over=view.on < tools().today() or has_results,
        forms={**forms, **(back or {})},
        statements={slot.piece.id: _for_everyone(slot) for slot in view.slots},
        guides=own_guides(view),
        on_screen=parts_read(reading(), view, own_section_ids()),
        caution=FOR_THE_ROOM,
    )


def _readings(view: DayView) -> tuple[SlotView | LoggedPiece, ...]:
    """What has a form of results on the page of a day."""
    return (*view.slots, *view.besides)


def _entries(entry: SlotView | LoggedPiece) -> dict[int, ResultEntry]:
    return {row.section.id: entry_of(row.result) for row in entry.rows if row.result is not None}


def _for_everyone(slot: SlotView) -> tuple[str, ...]:
    """What the director says before the first note: true for everyone."""
    facts = (fact for fact in slot.profile.facts_for("") if fact.topic in _TOPICS_FOR_DIRECTOR)
    return sentences_of(facts, slot.profile)


def _own_sections(view: DayView) -> list[Section]:
    """The sections whose results are open to whoever asks."""
    return [section for section in view.ensemble.sections if sees(section.id)]


def _own_rows(view: DayView) -> DayView:
    """The day with the results that are open to whoever asks, and no others."""

    def own(rows: tuple[SectionRow, ...]) -> tuple[SectionRow, ...]:
        return tuple(row for row in rows if sees(row.section.id))

    besides = tuple(replace(one, rows=own(one.rows)) for one in view.besides)
    return replace(
        view,
        slots=tuple(replace(slot, rows=own(slot.rows)) for slot in view.slots),
        besides=tuple(one for one in besides if sees_all() or any(row.result for row in one.rows)),
    )


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
    nobody = no_guide_note(without_guides(reading(), term_id, day))
    flash(f"{count_of(len(made), 'sheet')} are ready. {nobody}".rstrip())
    for note in kept_notes(made):
        flash(note)
    return redirect(url_for("day.show", term_id=term_id, on=on) + "#guides")


@pages.get("/guides/<path:name>")
def guide(term_id: int, on: str, name: str) -> Response:
    """One printed guide."""
    found = own_guides(read_day(reading(), term_id, parse_date(on)))
    wanted = next((path for path in found if f"{path.parent.name}/{path.name}" == name), None)
    if wanted is None:
        raise NotFoundError("guide", name, hint="Make the guides of the day again.")
    return named(send_file(wanted.resolve(), mimetype="application/pdf"), wanted.name, is_shown=True)


@pages.post("/results")
def results(term_id: int, on: str) -> BaseResponse | tuple[str, int]:
    """Keep how each section read a piece; levels move at once.

    A line that still says what it said when the page was made is passed over, so that a page left open
    in another window takes nothing back; one that was emptied takes its result back, and where somebody
    else entered something else meanwhile the form comes back with both.
    """
    view, piece_id = _own_rows(read_day(reading(), term_id, parse_date(on))), needed_whole("piece")
    _refuse_others(view.ensemble.sections)
    sections = _own_sections(view)
    try:
        with changing() as work:
            stored = stored_entries(work, view.ensemble.id, view.on, piece_id)
            meeting = meet_results(sections, stored, request.form)
            meeting.refuse_overtaken()
            entries = changed_entries(sections, piece_id, stored, meeting)
            if not entries and not any(meeting.values.values()):
                raise InputError("No section has a first reading yet.", hint="Enter at least one number.")
            logged = log_results(
                work, view.ensemble.id, view.on, entries, by=author(), today=tools().today(),
                answers=answers(), seen=[section.id for section in sections],
            )  # fmt: skip
    except (InputError, ConflictError, OddEntryError) as error:
        has_form = any(entry.piece.id == piece_id for entry in _readings(view))
        now = stored_entries(reading(), view.ensemble.id, view.on, piece_id)
        if not has_form or (view.on > tools().today() and not now):
            raise
        form = results_again(error, sections, now, request.form)
        return _day_page(view, {piece_id: form}), status_of(error)
    _flash_logged(entries, logged)
    return redirect(url_for("day.show", term_id=term_id, on=on) + "#results")


def _refuse_others(sections: Sequence[Section]) -> None:
    """Store nothing from a form that holds lines of a section which is not open to who sends it."""
    named = {field.rpartition("-")[2] for field in request.form if field.startswith(_LINE)}
    if any(str(section.id) in named and not sees(section.id) for section in sections):
        abort(403)


def _flash_logged(entries: list[ResultEntry], logged: LoggedDay) -> None:
    """What saving did, in one note, and a second one where results are not as expected."""
    kept = [entry for entry in entries if entry.first_share is not None]
    flash(
        saved_text(
            len(kept),
            [(c.section.name, c.before, c.after, c.error) for c in logged.changes if sees(c.section.id)],
            taken_back=len(entries) - len(kept),
            set_aside=sum(entry.counts is False for entry in kept),
        ),
        "results",
    )
    for note in misfit_notes(logged.misfits, len({result.section_id for result in logged.results})):
        flash(note, "results warning")
