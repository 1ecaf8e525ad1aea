"""The catalogue: what the director can write of a piece in the library, field by field.

Pages, forms, commands, corrections and the journal of changes go through the rows of ``CATALOGUE``. The
value of a field stands in ``core.piece.Piece`` under its name, and in the column of that name.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from pathlib import PurePath

from planner.core.piece import Piece
from planner.core.profile import PieceProfile

Value = str | float | tuple[str, ...] | None
"""A value of the catalogue: a text, a number (None: not known), or a list of words."""


class FieldKind(StrEnum):
    """What kind of value a field holds."""

    TEXT = "text"
    """One line of words; empty when there is nothing to say."""
    GRADE = "grade"
    """A publisher's grade, ½ to 6 in steps of a half; None when not known."""
    TAGS = "tags"
    """Free words, each once, kept in a table of their own."""
    NOTE = "note"
    """Words in as many lines as it takes."""
    KEYS = "keys"
    """Names of keys, the home key first."""
    METERS = "meters"
    """Time signatures, the first of the piece first."""
    NUMBER = "number"
    """A number above 0; None when not known."""
    PARTS = "parts"
    """Names of the parts, each once, in score order."""


@dataclass(frozen=True, slots=True)
class CatalogueField:
    """One field of the catalogue.

    Attributes:
        name: Of the attribute of ``Piece`` and of the column; with hyphens, of the option of commands.
        kind: What it holds.
        is_printed: Read from the score by the study, until the director writes something else.
        is_needed: It cannot be left empty.
        is_searched: A search for words looks here too.
        is_heading: A piece's page shows it at its head, not among the facts.
        is_of_paper: Only a piece on paper has it; a score says it itself.
        least, most: Of a number, what is taken; beyond is a slip (house choices).
    """

    name: str
    kind: FieldKind
    is_printed: bool = False
    is_needed: bool = False
    is_searched: bool = False
    is_heading: bool = False
    is_of_paper: bool = False
    least: float = 0.0
    most: float = 0.0


_ON_TOP = {"is_printed": True, "is_searched": True, "is_heading": True}

CATALOGUE = (
    CatalogueField("title", FieldKind.TEXT, is_needed=True, **_ON_TOP),
    CatalogueField("composer", FieldKind.TEXT, **_ON_TOP),
    CatalogueField("arranger", FieldKind.TEXT, **_ON_TOP),
    CatalogueField("rights", FieldKind.TEXT, is_printed=True),
    CatalogueField("rights_reason", FieldKind.TEXT),
    CatalogueField("published_grade", FieldKind.GRADE),
    CatalogueField("shelf", FieldKind.TEXT, is_searched=True),
    CatalogueField("tags", FieldKind.TAGS),
    CatalogueField("remarks", FieldKind.NOTE),
    CatalogueField("keys", FieldKind.KEYS, is_of_paper=True),
    CatalogueField("time_signatures", FieldKind.METERS, is_of_paper=True),
    CatalogueField("tempo", FieldKind.NUMBER, is_of_paper=True, least=20, most=400),
    CatalogueField("minutes", FieldKind.NUMBER, is_of_paper=True, least=0.1, most=240),
    CatalogueField("parts", FieldKind.PARTS, is_of_paper=True),
)
"""Every field, in the order of pages and forms; ``wording.director.catalogue`` names them."""

FIELDS: Mapping[str, CatalogueField] = {field.name: field for field in CATALOGUE}
PRINTED = tuple(field.name for field in CATALOGUE if field.is_printed)
"""Fields that hold what is printed on the score until the director corrects them."""
COLUMNS = tuple(field.name for field in CATALOGUE if field.kind is not FieldKind.TAGS)
"""Fields that one column of a piece holds."""
LISTS = frozenset(
    field.name for field in CATALOGUE if field.kind in (FieldKind.KEYS, FieldKind.METERS, FieldKind.PARTS)
)
"""Columns that hold a list of words."""
OF_PAPER = tuple(field.name for field in CATALOGUE if field.is_of_paper)
"""What is entered of a piece on paper and a score says itself."""


def fields_of(piece: Piece) -> tuple[CatalogueField, ...]:
    """The fields that a piece has: those of paper only where it has no score."""
    return tuple(field for field in CATALOGUE if piece.is_on_paper or not field.is_of_paper)


def catalogue_of(piece: Piece) -> dict[str, Value]:
    """The values of a piece, by name of the field."""
    return {field.name: getattr(piece, field.name) for field in fields_of(piece)}


def printed_of(profile: PieceProfile, file_name: str) -> dict[str, str]:
    """What the score prints, by name of the field; a score without a title is called after its file."""
    printed: dict[str, str] = {name: getattr(profile, name) for name in PRINTED}
    return printed | {"title": profile.title.strip() or PurePath(file_name).stem}


def searched_text(piece: object) -> str:
    """What a search for words looks through, of a piece or its row."""
    return " ".join(getattr(piece, field.name) for field in CATALOGUE if field.is_searched)
