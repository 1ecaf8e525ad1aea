"""Many pieces in one entry of the journal: what a file, or a form, brought and changed.

Each field of each piece is a value of its own, named by the number of the piece and the field. A piece that
is not there has no title; bringing it back gives it its own number again.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date
from typing import Any

from planner.core.catalogue import CATALOGUE, PRINTED, fields_of
from planner.core.change import Subject, Values
from planner.errors import ConflictError
from planner.services.levels.section_levels import follow_levels
from planner.services.library.on_paper import add_on_paper, blank_on_paper, store_catalogue
from planner.services.ports.work import UnitOfWork

KIND = "catalogue"
"""Kind of these subjects."""
COPIES, ADDED, OWN_TITLE = "copies", "added", "own_title"
"""Names of the values that are no fields: the copies by part, the day a piece on paper was entered, and the
title as the director wrote it over the one that a score prints."""


def catalogue_subject(name: str, piece_ids: Iterable[int]) -> Subject:
    """Pieces that one file, or one form, is about, as the journal speaks of them."""
    numbers = ",".join(map(str, sorted(piece_ids)))
    return Subject(KIND, 0, name, {"pieces": numbers})


def read_pieces(work: UnitOfWork, subject: Subject) -> Values:
    """Every field of every piece of a subject that is there."""
    ids = [int(number) for number in subject.within["pieces"].split(",") if number]
    words, copies = work.corrections.words_of(ids), work.pieces.copies(ids)
    found: dict[str, Any] = {}
    for piece_id, piece in work.pieces.get_all(ids).items():
        for each in fields_of(piece):
            value = getattr(piece, each.name)
            if each.name in PRINTED and each.name != "title":
                value = words[piece_id][each.name]
            found[f"{piece_id} {each.name}"] = list(value) if isinstance(value, tuple) else value
        found[f"{piece_id} {COPIES}"] = dict(copies.get(piece_id, {}))
        if piece.is_on_paper:
            found[f"{piece_id} {ADDED}"] = piece.added_on.isoformat()
        else:
            found[f"{piece_id} {OWN_TITLE}"] = words[piece_id]["title"]
    return found


def is_same_value_of_piece(one: Any, other: Any) -> bool:
    """Whether a value still says what it said: nothing, and nothing counted, are the same."""
    return bool((one or None) == (other or None))


def write_pieces(work: UnitOfWork, _subject: Subject, values: Values, _prepared: Any) -> None:
    """Put values back: pieces that were not there go, those that were come back.

    Raises:
        ConflictError: If a piece that would go stands in a plan, has results or was met.
    """
    by_piece: dict[int, dict[str, Any]] = defaultdict(dict)
    for name, value in values.items():
        number, _, field = name.partition(" ")
        by_piece[int(number)][field] = value
    there = work.pieces.get_all(by_piece)
    for piece_id, own in by_piece.items():
        if "title" in own and own["title"] is None and piece_id in there:
            work.pieces.remove(piece_id)
    stay = {i: own for i, own in by_piece.items() if "title" not in own or own["title"] is not None}
    gone = [i for i in stay if i not in there and "title" not in stay[i]]
    if gone:
        raise ConflictError(f"Piece {gone[0]} is no longer in the library.")
    add_on_paper(
        work,
        [
            replace(blank_on_paper(date.fromisoformat(own[ADDED]), i), **_fields(own, is_whole=True))
            for i, own in stay.items()
            if i not in there
        ],
    )
    store_catalogue(work, [replace(there[i], **_fields(own)) for i, own in stay.items() if i in there])
    for piece_id, own in stay.items():
        if piece_id in there:
            words = {name: own[name] for name in PRINTED if name in own}
            if OWN_TITLE in own:
                words["title"] = own[OWN_TITLE]
            if words:
                work.corrections.put_words(piece_id, words)
    _put_copies(work, stay)
    follow_levels(work, list(stay))


def _put_copies(work: UnitOfWork, stay: Mapping[int, Mapping[str, Any]]) -> None:
    """Store the copies of pieces as their values say them; nothing happens where they say nothing."""
    wanted = {i: own[COPIES] or {} for i, own in stay.items() if COPIES in own}
    now = work.pieces.copies(list(wanted))
    work.pieces.store_copies(
        {i: {part: copies.get(part) for part in {**now.get(i, {}), **copies}} for i, copies in wanted.items()}
    )


def _fields(own: Mapping[str, Any], *, is_whole: bool = False) -> dict[str, Any]:
    """The fields that ``Piece`` has; printed words of a piece with a score are put back by themselves."""
    found: dict[str, Any] = {}
    for each in CATALOGUE:
        if each.name in own and (is_whole or each.name not in PRINTED):
            value = own[each.name]
            found[each.name] = tuple(value) if isinstance(value, list) else value
    return found
