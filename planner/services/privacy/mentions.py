"""Texts of the library in which a person's name stands, and taking it out of them."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from planner.core.person_name import GONE, NameSearch
from planner.services.ports.records import StoredText
from planner.services.ports.work import UnitOfWork

_KNOWN_OTHERWISE = frozenset({"people", "accounts", "changes"})
"""Tables that are gone through row by row, by who is meant."""

_OF_ACCOUNT = frozenset({("jobs", "account")})
"""Columns that hold the name of an account alone."""

_PRINTED = frozenset({
    ("pieces", "title"), ("pieces", "composer"), ("pieces", "arranger"), ("pieces", "rights"),
    ("pieces", "parts"),
    ("source_files", "name"), ("source_files", "path"),
})  # fmt: skip
"""What a score says of itself, and where it lay: a name there is taken for a composer's."""

_FOLDED = frozenset({("pieces", "search_text"), ("pieces", "sort_title"), ("piece_tags", "folded")})
"""What other columns say, as it is searched and sorted: it follows them."""

_LABELS = frozenset({("ensembles", "name"), ("sections", "name"), ("terms", "name")})
"""Names that no two may share."""

PRINTED_VALUES = frozenset({"title", "composer", "arranger", "rights", "file", "given"})
"""Names of JSON values that are as printed in a score, or the name of its file."""


@dataclass(frozen=True, slots=True)
class Mention:
    """A text in which the name stands.

    Attributes:
        place: Where: table, column and row; the same for the same text as long as it is there.
        table, column: Of which thing, and what of it.
        text: As it is stored; of JSON the texts in which the name stands, one a line.
        after: As it would be without the name.
        is_printed: Whether a score says it of itself: it stays.
    """

    place: str
    table: str
    column: str
    text: str
    after: str
    is_printed: bool = False


def find_mentions(work: UnitOfWork, search: NameSearch) -> Sequence[Mention]:
    """The texts of the library that hold the name; the list of changes aside."""
    found = (each for each in _texts(work, search) if (each.table, each.column) not in _FOLDED)
    return [_mention(each, search) for each in found]


def take_names_out(work: UnitOfWork, search: NameSearch, leave: Collection[str] = ()) -> Sequence[Mention]:
    """Take the name out of every text but those that are left as they are; the texts that were changed."""
    changed = []
    for text in _texts(work, search):
        place, mention = (text.table, text.column), _mention(text, search)
        if place in _FOLDED:
            _follow(work, text, search, leave)
            continue
        if mention.is_printed or mention.place in leave:
            continue
        value = without_names(text.value, search)
        if value == GONE and place in _LABELS:
            value = f"{value} {text.key[0]}"
        work.texts.put(replace(text, value=value))
        changed.append(mention)
    _index_pieces(work, changed)
    return changed


def _follow(work: UnitOfWork, text: StoredText, search: NameSearch, leave: Collection[str]) -> None:
    """Have the folded word of a tag follow the tag; those of a piece are made anew."""
    if text.table == "piece_tags" and f"piece_tags.tag {' '.join(text.key)}" not in leave:
        work.texts.put(replace(text, value=search.without(text.value)))


def without_names(value: Any, search: NameSearch) -> Any:
    """A JSON value without the name; what is printed in a score stays."""
    if isinstance(value, str):
        return search.without(value)
    if isinstance(value, Mapping):
        return {
            search.without(name): each if _is_printed(name) else without_names(each, search)
            for name, each in value.items()
        }
    return [without_names(each, search) for each in value] if isinstance(value, list | tuple) else value


def _texts(work: UnitOfWork, search: NameSearch) -> Sequence[StoredText]:
    found = work.texts.find(search.is_in)
    return [
        each
        for each in found
        if each.table not in _KNOWN_OTHERWISE and (each.table, each.column) not in _OF_ACCOUNT
        and (without_names(each.value, search) != each.value)
    ]  # fmt: skip


def _mention(text: StoredText, search: NameSearch) -> Mention:
    is_printed = (text.table, text.column) in _PRINTED
    lines = list(dict.fromkeys(_holding(text.value, search)))
    return Mention(
        f"{text.table}.{text.column} {' '.join(text.key)}", text.table, text.column, "\n".join(lines),
        "\n".join(map(search.without, lines)), is_printed,
    )  # fmt: skip


def _holding(value: Any, search: NameSearch) -> list[str]:
    """The texts in a JSON value in which the name stands."""
    if isinstance(value, str):
        return [value] if search.is_in(value) else []
    if isinstance(value, Mapping):
        parts = [*value, *(each for name, each in value.items() if not _is_printed(name))]
        return [text for each in parts for text in _holding(each, search)]
    return (
        [text for each in value for text in _holding(each, search)] if isinstance(value, list | tuple) else []
    )


def _is_printed(name: str) -> bool:
    """Whether a JSON value of that name is as printed; lists of pieces put the number of the piece before."""
    return name.rpartition(" ")[2] in PRINTED_VALUES


def _index_pieces(work: UnitOfWork, changed: Collection[Mention]) -> None:
    """Have pieces found by the words that they hold now."""
    ids = {int(each.place.split()[1]) for each in changed if each.table in ("pieces", "piece_tags")}
    for piece in work.pieces.get_all(ids).values():
        work.pieces.update(piece)
