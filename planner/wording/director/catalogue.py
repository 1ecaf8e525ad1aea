"""Words for the catalogue of a piece: what its fields are called, and their values."""

from collections.abc import Mapping
from dataclasses import dataclass

from planner.core.catalogue import CATALOGUE, FIELDS, FieldKind, Value
from planner.core.piece import Piece


@dataclass(frozen=True, slots=True)
class FieldWords:
    """What people call a field of the catalogue.

    Attributes:
        label: Its name on pages, in the journal and in lists.
        help: What to write there, in one line.
    """

    label: str
    help: str


WORDS: Mapping[str, FieldWords] = {
    "title": FieldWords("Title", "What the piece is called."),
    "composer": FieldWords("Composer", "Who wrote it."),
    "arranger": FieldWords("Arranger", "Who arranged it."),
    "rights": FieldWords("Rights", "Who holds the rights, or that it is free to use."),
    "published_grade": FieldWords("Published grade", "The publisher's grade, 0.5 to 6."),
    "tags": FieldWords("Tags", "Words of your own, with commas between them."),
}
"""Every field of the catalogue, by its name."""


@dataclass(frozen=True, slots=True)
class FieldLine:
    """One field of a piece as a page or a command shows it; ``text`` is empty when nothing is set."""

    name: str
    label: str
    help: str
    text: str
    kind: FieldKind
    is_needed: bool
    is_heading: bool


def value_text(value: Value) -> str:
    """A value as it stands in a list of facts and in a form; empty when there is nothing to say.

    Example:
        >>> [value_text(2.0), value_text(("march", "short"))]
        ['2', 'march, short']
    """
    if value is None:
        return ""
    if isinstance(value, float | int):
        return f"{value:g}"
    return value if isinstance(value, str) else ", ".join(value)


def value_in_sentence(name: str, value: Value) -> str:
    """A value within a sentence; None is one that nobody has set.

    Example:
        >>> [value_in_sentence("title", each) for each in ("Rondo", "", None)]
        ['“Rondo”', 'empty', 'as printed']
    """
    text = value_text(value)
    if FIELDS[name].kind is FieldKind.TEXT:
        return "as printed" if value is None else f"“{text}”" if text else "empty"
    return text or "none"


def label_in_sentence(name: str) -> str:
    """What a field is called within a sentence.

    Example:
        >>> label_in_sentence("published_grade")
        'published grade'
    """
    label = WORDS[name].label
    return label[0].lower() + label[1:]


def catalogue_lines(piece: Piece) -> list[FieldLine]:
    """Every field of a piece with its value in words, in the order of pages and forms."""
    return [
        FieldLine(
            name=field.name,
            label=WORDS[field.name].label,
            help=WORDS[field.name].help,
            text=value_text(getattr(piece, field.name)),
            kind=field.kind,
            is_needed=field.is_needed,
            is_heading=field.is_heading,
        )
        for field in CATALOGUE
    ]
