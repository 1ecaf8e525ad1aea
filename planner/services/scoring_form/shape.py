"""The scoring form of a term as text for a page or a command: read from it, checked, stored, journaled."""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from hashlib import sha256

from planner.core.change import Author, ChangeKind
from planner.core.question import Question
from planner.core.scoring_form import (
    Band,
    Better,
    Caption,
    Deduction,
    Rating,
    ScoringForm,
    Totaling,
    form_values,
)
from planner.core.term import Term
from planner.errors import InputError
from planner.marks.form_points import outcome
from planner.services.changes.journal import recorded
from planner.services.changes.term_record import term_subject
from planner.services.entered.answers import NONE_YET, Answers
from planner.services.entered.words import entered_line, short
from planner.services.ports.work import UnitOfWork
from planner.services.scoring_form.check import check_form
from planner.wording.director.scoring_form import no_longer_fits_text, number_text

MOST_RATINGS = 10
"""Ratings of a form (house choice)."""
MOST_BANDS = 10
"""Bands of a caption (house choice)."""
SPARE = 3
"""Empty rows for new captions and deductions (house choice)."""
LONGEST_NAME = 60
"""Letters of a caption, a band or a rating (house choice)."""
STEPS = ("1", "0.5", "0.25", "0.1")
"""In which steps points may go (house choice)."""
_NUMBER = re.compile(r"[0-9]{1,4}([.,][0-9]{1,2})?")


def form_text(form: ScoringForm) -> dict[str, str]:
    """A form as text by field.

    A caption has ``caption-``, ``most-`` and ``bands-`` and its number, a deduction ``deduct-``, ``from-``
    and ``to-``; ``new1`` and on stand for the number of one that is added. Bands are a line each, such as
    ``26 Superior``. Ratings have ``total-``, ``word-`` and ``counts-`` (percent) and their place.
    """
    values = {
        "name": form.name, "better": form.better.value, "totaling": form.totaling.value,
        "least": number_text(form.least), "step": number_text(form.step), "firsts": str(form.firsts),
    }  # fmt: skip
    for caption in form.captions:
        values |= _caption_text(str(caption.number), caption)
    for key in spare_keys():
        values |= _caption_text(key, None)
    for deduction in form.deductions:
        values |= _deduction_text(str(deduction.number), deduction)
    for key in spare_keys():
        values |= _deduction_text(key, None)
    for at in range(MOST_RATINGS):
        rating = form.ratings[at] if at < len(form.ratings) else None
        values[f"total-{at}"] = number_text(rating.border) if rating else ""
        values[f"word-{at}"] = rating.word if rating else ""
        share = rating.share if rating else None
        values[f"counts-{at}"] = "" if share is None else number_text(100 * share)
    return values


def spare_keys() -> tuple[str, ...]:
    """What stands for the numbers of captions and deductions that are added."""
    return tuple(f"new{at}" for at in range(1, SPARE + 1))


def _caption_text(key: str, caption: Caption | None) -> dict[str, str]:
    bands = caption.bands if caption else ()
    return {
        f"caption-{key}": caption.name if caption else "",
        f"most-{key}": number_text(caption.most) if caption else "",
        f"bands-{key}": "\n".join(f"{number_text(band.border)} {band.word}" for band in bands),
    }


def _deduction_text(key: str, deduction: Deduction | None) -> dict[str, str]:
    return {
        f"deduct-{key}": deduction.name if deduction else "",
        f"from-{key}": number_text(deduction.least) if deduction else "",
        f"to-{key}": number_text(deduction.most) if deduction else "",
    }


def form_from_text(values: Mapping[str, str], taken: Iterable[int] = ()) -> ScoringForm:
    """What ``form_text`` wrote, as somebody changed it; a row whose name was emptied is left out.

    Args:
        values: By field.
        taken: Numbers of captions and deductions that cannot be given anew.

    Raises:
        InputError: If something cannot be read or makes no form; it names the field.
    """
    named = _numbered(values, taken)
    better = _one_of("better", values, tuple(Better))
    form = ScoringForm(
        name=_line(values, "name", "The name of the form") or "Scoring form",
        captions=tuple(
            caption
            for key, number in named["caption"]
            if (caption := _caption(values, key, number, Better(better))) is not None
        ),
        ratings=tuple(_ratings(values, Better(better))),
        better=Better(better),
        totaling=Totaling(_one_of("totaling", values, tuple(Totaling))),
        least=_number("least", values["least"] or "0"),
        step=Decimal(_one_of("step", values, STEPS)),
        deductions=tuple(
            deduction
            for key, number in named["deduct"]
            if (deduction := _deduction(values, key, number)) is not None
        ),
        firsts=_whole("firsts", values["firsts"]),
    )
    _check_as_typed(form, values, named)
    return form


def _check_as_typed(
    form: ScoringForm, values: Mapping[str, str], named: Mapping[str, Sequence[tuple[str, int]]]
) -> None:
    """As ``check_form``; a refusal names the field as it stands in the form that was typed in."""
    keys = {str(number): key for own in named.values() for key, number in own}
    places = [at for at in range(MOST_RATINGS) if values.get(f"word-{at}", "").strip()]
    by_border = sorted(
        places, key=lambda at: _number("", values[f"total-{at}"]), reverse=form.better is Better.MORE
    )
    try:
        check_form(form)
    except InputError as error:
        kind, _, at = error.field.partition("-")
        if kind == "total":
            error.field = f"total-{by_border[int(at)]}"
        elif at in keys:
            error.field = f"{kind}-{keys[at]}"
        raise


def _numbered(values: Mapping[str, str], taken: Iterable[int]) -> dict[str, list[tuple[str, int]]]:
    """Keys of captions and deductions with their numbers; new ones get numbers that nothing ever had."""
    keys = {
        kind: [name.removeprefix(f"{kind}-") for name in values if name.startswith(f"{kind}-")]
        for kind in ("caption", "deduct")
    }
    highest = max([0, *taken, *(int(key) for own in keys.values() for key in own if key.isdigit())])
    found: dict[str, list[tuple[str, int]]] = {}
    for kind, own in keys.items():
        found[kind] = [(key, int(key)) for key in own if key.isdigit()]
        for key in (key for key in own if not key.isdigit()):
            highest += 1
            found[kind].append((key, highest))
    return found


def _caption(values: Mapping[str, str], key: str, number: int, better: Better) -> Caption | None:
    name = _line(values, f"caption-{key}", "The name of a caption")
    most, bands = values[f"most-{key}"].strip(), values[f"bands-{key}"].strip()
    if not name:
        if not key.isdigit() and (most or bands):
            raise InputError("A caption needs its name.", field=f"caption-{key}")
        return None
    if not most:
        raise InputError(f"{name}: enter the most points.", field=f"most-{key}")
    return Caption(number, name, _number(f"most-{key}", most), _bands(values, f"bands-{key}", name, better))


def _bands(values: Mapping[str, str], field: str, name: str, better: Better) -> tuple[Band, ...]:
    what = f"{name}: a band"
    typed = values[field].replace("\r\n", "\n").split("\n")
    lines = [line for each in typed if (line := entered_line(each, what, field=field))]
    if len(lines) > MOST_BANDS:
        raise InputError(f"{name}: a caption has {MOST_BANDS} bands at most.", field=field)
    found = []
    for line in lines:
        border, words = line.partition(" ")[::2]
        word = entered_line(words, f"{name}: the word of a band", most=LONGEST_NAME, field=field)
        if not _NUMBER.fullmatch(border) or not word:
            raise InputError(
                f"{name}: “{short(line)}” is no band.",
                hint="Write points and words, such as “26 Superior”, a line for each band.", field=field,
            )  # fmt: skip
        found.append(Band(_number(field, border), word))
    return tuple(sorted(found, key=lambda band: band.border, reverse=better is Better.MORE))


def _deduction(values: Mapping[str, str], key: str, number: int) -> Deduction | None:
    name = _line(values, f"deduct-{key}", "The name of a deduction")
    least, most = (values[f"{field}-{key}"].strip() for field in ("from", "to"))
    if not name:
        if not key.isdigit() and (least or most):
            raise InputError("A deduction needs its name.", field=f"deduct-{key}")
        return None
    if not most:
        raise InputError(f"{name}: enter the most points to take off.", field=f"to-{key}")
    return Deduction(number, name, _number(f"from-{key}", least or most), _number(f"to-{key}", most))


def _ratings(values: Mapping[str, str], better: Better) -> list[Rating]:
    found = []
    for at in range(MOST_RATINGS):
        total, counts = (values.get(f"{name}-{at}", "").strip() for name in ("total", "counts"))
        word = _line(values, f"word-{at}", "The word of a rating")
        if not (total or word or counts):
            continue
        for name, text in (("total", total), ("word", word)):
            if not text:
                raise InputError("A rating needs its total and its word.", field=f"{name}-{at}")
        share = _number(f"counts-{at}", counts) / 100 if counts else None
        if share is not None and share > 1:
            raise InputError("A rating counts from 0 to 100.", field=f"counts-{at}")
        found.append(Rating(_number(f"total-{at}", total), word, share))
    return sorted(found, key=lambda rating: rating.border, reverse=better is Better.MORE)


def _line(values: Mapping[str, str], field: str, what: str) -> str:
    return entered_line(values.get(field, ""), what, most=LONGEST_NAME, field=field)


def _one_of(field: str, values: Mapping[str, str], known: Sequence[str]) -> str:
    typed = entered_line(values[field], "A choice", field=field)
    if typed not in [str(each) for each in known]:
        raise InputError(f"“{short(typed)}” is none of {', '.join(known)}.", field=field)
    return typed


def _number(field: str, text: str) -> Decimal:
    typed = entered_line(text, "A number", field=field)
    if not _NUMBER.fullmatch(typed):
        raise InputError(f"“{short(typed)}” is not a number such as 30 or 14.9.", field=field)
    return Decimal(typed.replace(",", "."))


def _whole(field: str, text: str) -> int:
    typed = entered_line(text, "A number", field=field) or "0"
    if not re.fullmatch("[0-9]{1,3}", typed):
        raise InputError(f"“{short(typed)}” is no number of captions.", field=field)
    return int(typed)


def taken_numbers(work: UnitOfWork, term: Term) -> set[int]:
    """Numbers that captions or deductions of a term have, or that points were filled in for."""
    own = {each.number for each in (term.form.lines if term.form else ())}
    return own | {number for filled in work.results.points(term.ensemble_id) for number in filled.points}


def fitted(form: ScoringForm, before: ScoringForm | None, taken: Iterable[int]) -> ScoringForm:
    """A form in place of another: captions of the same name keep their numbers, the rest get new ones."""
    known = {each.name.casefold(): each.number for each in (before.lines if before else ())}
    next_number = max([0, *taken], default=0)
    numbers: dict[int, int] = {}
    for line in form.lines:
        if (same := known.get(line.name.casefold())) is None:
            next_number += 1
            same = next_number
        numbers[line.number] = same
    return replace(
        form,
        captions=tuple(replace(each, number=numbers[each.number]) for each in form.captions),
        deductions=tuple(replace(each, number=numbers[each.number]) for each in form.deductions),
    )


def set_form(
    work: UnitOfWork, term_id: int, form: ScoringForm | None, *, by: Author, answers: Answers = NONE_YET
) -> Term:
    """Choose the scoring form of a term, or none, and journal it; the term as it is stored.

    Raises:
        NotFoundError: If there is no such term.
        InputError: If the form cannot be; it names the field.
        OddEntryError: If points that were filled in would no longer count.
    """
    term = work.terms.get(term_id)
    if form is not None:
        check_form(form)
    if form == term.form:
        return term
    answers.ask(_questions(work, term, form))
    with recorded(work, ChangeKind.TERM, term_subject(term), by):
        work.terms.update(replace(term, form=form))
    return work.terms.get(term_id)


def _questions(work: UnitOfWork, term: Term, form: ScoringForm | None) -> Iterator[Question]:
    """Forms that are filled in, and would not be by the new one."""
    if term.form is None:
        return
    old = term.form
    lost = [
        filled
        for filled in work.results.points(term.ensemble_id)
        if term.first <= filled.on <= term.last
        and outcome(old, filled.points).total is not None
        and (form is None or outcome(form, filled.points).total is None)
    ]
    if lost:
        key = sha256(repr(form_values(form)).encode()).hexdigest()[:12]
        days = sorted({filled.on for filled in lost})
        yield Question(f"form {key}", no_longer_fits_text(len(lost), days))
