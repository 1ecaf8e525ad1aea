"""The page of a reading day: what is read, its guides, its results."""

from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

from flask import Blueprint, abort, redirect, render_template, request, send_file, url_for
from flask.wrappers import Response
from werkzeug.wrappers import Response as BaseResponse

from planner.adapters.web.context import (
    author,
    changing,
    reading,
    sees,
    sees_all,
    tools,
)
from planner.adapters.web.download import named
from planner.adapters.web.own_guides import own_guides, own_section_ids
from planner.adapters.web.pages.jobs import words as job_words
from planner.core.fact import Topic
from planner.core.text import file_name
from planner.errors import InputError, NotFoundError
from planner.services.day.read_day import DayView, SectionRow, SlotView, read_day
from planner.services.sheets.director.make_sheet import make_director_sheet
from planner.services.sheets.files import piece_folder
from planner.services.sheets.filing import LooseFolder
from planner.services.sheets.guides_job import last_guides, start_guides
from planner.services.sheets.make_guides import (
    parts_read,
    section_sheets,
)
from planner.services.sheets.views import SheetKind
from planner.services.term.terms import parse_date
from planner.wording.guide import FOR_THE_ROOM, SHEET_KINDS
from planner.wording.study.sentences import sentences_of

pages = Blueprint("day", __name__, url_prefix="/term/<int:term_id>/<on>")

_TOPICS_FOR_DIRECTOR = frozenset({Topic.KEY, Topic.FORM, Topic.TEMPO, Topic.FIT})


@pages.get("/")
def show(term_id: int, on: str) -> str:
    """One reading day."""
    view = _own_rows(read_day(reading(), term_id, parse_date(on)))
    rows = [row for those in (view.slots, view.besides) for entry in those for row in entry.rows]
    has_results = any(row.result for row in rows)
    return render_template(
        "day/show.html",
        ensemble=view.ensemble,
        term=view.term,
        view=view,
        on=view.on,
        away=[each.name for each in view.ensemble.sections if each.id in view.shape.absent],
        is_to_come=view.on > tools().today() and not has_results,
        is_over=view.on < tools().today() or has_results,
        has_results=has_results,
        statements={slot.piece.id: _for_everyone(slot) for slot in view.slots},
        guides=_by_piece(view),
        own_sections=[each for each in view.ensemble.sections if each.id in (own_section_ids() or ())],
        job=last_guides(reading(), tools().locks, term_id, view.on),
        **job_words(),
        on_screen=parts_read(view, own_section_ids()),
        caution=FOR_THE_ROOM,
        sheet_kinds=SHEET_KINDS,
        has_score=any(not slot.piece.is_on_paper for slot in view.slots),
    )


def _by_piece(view: DayView) -> list[tuple[str, list[Path]]]:
    """The sheets of the day that are open to whoever asks, under the titles of their pieces."""
    titles = {piece_folder(one.slot, one.piece.title): one.piece.title for one in view.slots}
    found: dict[str, list[Path]] = {}
    for path in own_guides(view):
        found.setdefault(titles.get(path.parent.name, ""), []).append(path)
    return list(found.items())


def _for_everyone(slot: SlotView) -> tuple[str, ...]:
    """What the director says before the first note: true for everyone."""
    facts = (fact for fact in slot.profile.facts_for("") if fact.topic in _TOPICS_FOR_DIRECTOR)
    return sentences_of(facts, slot.profile)


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
    """Ask for the day's guides, of the kind that was chosen; they are made in the background."""
    day, kind = parse_date(on), _kind_chosen(request.form.get("kind", ""))
    with changing() as work:
        start_guides(work, term_id, day, kind, author())
    return redirect(url_for("day.show", term_id=term_id, on=on) + "#guides")


def _kind_chosen(text: str) -> SheetKind:
    """The version of the sheets that a form names; the plain one where it names none."""
    try:
        return SheetKind(text or SheetKind.PLAIN)
    except ValueError:
        hint = "Choose one from the list."
        raise InputError(f"There are no sheets of the kind “{text[:40]}”.", hint=hint) from None


@pages.get("/guides/<path:name>")
def guide(term_id: int, on: str, name: str) -> Response:
    """One printed guide."""
    found = own_guides(read_day(reading(), term_id, parse_date(on)))
    wanted = next((path for path in found if f"{path.parent.name}/{path.name}" == name), None)
    if wanted is None:
        raise NotFoundError("guide", name, hint="Make the guides of the day again.")
    return named(send_file(wanted.resolve(), mimetype="application/pdf"), wanted.name, is_shown=True)


@pages.get("/section/<int:section_id>")
def section(term_id: int, on: str, section_id: int) -> Response:
    """The sheets of one section for all pieces of the day in one file, made afresh."""
    own = own_section_ids()
    if own is not None and section_id not in own:
        abort(403)
    packet = section_sheets(
        reading(), tools().files, tools().engraver, term_id=term_id, on=parse_date(on),
        section_id=section_id, today=tools().today(), paper=tools().settings.paper,
    )  # fmt: skip
    name = f"{file_name(packet.title) or 'section'}-{on}.pdf"
    with TemporaryDirectory() as folder:
        path = tools().guide_writer.write_packet(packet, Path(folder) / name)
        data = path.read_bytes()
    return named(Response(data, mimetype="application/pdf"), name, is_shown=True)


@pages.get("/director/<int:piece_id>")
def director(term_id: int, on: str, piece_id: int) -> Response:
    """The director's sheet of a piece, made afresh."""
    with TemporaryDirectory() as folder:
        made = make_director_sheet(
            reading(),
            tools().director_writer,
            term_id=term_id,
            on=parse_date(on),
            piece_id=piece_id,
            exports=LooseFolder(Path(folder)),
            today=tools().today(),
        )
        data = made.path.read_bytes()
    return named(Response(data, mimetype="application/pdf"), made.path.name, is_shown=True)
