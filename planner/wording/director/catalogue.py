"""Words for the catalogue of a piece: what its fields are called, and their values."""

from collections.abc import Mapping
from dataclasses import dataclass

from planner.core.catalogue import FIELDS, FieldKind, Value, fields_of
from planner.core.listed import joined
from planner.core.piece import Piece
from planner.wording.words import key


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
    "rights_reason": FieldWords("Why you may play it", "Such as: bought in 2019, out of copyright, on loan."),
    "published_grade": FieldWords("Published grade", "The publisher's grade, 0.5 to 6."),
    "shelf": FieldWords("Shelf", "Where it lies: a number, a drawer, a box."),
    "tags": FieldWords("Tags", "Words of your own, with commas between them."),
    "remarks": FieldWords("Remarks", "Whatever you want to remember, in as many lines as you like."),
    "keys": FieldWords("Keys", "As they sound, such as “B♭ major; G minor”, the home key first."),
    "time_signatures": FieldWords("Meters", "Such as “4/4; 6/8”, the first of the piece first."),
    "tempo": FieldWords("Tempo", "Beats a minute, as marked."),
    "minutes": FieldWords("Minutes", "How long it plays, such as 3.5."),
    "parts": FieldWords("Parts", "As in the set, with semicolons: “Flute 1; Flute 2; Clarinet 1”."),
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


def value_text(name: str, value: Value) -> str:
    """A value as it stands in a list of facts, in a form and in a file; empty when there is nothing to say.

    What is read back from it is the same value.

    Example:
        >>> [value_text("published_grade", 2.0), value_text("tags", ("march", "short"))]
        ['2', 'march, short']
        >>> value_text("keys", ("Bb major", "G minor"))
        'B♭ major; G minor'
    """
    if value is None:
        return ""
    if isinstance(value, float | int):
        return f"{value:.12g}"
    if isinstance(value, str):
        return value
    kind = FIELDS[name].kind
    if kind is FieldKind.TAGS:
        return ", ".join(value)
    return joined([key(each) for each in value] if kind is FieldKind.KEYS else value)


_WORDY = (FieldKind.TEXT, FieldKind.NOTE)


def value_in_sentence(name: str, value: Value) -> str:
    """A value within a sentence; None is one that nobody has set.

    Example:
        >>> [value_in_sentence("title", each) for each in ("Rondo", "", None)]
        ['“Rondo”', 'empty', 'as printed']
    """
    text = value_text(name, value)
    if FIELDS[name].kind in _WORDY:
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
            text=value_text(field.name, getattr(piece, field.name)),
            kind=field.kind,
            is_needed=field.is_needed,
            is_heading=field.is_heading,
        )
        for field in fields_of(piece)
    ]
