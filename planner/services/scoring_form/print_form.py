"""Scoring forms on paper: blank ones to fill in by hand, or those of a day with their points."""

from collections.abc import Collection, Mapping, Sequence
from datetime import date
from decimal import Decimal
from functools import partial

from planner import __version__
from planner.core.scoring_form import Better, Caption, ScoringForm
from planner.core.term import Term
from planner.core.text import file_name
from planner.marks.form_points import outcome
from planner.services.day.read_day import find_day
from planner.services.ports.files import ExportShelf, Filed
from planner.services.ports.work import UnitOfWork
from planner.services.ports.writers import FormWriter
from planner.services.scoring_form.fill import read_forms, term_form
from planner.services.sheets.filing import term_folder
from planner.services.sheets.views import FormLine, FormSheet
from planner.wording.director.scoring_form import (
    WHOLE_ENSEMBLE,
    bands_text,
    border_note,
    caption_range,
    deduction_range,
    number_text,
    outcome_text,
    ratings_text,
)


def print_forms(
    work: UnitOfWork,
    writer: FormWriter,
    *,
    term_id: int,
    exports: ExportShelf,
    today: date,
    on: date | None = None,
    only: Collection[int] | None = None,
) -> Filed:
    """Print the scoring form of a term.

    Args:
        work: An open unit of work.
        writer: Lays it out.
        term_id: Whose form it is.
        exports: Where it is filed.
        today: For the foot of the page.
        on: A reading day, for whose forms a page each is printed with their points; a piece of which nothing
            is filled in has a blank one. None: one blank form.
        only: Of a day, the forms of these sections alone.

    Raises:
        NotFoundError: If there is no such term or day.
        InputError: If the term has no form.
        ExportError: If the file cannot be written.
    """
    term = work.terms.get(term_id)
    form = term_form(term)
    sheets = [_sheet(work, term, form, today)] if on is None else _of_day(work, term, form, on, today, only)
    name = file_name(term.name) or str(term_id)
    day = f"-{on}" if on else ""
    return exports.put(f"{term_folder(work, term)}/form-{name}{day}.pdf", partial(writer.write, sheets))


def _of_day(
    work: UnitOfWork, term: Term, form: ScoringForm, on: date, today: date, only: Collection[int] | None
) -> list[FormSheet]:
    _, ensemble = find_day(work, term.id, on)
    names: dict[int | None, str] = {section.id: section.name for section in ensemble.sections}
    names[None] = WHOLE_ENSEMBLE
    sheets = [
        _sheet(work, term, form, today, on=on, whom=names[whom], piece=piece.title, points=points)
        for piece in read_forms(work, term, on, only)
        for whom, points in (piece.filled or {None: {}}).items()
    ]
    return sheets or [_sheet(work, term, form, today, on=on)]


def _sheet(
    work: UnitOfWork, term: Term, form: ScoringForm, today: date, *, on: date | None = None, whom: str = "",
    piece: str = "", points: Mapping[int, Decimal] | None = None,
) -> FormSheet:  # fmt: skip
    given = points or {}
    found = outcome(form, given)
    return FormSheet(
        ensemble=work.ensembles.get(term.ensemble_id).name,
        term=term.name,
        form=form.name,
        on=on,
        whom=whom if given else "",
        piece=piece,
        lines=_lines(form, given),
        outcome="" if found.total is None else outcome_text(found, filled=len(given)),
        ratings=ratings_text(form),
        bands_note=border_note(form.better is Better.LESS) if any(c.bands for c in form.captions) else "",
        made_on=today,
        library_version=__version__,
    )


def _lines(form: ScoringForm, points: Mapping[int, Decimal]) -> tuple[FormLine, ...]:
    def shown(number: int) -> str:
        return number_text(points[number]) if number in points else ""

    lines: Sequence[FormLine] = [
        FormLine(line.name, caption_range(form, line), bands_text(line), shown(line.number))
        if isinstance(line, Caption)
        else FormLine(line.name, deduction_range(line), "", shown(line.number))
        for line in form.lines
    ]
    return tuple(lines)
