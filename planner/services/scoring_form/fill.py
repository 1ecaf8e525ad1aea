"""A scoring form filled in on a reading day: read, checked, stored as one, journaled, taken back."""

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from planner.core.change import Author, ChangeKind
from planner.core.ensemble import Ensemble
from planner.core.question import Question
from planner.core.scoring_form import Caption, Deduction, FilledForm, ScoringForm
from planner.core.term import Term
from planner.errors import InputError, NotFoundError
from planner.marks.form_points import FormOutcome, outcome, points_of_band
from planner.scheduling.problem import OPEN_PIECE
from planner.services.changes.journal import recorded
from planner.services.changes.points_record import form_subject, put_or_remove_points
from planner.services.entered.answers import NONE_YET, Answers
from planner.services.entered.days import reading_day_questions
from planner.services.entered.words import entered_line, short
from planner.services.ports.work import UnitOfWork
from planner.wording.director.scoring_form import (
    WHOLE_ENSEMBLE,
    caption_range,
    deduction_range,
    number_text,
)
from planner.wording.words import short_day

_POINTS = re.compile(r"[0-9]{1,4}([.,][0-9]{1,2})?")


@dataclass(frozen=True, slots=True)
class PieceForms:
    """A piece of a day with the points that were given for it, by section; None stands for all together."""

    piece_id: int
    title: str
    filled: Mapping[int | None, Mapping[int, Decimal]]

    def points(self, section_id: int | None) -> Mapping[int, Decimal]:
        """The points of a section or of the whole ensemble; empty where nothing was filled in."""
        return self.filled.get(section_id, {})

    def comes_to(self, form: ScoringForm, section_id: int | None) -> FormOutcome:
        """What those points come to."""
        return outcome(form, self.points(section_id))


def read_forms(
    work: UnitOfWork, term: Term, on: date, only: Collection[int] | None = None
) -> tuple[PieceForms, ...]:
    """The pieces of a day, planned or read, with the points of all, or of ``only`` some sections.

    With ``only`` those of the whole ensemble are left out.
    """
    plan = work.terms.plan(term.id)
    planned = [slot.piece_id for slot in (plan.on(on) if plan else ()) if slot.piece_id != OPEN_PIECE]
    read = [result.piece_id for result in work.results.list_results(term.ensemble_id, on)]
    points = work.results.points(term.ensemble_id, on)
    ids = tuple(dict.fromkeys([*planned, *read, *(filled.piece_id for filled in points)]))
    titles = work.pieces.titles(ids)
    return tuple(
        PieceForms(
            piece_id,
            titles[piece_id],
            {
                filled.section_id: filled.points
                for filled in points
                if filled.piece_id == piece_id and (only is None or filled.section_id in only)
            },
        )
        for piece_id in ids
    )


def enter_points(
    work: UnitOfWork,
    term: Term,
    ensemble: Ensemble,
    on: date,
    entries: Sequence[FilledForm],
    *,
    today: date,
    by: Author,
    answers: Answers = NONE_YET,
) -> tuple[FilledForm, ...]:
    """Store forms in place of what stood there, one change a piece in the journal; those that changed.

    Args:
        work: The transaction.
        term: Whose form it is.
        ensemble: Who read.
        on: The reading day.
        entries: All points that are to stand there; a form without any is taken back.
        today: A day to come has no points.
        by: Who fills it in.
        answers: What was said yes to.

    Raises:
        NotFoundError: If a section is not in the ensemble, or the piece not of the day.
        InputError: If the term has no form, the day is still to come, or points cannot be (with the field).
        OddEntryError: If the day is far away, or the section was to be away.
    """
    form = term_form(term)
    pieces = {each.piece_id: each for each in read_forms(work, term, on)}
    names: dict[int | None, str] = {None: WHOLE_ENSEMBLE, **{s.id: s.name for s in ensemble.sections}}
    changed = []
    for entry in entries:
        if entry.section_id not in names:
            raise NotFoundError(
                "section", str(entry.section_id), hint="Look at the sections of the ensemble."
            )
        if entry.piece_id not in pieces:
            raise NotFoundError("piece", f"{entry.piece_id} on {on}", hint="Look at the reading day.")
        stored = pieces[entry.piece_id].points(entry.section_id)
        if dict(entry.points) != dict(stored):
            _check(form, names[entry.section_id], entry, stored)
            changed.append(entry)
    answers.ask(_odd(term, on, changed, names, today))
    for piece_id in dict.fromkeys(entry.piece_id for entry in changed):
        subject = form_subject(piece_id, pieces[piece_id].title, term, on)
        with recorded(work, ChangeKind.POINTS, subject, by):
            for entry in changed:
                if entry.piece_id == piece_id:
                    put_or_remove_points(work, entry)
    return tuple(changed)


def term_form(term: Term) -> ScoringForm:
    """The scoring form of a term.

    Raises:
        InputError: If it has none.
    """
    if term.form is None:
        raise InputError(f"{term.name} has no scoring form.", hint="Choose one for the term first.")
    return term.form


def points_field(piece_id: int, number: int) -> str:
    """Name of the field of a caption or deduction, for a piece."""
    return f"points-{piece_id}-{number}"


def points_from_text(
    form: ScoringForm, line: Caption | Deduction, text: str, field: str = ""
) -> Decimal | None:
    """Points as somebody types them: a number, or the word of a band that stands for one; None when empty.

    Raises:
        InputError: If they are neither.

    Example:
        >>> tone = Caption(1, "Tone", Decimal(30))
        >>> points_from_text(ScoringForm("Ours", (tone,)), tone, " 26,50 ")
        Decimal('26.5')
    """
    typed = entered_line(text, f"{line.name}: what you typed", field=field)
    if not typed:
        return None
    if _POINTS.fullmatch(typed):
        return Decimal(number_text(Decimal(typed.replace(",", "."))))
    if isinstance(line, Caption):
        for band in line.bands:
            words = {band.word.casefold(), band.word.partition(",")[0].casefold()}
            points = points_of_band(form, line, band)
            if typed.casefold() in words and points is not None:
                return points
    known = caption_range(form, line) if isinstance(line, Caption) else deduction_range(line)
    raise InputError(
        f"{line.name}: “{short(typed)}” is not a number of points.", hint=f"Enter {known}.", field=field
    )


def _check(form: ScoringForm, whom: str, entry: FilledForm, stored: Mapping[int, Decimal]) -> None:
    """Whether the points that changed can be; what stays as it was is not asked about again."""
    lines = {line.number: line for line in form.lines}
    for number, points in entry.points.items():
        if points == stored.get(number):
            continue
        field = points_field(entry.piece_id, number)
        if number not in lines:
            raise InputError(f"{whom}: the form has no caption {number}.", field=field)
        line = lines[number]
        if isinstance(line, Caption):
            fits, sentence = form.least <= points <= line.most, f"points go from {caption_range(form, line)}"
        else:
            fits = line.least <= points <= line.most
            low, high = number_text(line.least), number_text(line.most)
            sentence = f"what is taken off is {low if low == high else f'{low} to {high}'} points, or nothing"
        if not fits:
            raise InputError(f"{whom}, {line.name}: {sentence}, not {number_text(points)}.", field=field)
        if points % form.step:
            raise InputError(
                f"{whom}, {line.name}: points go in steps of {number_text(form.step)}, not "
                f"{number_text(points)}.", field=field,
            )  # fmt: skip


def _odd(
    term: Term, on: date, changed: Sequence[FilledForm], names: Mapping[int | None, str], today: date
) -> Iterator[Question]:
    """What is asked before points are stored: how far away the day is, and who was to be away."""
    given = [entry for entry in changed if entry.points]
    if given:
        yield from reading_day_questions(on, today, [term])
    for entry in given:
        if entry.section_id in term.shape_on(on).absent:
            sentence = f"{names[entry.section_id]} was to be away on {short_day(on)}."
            yield Question(f"away {entry.section_id} {on}", sentence)
