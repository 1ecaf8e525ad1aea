"""Whether a scoring form can be: its captions, bands and ratings against its own points."""

from collections.abc import Sequence
from decimal import Decimal

from planner.core.scoring_form import Band, Better, Caption, Deduction, ScoringForm
from planner.errors import InputError
from planner.marks.form_points import best_and_poorest
from planner.wording.director.scoring_form import total_text

MOST_CAPTIONS = 24
"""Captions of a form, and deductions (house choice)."""
MOST_POINTS = Decimal(1000)
"""The most points of a caption (house choice)."""


def check_form(form: ScoringForm) -> None:
    """Whether a form can be filled in and added up.

    Raises:
        InputError: If it cannot; it names the field as ``shape.form_text`` does.
    """
    if not form.captions:
        raise InputError("The form has no caption.", hint="Enter at least one.", field="caption-new1")
    if len(form.captions) > MOST_CAPTIONS or len(form.deductions) > MOST_CAPTIONS:
        raise InputError(
            f"A form has {MOST_CAPTIONS} captions and as many deductions at most.", field="caption-new1"
        )
    if form.least % form.step:
        raise InputError(
            f"The lowest points, {form.least:f}, are not in steps of {form.step:f}.", field="least"
        )
    seen: set[str] = set()
    for line in form.lines:
        field = f"{'caption' if isinstance(line, Caption) else 'deduct'}-{line.number}"
        if line.name.casefold() in seen:
            raise InputError(f"“{line.name}” stands there twice.", field=field)
        seen.add(line.name.casefold())
    for caption in form.captions:
        _check_caption(form, caption)
    for deduction in form.deductions:
        _check_deduction(form, deduction)
    _check_ratings(form)


def _check_caption(form: ScoringForm, caption: Caption) -> None:
    field = f"most-{caption.number}"
    if not form.least < caption.most <= MOST_POINTS:
        raise InputError(
            f"{caption.name}: the most points lie above {form.least:f} and up to {MOST_POINTS:f}, not "
            f"{caption.most:f}.", field=field,
        )  # fmt: skip
    _check_step(form, caption.name, caption.most, field)
    _check_bands(form, caption, caption.bands, f"bands-{caption.number}")


def _check_bands(form: ScoringForm, caption: Caption, bands: Sequence[Band], field: str) -> None:
    borders = [band.border for band in bands]
    for border in borders:
        if not form.least <= border <= caption.most:
            raise InputError(
                f"{caption.name}: the band at {border:f} lies outside its points, {form.least:f} to "
                f"{caption.most:f}.", field=field,
            )  # fmt: skip
    if len(set(borders)) < len(borders):
        raise InputError(f"{caption.name}: two bands have the same border.", field=field)


def _check_deduction(form: ScoringForm, deduction: Deduction) -> None:
    if not 0 < deduction.least <= deduction.most <= MOST_POINTS:
        raise InputError(
            f"{deduction.name}: points to take off go from above 0 up to {MOST_POINTS:f}, the lower first.",
            field=f"from-{deduction.number}",
        )
    _check_step(form, deduction.name, deduction.most, f"to-{deduction.number}")


def _check_ratings(form: ScoringForm) -> None:
    best, poorest = best_and_poorest(form)
    low, high = (poorest, best) if form.better is Better.MORE else (best, poorest)
    borders = [rating.border for rating in form.ratings]
    for at, rating in enumerate(form.ratings):
        if not low <= rating.border <= high:
            raise InputError(
                f"{rating.word}: {rating.border:f} is no total of this form; they go from "
                f"{total_text(low)} to {total_text(high)}.", field=f"total-{at}",
            )  # fmt: skip
        if borders.count(rating.border) > 1:
            raise InputError("Two ratings begin at the same total.", field=f"total-{at}")
    if not form.firsts:
        return
    if form.firsts > sum(bool(caption.bands) for caption in form.captions) or not form.ratings:
        raise InputError(
            f"{form.firsts} captions cannot be in their best band.",
            hint="Give as many captions their bands, and enter a rating.", field="firsts",
        )  # fmt: skip


def _check_step(form: ScoringForm, name: str, points: Decimal, field: str) -> None:
    if points % form.step:
        raise InputError(f"{name}: {points:f} is not in steps of {form.step:f}.", field=field)
