"""How the marks of a term are worked out: as text for a form or a command, checked, stored and journaled."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal

from planner.core.change import Author, ChangeKind
from planner.core.mark_scheme import (
    CHOICES,
    CREDITS,
    DAY_WEIGHTS,
    HUNDRED,
    READING_WEIGHTS,
    SCALES,
    WEIGHTS,
    MarkScheme,
    ScaleStep,
)
from planner.core.term import Term
from planner.errors import InputError
from planner.services.changes.journal import recorded
from planner.services.changes.term_record import term_subject
from planner.services.entered.words import entered_line, short
from planner.services.ports.work import UnitOfWork

MOST_STEPS = 14
"""Steps of a scale that the workbook has room for (house choice)."""
HEAVIEST = Decimal(1000)
"""The greatest weight (house choice)."""
LONGEST_WORD = 60
"""Letters of a step's word (house choice)."""


_NUMBER = re.compile(r"[0-9]{1,4}([.,][0-9]{1,4})?")


def scheme_text(term: Term) -> dict[str, str]:
    """A term's scheme as text by field: steps of the scale by ``share-0`` and on, days by ``day-`` and date.

    Shares are percent. A day that weighs 100 is empty.
    """
    scheme = term.marks
    values = {name: _text(getattr(scheme, name)) for name in (*WEIGHTS, *CREDITS)}
    values |= {name: "1" if getattr(scheme, name) else "" for name in CHOICES}
    values |= {"drop": str(scheme.drop), **_scale_text(scheme.scale)}
    weights = dict(scheme.days)
    for on in sorted({*term.reading_dates(), *weights}):
        values[f"day-{on}"] = _text(weights[on]) if on in weights else ""
    return values


def scale_text(name: str) -> dict[str, str]:
    """A scale to begin from as text by field, as in ``scheme_text``.

    Raises:
        InputError: If there is none of that name.
    """
    if name not in SCALES:
        raise InputError(f"There is no scale “{short(name)}”.", hint=f"There are {', '.join(SCALES)}.")
    steps, is_even = SCALES[name]
    return {**_scale_text(steps), "even": "1" if is_even else ""}


def _scale_text(scale: Sequence[ScaleStep]) -> dict[str, str]:
    values = {}
    for at in range(MOST_STEPS):
        step = scale[at] if at < len(scale) else None
        values[f"share-{at}"] = _text(100 * step.share) if step else ""
        values[f"mark-{at}"] = _text(step.mark) if step else ""
        values[f"word-{at}"] = step.word if step else ""
    return values


def scheme_from_text(values: Mapping[str, str]) -> MarkScheme:
    """What ``scheme_text`` wrote, as somebody changed it.

    Raises:
        InputError: If a number cannot be read or the steps make no scale; it names the field.
    """
    numbers = {name: _number(name, values[name]) for name in (*WEIGHTS, *CREDITS)}
    drop = values["drop"].strip() or "0"
    if not re.fullmatch("[0-9]{1,3}", drop):
        raise InputError(f"“{short(drop)}” is no number of days.", field="drop")
    steps = {at: step for at in range(MOST_STEPS) if (step := _step(at, values)) is not None}
    _check_scale(steps)
    days = {
        date.fromisoformat(name.removeprefix("day-")): _number(name, text)
        for name, text in values.items()
        if name.startswith("day-") and text.strip()
    }
    return MarkScheme(
        scale=tuple(sorted(steps.values(), key=lambda step: step.share)),
        even=bool(values["even"]),
        own_replaces=bool(values["own_replaces"]),
        drop=int(drop),
        days=tuple((on, weight) for on, weight in sorted(days.items()) if weight != HUNDRED),
        **numbers,
    )


def _step(at: int, values: Mapping[str, str]) -> ScaleStep | None:
    share, mark, word = (values.get(f"{name}-{at}", "").strip() for name in ("share", "mark", "word"))
    if not (share or mark or word):
        return None
    for name, text in (("share", share), ("mark", mark)):
        if not text:
            raise InputError("A step needs its share and its mark.", field=f"{name}-{at}")
    line = entered_line(word, "The word of a step", most=LONGEST_WORD, field=f"word-{at}")
    return ScaleStep(_number(f"share-{at}", share) / 100, _number(f"mark-{at}", mark), line)


def _number(field: str, text: str) -> Decimal:
    typed = text.strip() or "0"
    if not _NUMBER.fullmatch(typed):
        raise InputError(f"“{short(typed)}” is not a number such as 50 or 12.5.", field=field)
    return Decimal(typed.replace(",", "."))


def _text(number: Decimal) -> str:
    """A number without needless zeros.

    Example:
        >>> _text(Decimal("12.50")), _text(Decimal("100"))
        ('12.5', '100')
    """
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def set_scheme(work: UnitOfWork, term_id: int, scheme: MarkScheme, *, by: Author) -> Term:
    """Choose how a term's marks are worked out, and journal it; the term as it is stored.

    Raises:
        NotFoundError: If there is no such term.
        InputError: If something cannot be; it names the field.
    """
    term = work.terms.get(term_id)
    _check(scheme)
    if scheme == term.marks:
        return term
    with recorded(work, ChangeKind.TERM, term_subject(term), by):
        work.terms.update(replace(term, marks=scheme))
    return work.terms.get(term_id)


def _check(scheme: MarkScheme) -> None:
    for name in (*WEIGHTS, *CREDITS):
        most, value = (HEAVIEST if name in WEIGHTS else Decimal(100)), getattr(scheme, name)
        if not 0 <= value <= most:
            raise InputError(f"{value:f} lies outside 0 to {most}.", field=name)
    if sum(getattr(scheme, name) for name in READING_WEIGHTS) == 0:
        raise InputError("A reading or the scoring form must weigh something.", field="first")
    if sum(getattr(scheme, name) for name in DAY_WEIGHTS) == 0:
        raise InputError("Something of a player's day must weigh something.", field="section")
    if not 0 <= scheme.drop <= 100:
        raise InputError(f"{scheme.drop} days cannot be left out.", hint="Enter 0 to 100.", field="drop")
    for on, weight in scheme.days:
        if not 0 <= weight <= HEAVIEST:
            raise InputError(f"{weight:f} lies outside 0 to {HEAVIEST}.", field=f"day-{on}")
    if len(scheme.scale) > MOST_STEPS:
        raise InputError(f"A scale has {MOST_STEPS} steps at most.", field=f"share-{MOST_STEPS - 1}")
    _check_scale(dict(enumerate(scheme.scale)))


def _check_scale(steps: Mapping[int, ScaleStep]) -> None:
    """Whether steps make a scale; the field in an error is that of their number."""
    if not steps:
        raise InputError("The scale is empty.", hint="Enter at least one step.", field="share-0")
    seen: set[Decimal] = set()
    for at, step in steps.items():
        if not 0 <= step.share <= 1:
            raise InputError("Bars right lie from 0 to 100.", field=f"share-{at}")
        if not 0 <= step.mark <= 100:
            raise InputError("A mark lies from 0 to 100.", field=f"mark-{at}")
        if len(step.word) > LONGEST_WORD:
            raise InputError(f"A word has {LONGEST_WORD} letters at most.", field=f"word-{at}")
        if step.share in seen:
            raise InputError("Two steps begin at the same share.", field=f"share-{at}")
        seen.add(step.share)
