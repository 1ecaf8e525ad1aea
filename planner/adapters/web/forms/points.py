"""The form of points for one section or the whole ensemble: a field a caption as text, and what was typed."""

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal

from werkzeug.datastructures import MultiDict

from planner.adapters.web.shown import Meeting, Spell
from planner.core.scoring_form import Caption, FilledForm, ScoringForm
from planner.core.term import Term
from planner.marks.form_points import band_of
from planner.services.scoring_form.fill import PieceForms, points_field, points_from_text
from planner.wording.director.scoring_form import number_text

MOST_TAPS = 11
"""Buttons of a caption (house choice)."""
_ROUND = tuple(map(Decimal, (1, 2, 5, 10, 20, 50, 100)))
BACK = "back"
"""Name of the button that takes the points of a piece back; it carries the piece."""


def points_values(form: ScoringForm, pieces: Sequence[PieceForms], section_id: int | None) -> dict[str, str]:
    """Stored points as their form shows them, by field."""
    return {
        points_field(piece.piece_id, line.number): _shown(piece.points(section_id).get(line.number))
        for piece in pieces
        for line in form.lines
    }


def typed_points(
    form: ScoringForm, pieces: Sequence[PieceForms], stored: Mapping[str, str], sent: MultiDict[str, str]
) -> dict[str, str]:
    """What stands in the form that was sent; all of a piece is empty where its points are taken back."""
    typed = {name: sent[name].strip() for name in stored if name in sent}
    for piece in pieces:
        if sent.get(BACK) == str(piece.piece_id):
            typed |= {points_field(piece.piece_id, line.number): "" for line in form.lines}
    return typed


def changed_points(
    term: Term,
    on: date,
    form: ScoringForm,
    pieces: Sequence[PieceForms],
    section_id: int | None,
    meeting: Meeting,
    taken_back: str = "",
) -> list[FilledForm]:
    """What is to stand of each piece whose points were changed in the form; nothing of one taken back.

    Raises:
        InputError: If points cannot be read; it names the field.
    """
    found = []
    for piece in pieces:
        points = dict(piece.points(section_id))
        if taken_back == str(piece.piece_id):
            points = {}
        for line in form.lines:
            field = points_field(piece.piece_id, line.number)
            if field not in meeting.changed:
                continue
            value = points_from_text(form, line, meeting.changed[field], field)
            points.pop(line.number, None)
            if value is not None:
                points[line.number] = value
        found.append((piece, points))
    return [
        FilledForm(term.ensemble_id, piece.piece_id, on, section_id, points)
        for piece, points in found
        if points != dict(piece.points(section_id))
    ]


def spell(stored: Mapping[str, str]) -> Spell:
    """How points are put into words."""
    return {name: lambda text: text or "not filled in" for name in stored}


def taps(form: ScoringForm, caption: Caption) -> tuple[tuple[str, str], ...]:
    """Points of a caption that can be tapped, each with the word of its band.

    All of them where they are few; else where each band begins, and the most, or round numbers.
    """
    count = int((caption.most - form.least) / form.step) + 1
    if count <= MOST_TAPS:
        points = [form.least + at * form.step for at in range(count)]
    elif not caption.bands:
        stride = next(each for each in _ROUND if (caption.most - form.least) / each < MOST_TAPS)
        points = [form.least + at * stride for at in range(int((caption.most - form.least) / stride) + 1)]
    else:
        points = sorted({*(band.border for band in caption.bands), caption.most})
    bands = [band_of(form, caption, each) for each in points]
    return tuple(
        (number_text(each), band.word if band else "") for each, band in zip(points, bands, strict=True)
    )


def _shown(points: Decimal | None) -> str:
    return "" if points is None else number_text(points)
