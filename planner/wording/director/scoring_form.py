"""Words for the scoring form: its parts, where published ones come from, what points come to."""

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from planner.core.change import Change
from planner.core.published_forms import Basis, PublishedForm
from planner.core.scoring_form import Better, Caption, Deduction, ScoringForm, Totaling, form_of
from planner.marks.form_points import FormOutcome, outcome
from planner.wording.words import count_of, listed, listed_dates, some_of

WHOLE_ENSEMBLE = "Whole ensemble"
"""Whom a form is for that is not for one section."""
BETTER_WORDS: Mapping[Better, str] = {
    Better.MORE: "more points are better",
    Better.LESS: "fewer points are better (1 is best)",
}
TOTALING_WORDS: Mapping[Totaling, str] = {
    Totaling.SUM: "the points added up",
    Totaling.MEAN: "the average of the captions",
}
_BASIS = {Basis.PUBLISHED: "published", Basis.MEMORY: "from memory", Basis.OURS: "our own choice"}
NAMED_ONE_BY_ONE = 4
"""Points of one change that are named one by one; more are counted (house choice)."""


def number_text(number: Decimal) -> str:
    """Points as they were entered, without needless zeros.

    Example:
        >>> number_text(Decimal("26.50")), number_text(Decimal("30"))
        ('26.5', '30')
    """
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def total_text(total: Fraction) -> str:
    """A total to a hundredth, halves upward, without needless zeros.

    Example:
        >>> total_text(Fraction(849, 10)), total_text(Fraction(5, 3)), total_text(Fraction(7))
        ('84.9', '1.67', '7')
    """
    hundredths = (200 * total + 1) // 2
    return number_text(Decimal(hundredths) / 100)


def basis_text(published: PublishedForm) -> str:
    """What the parts of a published form rest on.

    Example:
        >>> from planner.core.published_forms import published_form
        >>> basis_text(published_form("seven"))
        'captions, words and direction published; ratings our own choice'
    """
    parts = {
        "captions": published.captions, "words": published.words, "direction": published.direction,
        "ratings": published.ratings,
    }  # fmt: skip
    found = [
        f"{listed([name for name, basis in parts.items() if basis is each])} {words}"
        for each, words in _BASIS.items()
        if each in parts.values()
    ]
    return "; ".join(found)


def caption_range(form: ScoringForm, caption: Caption) -> str:
    """Which points a caption has.

    Example:
        >>> tone = Caption(1, "Tone", Decimal(30))
        >>> caption_range(ScoringForm("Ours", (tone,), step=Decimal("0.1")), tone)
        '0 to 30, in steps of 0.1'
    """
    text = f"{number_text(form.least)} to {number_text(caption.most)}"
    return text if form.step == 1 else f"{text}, in steps of {number_text(form.step)}"


def deduction_range(deduction: Deduction) -> str:
    """Which points a deduction takes off.

    Example:
        >>> deduction_range(Deduction(2, "Late", Decimal(10), Decimal(20)))
        '10 to 20 off'
    """
    if deduction.least == deduction.most:
        return f"{number_text(deduction.most)} off"
    return f"{number_text(deduction.least)} to {number_text(deduction.most)} off"


def bands_text(caption: Caption) -> str:
    """The bands of a caption on one line; empty without any.

    Example:
        >>> from planner.core.scoring_form import Band
        >>> bands_text(Caption(1, "Tone", Decimal(5), (Band(Decimal(4), "Fine"), Band(Decimal(0), "Poor"))))
        '4 Fine · 0 Poor'
    """
    return " · ".join(f"{number_text(band.border)} {band.word}" for band in caption.bands)


def ratings_text(form: ScoringForm) -> str:
    """What totals are called, as a sentence; empty where they are given no word.

    Example:
        >>> from planner.core.scoring_form import Rating
        >>> ratings_text(ScoringForm("Ours", (), (Rating(Decimal(85), "Superior"),)))
        'Total from 85: Superior.'
    """
    if not form.ratings:
        return ""
    words = "; ".join(f"{number_text(each.border)}: {each.word}" for each in form.ratings)
    firsts = f" {form.firsts} captions in their best band make {form.ratings[0].word}." if form.firsts else ""
    return f"Total {'up to' if form.better is Better.LESS else 'from'} {words}.{firsts}"


def border_note(is_less_better: bool) -> str:
    """How the numbers before words are to be read."""
    if is_less_better:
        return "Each word holds up to the points before it."
    return "Each word holds from the points before it upward."


def outcome_text(found: FormOutcome, *, filled: int) -> str:
    """What the points of a form come to, as a sentence.

    Example:
        >>> outcome_text(FormOutcome(Fraction(80), Fraction(100), None, Fraction(4, 5)), filled=3)
        'Total 80, the best is 100.'
        >>> outcome_text(FormOutcome(None, Fraction(100)), filled=0)
        'Not filled in yet.'
    """
    if found.total is None:
        if not filled:
            return "Not filled in yet."
        return f"No total yet: {listed([each.name for each in found.missing])} to fill in."
    rating = f": {found.rating.word}" if found.rating else ""
    return f"Total {total_text(found.total)}{rating}, the best is {total_text(found.best)}."


def saved_points_text(form: ScoringForm, whom: str, title: str, points: Mapping[int, Decimal]) -> str:
    """What stands there after points were saved, as a sentence.

    Example:
        >>> form = ScoringForm("Ours", (Caption(1, "Tone", Decimal(5)),))
        >>> saved_points_text(form, "Flute", "Rondo", {1: Decimal(4)})
        'Saved: Flute, “Rondo”. Total 4, the best is 5.'
        >>> saved_points_text(form, "Flute", "Rondo", {})
        'Taken back: the points of Flute for “Rondo”.'
    """
    if not points:
        return f"Taken back: the points of {whom} for “{title}”."
    return f"Saved: {whom}, “{title}”. {outcome_text(outcome(form, points), filled=len(points))}"


def no_longer_fits_text(forms: int, days: Sequence[date]) -> str:
    """What is asked before a form is changed so that points filled in no longer make a total."""
    verb = "has" if forms == 1 else "have"
    return (
        f"With this change {count_of(forms, 'form')} filled in on {listed_dates(days)} no longer {verb} "
        "a total and would not count in marks; the points stay stored."
    )


def form_value(value: Mapping[str, Any] | None) -> str:
    """A scoring form in a sentence.

    Example:
        >>> form_value(None)
        'none'
    """
    form = form_of(value)
    if form is None:
        return "none"
    return f"“{form.name}” with {count_of(len(form.captions), 'caption')}"


def form_change_text(before: Mapping[str, Any] | None, after: Mapping[str, Any] | None) -> str:
    """What was changed of a scoring form, as part of a sentence."""
    if not before or not after or before["name"] != after["name"]:
        return f"scoring form now {form_value(after)} (was {form_value(before)})"
    phrases = _lines_changed("caption", before["captions"], after["captions"])
    phrases += _lines_changed("deduction", before["deductions"], after["deductions"])
    parts = {
        "ratings": "ratings", "better": "which points are better", "totaling": "how the total is made",
        "least": "lowest points", "step": "step of points", "firsts": "captions that make the best rating",
    }  # fmt: skip
    phrases += [f"{words} changed" for name, words in parts.items() if before[name] != after[name]]
    return f"scoring form: {'; '.join(phrases)}"


def _lines_changed(what: str, before: Sequence[Sequence[Any]], after: Sequence[Sequence[Any]]) -> list[str]:
    old, new = ({line[0]: line for line in lines} for lines in (before, after))
    kinds = (
        ("added", [line for number, line in new.items() if number not in old]),
        ("taken out", [line for number, line in old.items() if number not in new]),
        ("changed", [line for number, line in new.items() if number in old and old[number] != line]),
    )
    return [
        f"{what if len(lines) == 1 else f'{what}s'} {some_of([f'“{line[1]}”' for line in lines])} {done}"
        for done, lines in kinds
        if lines
    ]


def points_change_text(change: Change) -> str:
    """What was filled in of the forms of a piece on a day, as the rest of a sentence.

    Example:
        >>> from datetime import UTC, datetime
        >>> from planner.core.change import Author, ChangeKind, Door, Subject
        >>> by = Author(Door.PAGE, datetime(2026, 9, 1, tzinfo=UTC))
        >>> after = {"3 1": {"section": "Flute", "line": "Tone", "value": "26"}}
        >>> points_change_text(Change(0, ChangeKind.POINTS, Subject("", 1, ""), {}, after, by))
        'points of Flute: Tone now 26'
    """
    names = list(change.after)
    whom = sorted({_whom(change, name) for name in names})
    if len(whom) == 1 and len(names) <= NAMED_ONE_BY_ONE:
        return f"points of {whom[0]}: {'; '.join(_one(change, name) for name in names)}"
    if all(change.after[name] is None for name in names):
        done = "taken back"
    else:
        done = "changed" if any(change.before.get(name) for name in names) else "filled in"
    return f"scoring form of {some_of(whom)} {done}, {count_of(len(names), 'caption')}"


def points_value_names(change: Change, names: Sequence[str]) -> str:
    """What values of a change are called in a sentence."""
    return f"the points of {some_of([f'{_whom(change, name)} in {_line(change, name)}' for name in names])}"


def _one(change: Change, name: str) -> str:
    value, before = change.after.get(name) or {}, change.before.get(name) or {}
    text = f"{_line(change, name)} now {value['value']}" if value else f"{_line(change, name)} taken back"
    return f"{text} (was {before['value']})" if before else text


def _whom(change: Change, name: str) -> str:
    return _of(change, name, "section") or "the whole ensemble"


def _line(change: Change, name: str) -> str:
    return _of(change, name, "line") or "a caption"


def _of(change: Change, name: str, what: str) -> str:
    value = change.after.get(name) or change.before.get(name) or {}
    return str(value.get(what, ""))
