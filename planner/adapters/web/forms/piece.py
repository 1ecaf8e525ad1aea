"""The forms of a piece: its catalogue and the copies of its parts, as two people may have them open."""

from collections.abc import Mapping
from dataclasses import dataclass

from flask import request

from planner.adapters.web.shown import MARK, Form, Meeting, Values, come_back, first_shown, meet
from planner.core.catalogue import FIELDS
from planner.errors import PlannerError
from planner.services.library.catalogue import own_level
from planner.services.library.copies import copies_of
from planner.services.ports.work import UnitOfWork
from planner.wording.director.catalogue import WORDS, catalogue_lines

LEVEL = "level"
"""The director's own level of the whole piece, beside the fields of the catalogue."""

NAMES: Mapping[str, str] = {LEVEL: "your level", **{name: words.label for name, words in WORDS.items()}}
"""What the values of the form are called."""


@dataclass(frozen=True, slots=True)
class PieceForms:
    """What the two forms of a piece are filled with."""

    details: Form
    copies: Form
    names: Mapping[str, str]


def piece_forms(
    work: UnitOfWork, piece_id: int, *, details: Form | None = None, copies: Form | None = None
) -> PieceForms:
    """The forms as they are first shown, or one as it came back."""
    return PieceForms(
        details or first_shown(_stored_details(work, piece_id)),
        copies or first_shown(_stored_copies(work, piece_id)),
        NAMES,
    )


def _stored_details(work: UnitOfWork, piece_id: int) -> Values:
    own = own_level(work, piece_id)
    texts = {line.name: line.text for line in catalogue_lines(work.pieces.get(piece_id))}
    return {**texts, LEVEL: "" if own is None else f"{own:g}"}


def _stored_copies(work: UnitOfWork, piece_id: int) -> Values:
    return {part: str(count) for part, count in copies_of(work, piece_id).items()}


def _typed_details() -> Values:
    """What stands in the form, its edges trimmed and lines parted as they are stored."""
    form = request.form
    return {name: form[name].replace("\r\n", "\n").strip() for name in (*FIELDS, LEVEL) if name in form}


def _typed_copies() -> Values:
    parts = request.form.getlist("part")
    return {part: text.strip() for part, text in zip(parts, request.form.getlist("count"), strict=False)}


def meet_details(work: UnitOfWork, piece_id: int) -> Meeting:
    """The catalogue form that was sent, held against what is stored now."""
    return meet(_stored_details(work, piece_id), _typed_details(), request.form.get(MARK, ""))


def meet_copies(work: UnitOfWork, piece_id: int) -> Meeting:
    """The form of the copies that was sent, held against what is stored now."""
    return meet(_stored_copies(work, piece_id), _typed_copies(), request.form.get(MARK, ""))


def details_back(work: UnitOfWork, piece_id: int, error: PlannerError) -> PieceForms:
    """The forms after the catalogue's was not taken."""
    stored, mark = _stored_details(work, piece_id), request.form.get(MARK, "")
    return piece_forms(work, piece_id, details=come_back(error, stored, _typed_details(), mark, {}))


def copies_back(work: UnitOfWork, piece_id: int, error: PlannerError) -> PieceForms:
    """The forms after that of the copies was not taken."""
    stored, mark = _stored_copies(work, piece_id), request.form.get(MARK, "")
    return piece_forms(work, piece_id, copies=come_back(error, stored, _typed_copies(), mark, {}))
