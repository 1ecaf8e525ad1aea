"""The scoring form: chosen and shaped for a term, filled in on a reading day."""

import json
from collections.abc import Mapping, Sequence
from datetime import date

from flask import Blueprint, abort, flash, redirect, render_template, request, url_for
from flask.wrappers import Response
from werkzeug.wrappers import Response as BaseResponse

from planner.adapters.web.context import (
    answers,
    author,
    changing,
    own_sections,
    reading,
    sees,
    sees_all,
    tools,
)
from planner.adapters.web.download import as_download
from planner.adapters.web.errors import status_of
from planner.adapters.web.forms.points import (
    BACK,
    changed_points,
    points_values,
    spell,
    taps,
    typed_points,
)
from planner.adapters.web.shown import MARK, Form, come_back, first_shown, meet
from planner.core.ensemble import Section
from planner.core.scoring_form import Better, ScoringForm, Totaling, form_values
from planner.core.term import Term
from planner.errors import ConflictError, InputError, NotFoundError, OddEntryError
from planner.services.day.read_day import find_day
from planner.services.entered.numbers import number_of_thing
from planner.services.scoring_form.choices import choices_for, form_chosen
from planner.services.scoring_form.fill import PieceForms, enter_points, points_field, read_forms, term_form
from planner.services.scoring_form.print_form import print_forms
from planner.services.scoring_form.shape import (
    MOST_RATINGS,
    STEPS,
    form_from_text,
    form_text,
    set_form,
    spare_keys,
    taken_numbers,
)
from planner.services.term.terms import parse_date
from planner.wording.director.scoring_form import (
    BETTER_WORDS,
    TOTALING_WORDS,
    WHOLE_ENSEMBLE,
    bands_text,
    basis_text,
    caption_range,
    deduction_range,
    form_value,
    outcome_text,
    ratings_text,
    saved_points_text,
    total_text,
)

pages = Blueprint("scoring_form", __name__, url_prefix="/term/<int:term_id>")

NONE = "none"
"""What stands for no form at all."""
_SPARE_RATINGS = 2
"""Empty rows beneath the ratings (house choice)."""


@pages.get("/form")
def shape(term_id: int) -> str:
    """The scoring form of a term, and those to begin from."""
    term = reading().terms.get(term_id)
    return _shape_page(term, first_shown(_stored(term)))


@pages.post("/form")
def save_shape(term_id: int) -> BaseResponse | tuple[str, int]:
    """Shape the scoring form of a term."""
    mark = request.form.get(MARK, "")
    try:
        with changing() as work:
            term = work.terms.get(term_id)
            term_form(term)
            stored = _stored(term)
            meeting = meet(stored, _typed(stored), mark)
            meeting.refuse_overtaken()
            form = form_from_text(meeting.values, taken_numbers(work, term))
            set_form(work, term_id, form, by=author(), answers=answers())
    except (InputError, ConflictError, OddEntryError) as error:
        term = reading().terms.get(term_id)
        if term.form is None:
            raise
        stored = _stored(term)
        return _shape_page(term, come_back(error, stored, _typed(stored), mark, {})), status_of(error)
    flash("The scoring form is saved." if meeting.changed else "Nothing was changed.")
    return redirect(url_for("scoring_form.shape", term_id=term_id))


@pages.post("/form/choose")
def choose(term_id: int) -> BaseResponse | tuple[str, int]:
    """Begin from a published form, from that of another term, or do without one."""
    mark, key = request.form.get(MARK, ""), request.form.get("from", "")
    try:
        with changing() as work:
            term = work.terms.get(term_id)
            meet(_chosen(term), {}, mark).refuse_moved()
            form = None if key == NONE else form_chosen(work, term, key)
            set_form(work, term_id, form, by=author(), answers=answers())
    except (ConflictError, OddEntryError) as error:
        term = reading().terms.get(term_id)
        again = come_back(error, _chosen(term), {}, mark, {"form": _form_words})
        return _shape_page(term, first_shown(_stored(term)), again, wanted=key), status_of(error)
    flash(f"“{form.name}” is the scoring form of {term.name}." if form else "No scoring form any more.")
    return redirect(url_for("scoring_form.shape", term_id=term_id))


@pages.get("/<on>/points")
def fill(term_id: int, on: str) -> str:
    """The scoring form of a day, for the whole ensemble or a section: points to tap or to type."""
    day = parse_date(on)
    term, ensemble = find_day(reading(), term_id, day)
    whom = _whom(ensemble.sections, request.args.get("whom", ""))
    pieces = read_forms(reading(), term, day, own_sections())
    values = points_values(term.form, pieces, whom) if term.form else {}
    return _fill_page(term, ensemble.sections, day, pieces, whom, first_shown(values))


@pages.post("/<on>/points")
def save_points(term_id: int, on: str) -> BaseResponse | tuple[str, int]:
    """Store the points of one section or of the whole ensemble as one; an emptied field takes them back."""
    day, mark = parse_date(on), request.form.get(MARK, "")
    _, ensemble = find_day(reading(), term_id, day)
    whom = _whom(ensemble.sections, request.form.get("whom", ""))
    try:
        with changing() as work:
            term, ensemble = find_day(work, term_id, day)
            form, pieces = term_form(term), read_forms(work, term, day)
            stored = points_values(form, pieces, whom)
            meeting = meet(stored, typed_points(form, pieces, stored, request.form), mark)
            meeting.refuse_overtaken()
            entries = changed_points(term, day, form, pieces, whom, meeting, request.form.get(BACK, ""))
            changed = enter_points(
                work, term, ensemble, day, entries, today=tools().today(), by=author(), answers=answers()
            )
    except (InputError, ConflictError, OddEntryError) as error:
        term, _ = find_day(reading(), term_id, day)
        if term.form is None:
            raise
        pieces = read_forms(reading(), term, day, own_sections())
        stored = points_values(term.form, pieces, whom)
        typed = typed_points(term.form, pieces, stored, request.form)
        again = come_back(error, stored, typed, mark, spell(stored))
        return _fill_page(term, ensemble.sections, day, pieces, whom, again), status_of(error)
    for entry in changed:
        piece = next(each for each in pieces if each.piece_id == entry.piece_id)
        flash(saved_points_text(form, _name(ensemble.sections, whom), piece.title, entry.points))
    if not changed:
        flash("Nothing was changed.")
    return redirect(url_for("scoring_form.fill", term_id=term_id, on=on, whom=whom or None))


@pages.get("/form.pdf")
def download(term_id: int) -> Response:
    """The scoring form of a term, blank, on a page to print."""
    return as_download(
        lambda shelf: print_forms(
            reading(), tools().form_writer, term_id=term_id, exports=shelf, today=tools().today()
        )
    )


@pages.get("/<on>/points.pdf")
def download_day(term_id: int, on: str) -> Response:
    """The scoring forms of a day with their points, a page each."""
    return as_download(
        lambda shelf: print_forms(
            reading(), tools().form_writer, term_id=term_id, exports=shelf, today=tools().today(),
            on=parse_date(on), only=own_sections(),
        )
    )  # fmt: skip


def _whom(sections: Sequence[Section], text: str) -> int | None:
    """For whom points are given: a section, or the whole ensemble, which is the director's alone."""
    if not text or text == "0":
        if sees_all():
            return None
        own = [section.id for section in sections if sees(section.id)]
        if text or not own:
            abort(403)
        return own[0]
    section_id = number_of_thing(text)
    if section_id not in {section.id for section in sections}:
        raise NotFoundError("section", text, hint="Look at the sections of the ensemble.")
    if not sees(section_id):
        abort(403)
    return section_id


def _name(sections: Sequence[Section], whom: int | None) -> str:
    return next((section.name for section in sections if section.id == whom), WHOLE_ENSEMBLE)


def _stored(term: Term) -> dict[str, str]:
    return form_text(term.form) if term.form else {}


def _typed(stored: Mapping[str, str]) -> dict[str, str]:
    """What stands in the form that was sent, of the fields that are stored."""
    return {name: request.form[name].replace("\r\n", "\n").strip() for name in stored if name in request.form}


def _chosen(term: Term) -> dict[str, str]:
    """The form as a whole, as what is chosen in its place was shown beside it."""
    return {"form": json.dumps(form_values(term.form))}


def _form_words(text: str) -> str:
    return form_value(json.loads(text))


def _shape_page(term: Term, form: Form, choosing: Form | None = None, wanted: str = "") -> str:
    work = reading()
    values = form.values
    rows = [at for at in range(MOST_RATINGS) if values.get(f"total-{at}") or values.get(f"word-{at}")]
    return render_template(
        "scoring_form/shape.html",
        ensemble=work.ensembles.get(term.ensemble_id),
        term=term,
        form=form,
        choosing=choosing or first_shown(_chosen(term)),
        wanted=wanted,
        scoring=term.form,
        captions=_keys(form, "caption"),
        deductions=_keys(form, "deduct"),
        ratings=range(min(MOST_RATINGS, max(rows, default=-1) + 1 + _SPARE_RATINGS)),
        better={each.value: BETTER_WORDS[each] for each in Better},
        totaling={each.value: TOTALING_WORDS[each] for each in Totaling},
        steps=STEPS,
        spare=spare_keys(),
        choices=choices_for(work, term),
        caption_range=caption_range,
        deduction_range=deduction_range,
        bands_text=bands_text,
        basis_text=basis_text,
        ratings_text=ratings_text,
        none=NONE,
    )


def _keys(form: Form, kind: str) -> list[str]:
    return [name.removeprefix(f"{kind}-") for name in form.values if name.startswith(f"{kind}-")]


def _fill_page(
    term: Term,
    sections: Sequence[Section],
    on: date,
    pieces: Sequence[PieceForms],
    whom: int | None,
    form: Form,
) -> str:
    return render_template(
        "scoring_form/fill.html",
        ensemble=reading().ensembles.get(term.ensemble_id),
        term=term,
        on=on,
        scoring=term.form,
        pieces=pieces,
        whom=whom,
        name=_name(sections, whom),
        whoms=_whoms(sections),
        given={section for piece in pieces for section in piece.filled},
        form=form,
        is_ahead=on > tools().today(),
        field=points_field,
        taps={each.number: taps(term.form, each) for each in term.form.captions} if term.form else {},
        comes_to=lambda piece, section: _comes_to(term.form, piece, section),
        totals=lambda piece, section: piece.comes_to(term.form, section),
        total_text=total_text,
        caption_range=caption_range,
        deduction_range=deduction_range,
        bands_text=bands_text,
    )


def _whoms(sections: Sequence[Section]) -> list[tuple[int | None, str]]:
    """For whom whoever asks may fill the form in."""
    whole: list[tuple[int | None, str]] = [(None, WHOLE_ENSEMBLE)] if sees_all() else []
    return [*whole, *((section.id, section.name) for section in sections if sees(section.id))]


def _comes_to(form: ScoringForm | None, piece: PieceForms, section_id: int | None) -> str:
    if form is None:
        return ""
    return outcome_text(piece.comes_to(form, section_id), filled=len(piece.points(section_id)))
