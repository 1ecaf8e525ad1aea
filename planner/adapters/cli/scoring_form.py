"""Commands for the scoring form: chosen and shaped for a term, filled in on a reading day."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from datetime import date
from decimal import Decimal
from typing import Any

import click

from planner.adapters.cli.attendance import on_option, section_option
from planner.adapters.cli.context import (
    Session,
    answers_of,
    format_option,
    home_option,
    new_table,
    out,
    pick_ensemble,
    pick_ensemble_and_term,
    pick_section,
    pick_term,
    print_json,
    print_made,
    sure_option,
    term_options,
)
from planner.core.ensemble import Ensemble
from planner.core.scoring_form import FilledForm, ScoringForm, points_values
from planner.core.term import Term
from planner.errors import InputError, NotFoundError
from planner.services.day.read_day import find_day
from planner.services.ports.work import UnitOfWork
from planner.services.scoring_form.choices import FormChoice, choices_for, form_chosen
from planner.services.scoring_form.fill import (
    PieceForms,
    enter_points,
    points_from_text,
    read_forms,
    term_form,
)
from planner.services.scoring_form.print_form import print_forms
from planner.services.scoring_form.shape import (
    MOST_RATINGS,
    form_from_text,
    form_text,
    set_form,
    spare_keys,
    taken_numbers,
)
from planner.services.term.terms import parse_date
from planner.services.toolbox import changing
from planner.wording.director.scoring_form import (
    BETTER_WORDS,
    TOTALING_WORDS,
    WHOLE_ENSEMBLE,
    basis_text,
    caption_range,
    deduction_range,
    number_text,
    outcome_text,
)
from planner.wording.words import full_date


@click.command("form")
@click.option("--list", "listed", is_flag=True, help="List the forms to begin from, with their sources.")
@click.option("--begin-from", "key", help='Begin from a form of that list, such as "hundred"; or "none".')
@click.option("--print", "is_printed", is_flag=True, help="Print a blank form (PDF).")
@click.option("--name", help="What the form is called.")
@click.option(
    "--better", type=click.Choice(("more", "less")), help="Which points are better; with less, 1 is best."
)
@click.option("--total", type=click.Choice(["sum", "mean"]), help="How the captions make the total.")
@click.option("--least", help="The lowest points of a caption.")
@click.option("--step", help="In which steps points go: 1, 0.5, 0.25 or 0.1.")
@click.option("--firsts", help="Captions in their best band that make the best rating; 0: no such rule.")
@click.option("--caption", "captions", multiple=True, help='A caption: "Tone=30"; "Tone=" takes it out.')
@click.option("--band", "bands", multiple=True, help='A band: "Tone=26 Superior"; "Tone=26" takes it out.')
@click.option("--rating", "ratings", multiple=True, help='A rating: "85=Superior"; "85=" takes it out.')
@click.option("--counts", multiple=True, help='What a rating counts in marks: "85=95"; "85=": by the points.')
@click.option(
    "--deduction", "deductions", multiple=True, help='A deduction: "Late=5 10" for 5 to 10 off; "Late=".'
)
@sure_option
@term_options
@format_option
@home_option
@click.pass_obj
def scoring_form(
    session: Session, /, listed: bool, is_printed: bool, key: str | None, total: str | None,
    captions: Sequence[str], bands: Sequence[str], ratings: Sequence[str], counts: Sequence[str],
    deductions: Sequence[str], sure: bool, ensemble_name: str | None, term_name: str | None, form: str,
    **plain: str | None,
) -> None:  # fmt: skip
    """Choose the scoring form of a term and shape it, or show it."""
    tools = session.tools
    fields = {name: text for name, text in {**plain, "totaling": total}.items() if text is not None}
    with tools.work() as work:
        _, term = pick_ensemble_and_term(work, ensemble_name, term_name, tools.today())
        choices = choices_for(work, term)
    if listed:
        _print_choices(choices, form)
        return
    if key or fields or captions or bands or ratings or counts or deductions:
        with changing(tools.work) as work:
            stored = work.terms.get(term.id)
            chosen = stored.form
            if key:
                chosen = None if key == "none" else form_chosen(work, stored, key)
            if fields or captions or bands or ratings or counts or deductions:
                if chosen is None:
                    raise InputError(f"{term.name} has no scoring form.", hint="Choose one: --begin-from")
                values = form_text(chosen) | fields
                for text in captions:
                    _put_line(values, "caption", text, ("most",))
                for text in deductions:
                    _put_line(values, "deduct", text, ("from", "to"))
                for text in bands:
                    _put_band(values, text)
                for text in ratings:
                    _put_rating(values, text, "word")
                for text in counts:
                    _put_rating(values, text, "counts")
                chosen = form_from_text(values, taken_numbers(work, stored))
            term = set_form(work, term.id, chosen, by=session.author(), answers=answers_of(sure))
    if is_printed:
        _print_pages(session, term, form)
        return
    _print_form(term, form)


@click.command()
@click.argument("points", nargs=-1)
@on_option
@section_option
@click.option("--piece", help="For which piece, by a part of its title; not needed where the day has one.")
@click.option("--take-back", is_flag=True, help="Take all points of that form back.")
@click.option("--print", "is_printed", is_flag=True, help="Print the forms of the day, a page each (PDF).")
@sure_option
@term_options
@format_option
@home_option
@click.pass_obj
def points(
    session: Session, points: tuple[str, ...], on: str, section: str | None, piece: str | None,
    take_back: bool, is_printed: bool, sure: bool, ensemble_name: str | None, term_name: str | None,
    form: str,
) -> None:  # fmt: skip
    """Fill in the scoring form of a day: POINTS such as "Tone=26"; or show it.

    Without --section they are those of the whole ensemble. "Tone=" takes the points of a caption back.
    """
    tools, day = session.tools, parse_date(on)
    if points and take_back:
        raise InputError("Give points or --take-back, not both.")
    if points or take_back:
        with changing(tools.work) as work:
            ensemble, term = _day_of(work, ensemble_name, term_name, day)
            whom = pick_section(ensemble, section) if section else None
            found = _piece_named(read_forms(work, term, day), piece, day)
            given = {} if take_back else _given(term_form(term), found.points(whom), points)
            entry = FilledForm(ensemble.id, found.piece_id, day, whom, given)
            changed = enter_points(
                work, term, ensemble, day, [entry], today=tools.today(), by=session.author(),
                answers=answers_of(sure),
            )  # fmt: skip
        if form != "json":
            out.print("Saved." if changed else "Nothing was changed.")
    with tools.work() as work:
        ensemble, term = _day_of(work, ensemble_name, term_name, day)
        pieces = read_forms(work, term, day)
    if is_printed:
        _print_pages(session, term, form, day)
        return
    names: dict[int | None, str] = {each.id: each.name for each in ensemble.sections}
    names[None] = WHOLE_ENSEMBLE
    only: set[int | None] = {pick_section(ensemble, section)} if section else set(names)
    if form == "json":
        print_json({
            "format": "form-points", "version": 1, "on": day, "form": _values(term.form),
            "pieces": [_plain(term.form, each, names, only) for each in pieces],
        })  # fmt: skip
        return
    _print_points(term_form(term), pieces, names, only, day)


def _day_of(
    work: UnitOfWork, ensemble_name: str | None, term_name: str | None, on: date
) -> tuple[Ensemble, Term]:
    ensemble = pick_ensemble(work, ensemble_name)
    term, _ = find_day(work, pick_term(work, ensemble, term_name, on).id, on)
    return ensemble, term


def _piece_named(pieces: Sequence[PieceForms], title: str | None, on: date) -> PieceForms:
    """The piece of a day that is meant.

    Raises:
        InputError: If several could be.
        NotFoundError: If none is.
    """
    same = [each for each in pieces if title is None or title.casefold().strip() in each.title.casefold()]
    if not same:
        raise NotFoundError("piece", f"{title or 'read'} on {on}", hint="Look: planner day --on")
    if len(same) > 1:
        titles = ", ".join(f"“{each.title}”" for each in same)
        raise InputError(f"{full_date(on)} has {titles}.", hint="Say which with --piece.")
    return same[0]


def _given(form: ScoringForm, stored: Mapping[int, Decimal], typed: Sequence[str]) -> Mapping[int, Decimal]:
    """What is to stand of a form after some of its captions were typed."""
    lines = {line.name.casefold(): line for line in form.lines}
    found = dict(stored)
    for text in typed:
        name, value = _pair(text, "Tone=26")
        line = lines.get(name.casefold())
        if line is None:
            known = ", ".join(each.name for each in form.lines)
            raise NotFoundError("caption", name, hint=f"The form has {known}.")
        points = points_from_text(form, line, value)
        found.pop(line.number, None)
        if points is not None:
            found[line.number] = points
    return found


def _pair(text: str, example: str) -> tuple[str, str]:
    name, equals, value = text.rpartition("=")
    if not equals or not name.strip():
        raise InputError(f"“{text}” cannot be read.", hint=f'Write it as "{example}".')
    return name.strip(), value.strip()


def _put_line(values: dict[str, str], kind: str, text: str, fields: Sequence[str]) -> None:
    """Put a caption or a deduction in, in place of the one of that name, or take it out."""
    name, value = _pair(text, "Tone=30" if kind == "caption" else "Late start=5 10")
    key = _key_of(values, kind, name)
    if key is None:
        key = next((each for each in spare_keys() if not values[f"{kind}-{each}"]), None)
        if not value:
            raise NotFoundError(kind, name, hint="See the form: planner form")
        if key is None:
            raise InputError(f"At most {len(spare_keys())} can be added at once.", hint="Add the rest after.")
    values[f"{kind}-{key}"] = name if value else ""
    numbers = value.split()
    if len(numbers) > len(fields):
        raise InputError(f"“{text}” cannot be read.", hint="Give the points after the equals sign.")
    for field, number in zip(fields, [*numbers, *numbers[-1:] * len(fields)], strict=False):
        values[f"{field}-{key}"] = number


def _put_band(values: dict[str, str], text: str) -> None:
    name, value = _pair(text, "Tone=26 Superior")
    key = _key_of(values, "caption", name)
    if key is None:
        raise NotFoundError("caption", name, hint="See the form: planner form")
    border, _, word = value.partition(" ")
    lines = [line for line in values[f"bands-{key}"].split("\n") if line and line.split()[0] != border]
    values[f"bands-{key}"] = "\n".join([*lines, *([value] if word.strip() else [])])


def _key_of(values: Mapping[str, str], kind: str, name: str) -> str | None:
    return next(
        (
            field.removeprefix(f"{kind}-")
            for field, text in values.items()
            if field.startswith(f"{kind}-") and text and text.casefold() == name.casefold()
        ),
        None,
    )


def _put_rating(values: dict[str, str], text: str, what: str) -> None:
    """Give the rating of a total its word, or what it counts as; an empty word takes it out."""
    total, value = _pair(text, "85=Superior" if what == "word" else "85=95")
    places = range(MOST_RATINGS)
    at = next((each for each in places if values[f"total-{each}"] == total), None)
    if at is None and (what == "counts" or not value):
        raise NotFoundError("rating", total, hint="See the form: planner form")
    if at is None:
        at = next((each for each in places if not values[f"total-{each}"]), None)
    if at is None:
        raise InputError(f"A form has {MOST_RATINGS} ratings at most.", hint='Take one out: --rating "85="')
    values[f"total-{at}"], values[f"{what}-{at}"] = total, value
    if what == "word" and not value:
        values[f"total-{at}"] = values[f"counts-{at}"] = ""


def _print_choices(choices: Sequence[FormChoice], form: str) -> None:
    if form == "json":
        print_json({
            "format": "scoring-forms", "version": 1,
            "forms": [
                {
                    "key": each.key, "term": each.term or None,
                    "source": each.published.source if each.published else None,
                    "rests_on": basis_text(each.published) if each.published else None,
                    "form": _values(each.form),
                }
                for each in choices
            ],
        })  # fmt: skip
        return
    for each in choices:
        of = f" of {each.term}" if each.term else ""
        out.print(f"{each.key}: {each.form.name}{of}", markup=False)
        out.print(f"  {', '.join(caption.name for caption in each.form.captions)}", markup=False)
        if each.published:
            out.print(f"  {basis_text(each.published)}: {each.published.source}", markup=False)


def _print_form(term: Term, form: str) -> None:
    if form == "json":
        print_json({"format": "scoring-form", "version": 1, "term": term.name, "form": _values(term.form)})
        return
    scoring = term.form
    if scoring is None:
        out.print(f"{term.name} has no scoring form. Those to begin from: planner form --list")
        return
    lines = [
        f"{scoring.name}: {BETTER_WORDS[scoring.better]}; the total is {TOTALING_WORDS[scoring.totaling]}"
    ]
    for caption in scoring.captions:
        words = "; ".join(f"{number_text(band.border)} {band.word}" for band in caption.bands)
        lines.append(f"  {caption.name}: {caption_range(scoring, caption)}{f'. {words}' if words else ''}")
    lines += [f"  {each.name}: {deduction_range(each)}" for each in scoring.deductions]
    for rating in scoring.ratings:
        counts = "" if rating.share is None else f", counts as {number_text(100 * rating.share)}"
        lines.append(f"  Total {number_text(rating.border)}: {rating.word}{counts}")
    if scoring.firsts:
        lines.append(f"  {scoring.firsts} captions in their best band make {scoring.ratings[0].word}")
    for line in lines:
        out.print(line, markup=False)


def _print_pages(session: Session, term: Term, form: str, on: date | None = None) -> None:
    tools = session.tools
    with tools.work() as work:
        made = print_forms(
            work, tools.form_writer, term_id=term.id, exports=tools.exports, today=tools.today(), on=on
        )
    print_made([made], form)


def _values(form: ScoringForm | None) -> dict[str, Any] | None:
    """A form for JSON: its values by name, decimals as text."""
    return None if form is None else asdict(form)


def _plain(
    form: ScoringForm | None, piece: PieceForms, names: Mapping[int | None, str], only: set[int | None]
) -> dict[str, object]:
    filled = []
    for whom, given in piece.filled.items():
        if form is None or whom not in only:
            continue
        found = piece.comes_to(form, whom)
        filled.append({
            "section": None if whom is None else names[whom],
            "points": points_values(given),
            "total": None if found.total is None else float(found.total),
            "rating": found.rating.word if found.rating else None,
        })  # fmt: skip
    return {"piece": piece.title, "filled": filled}


def _print_points(
    form: ScoringForm, pieces: Sequence[PieceForms], names: Mapping[int | None, str],
    only: set[int | None], on: date,
) -> None:  # fmt: skip
    sheet = new_table(
        ("Piece", "For", *(line.name for line in form.lines), "Total"), title=f"{form.name}, {full_date(on)}"
    )
    for piece in pieces:
        for whom, given in piece.filled.items():
            if whom in only:
                cells = [
                    number_text(given[line.number]) if line.number in given else "" for line in form.lines
                ]
                comes_to = outcome_text(piece.comes_to(form, whom), filled=len(given))
                sheet.add_row(piece.title, names[whom], *cells, comes_to)
    if not sheet.row_count:
        out.print(f"No points yet on {full_date(on)}. The form has {', '.join(e.name for e in form.lines)}.")
        return
    out.print(sheet)


COMMANDS = (scoring_form, points)
