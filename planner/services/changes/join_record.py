"""That a piece on paper has found its score: how it is read, and how the two are parted again."""

import secrets
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from typing import Any

from planner.core.catalogue import CATALOGUE, PRINTED
from planner.core.change import Subject, Values
from planner.core.difficulty import LevelCorrection
from planner.core.piece import ON_PAPER, Piece, SourceFile
from planner.errors import NotFoundError
from planner.services.levels.section_levels import follow_levels
from planner.services.ports.work import UnitOfWork
from planner.study.on_paper import profile_on_paper


def read_join(work: UnitOfWork, subject: Subject) -> Values:
    """The score file of a piece; nothing while it is on paper."""
    source = work.pieces.get(subject.id).source
    return {} if source.is_on_paper else {"file": source.name, "sha256": source.sha256}


def is_same_join(one: Any, other: Any) -> bool:
    """What is kept only to part the two again does not have to stand anywhere."""
    return isinstance(other, dict) or bool(one == other)


def what_stands(work: UnitOfWork, piece: Piece) -> dict[str, Any]:
    """All that is kept of a piece besides its results, exposures and plan places, as JSON values."""
    fields = {each.name: getattr(piece, each.name) for each in CATALOGUE if each.name not in PRINTED}
    return {
        "fields": {n: list(value) if isinstance(value, tuple) else value for n, value in fields.items()},
        "words": dict(work.corrections.words(piece.id)),
        "levels": [[one.part, one.dimension, one.level] for one in work.corrections.levels(piece.id)],
        "instruments": dict(work.corrections.instruments(piece.id)),
        "copies": dict(work.pieces.copies([piece.id]).get(piece.id, {})),
        "added": piece.added_on.isoformat(),
    }


def put_back(work: UnitOfWork, piece_id: int, stood: Mapping[str, Any]) -> None:
    """Everything of a piece as ``what_stands`` kept it."""
    fields: dict[str, Any] = {
        name: tuple(value) if isinstance(value, list) else value for name, value in stood["fields"].items()
    }
    work.pieces.update(replace(work.pieces.get(piece_id), **fields))
    work.corrections.put_words(piece_id, stood["words"])
    for one in work.corrections.levels(piece_id):
        work.corrections.remove_level(piece_id, one.part, one.dimension)
    for part, dimension, level in stood["levels"]:
        work.corrections.put_level(LevelCorrection(piece_id, level, part, dimension))
    for part in work.corrections.instruments(piece_id):
        work.corrections.put_instrument(piece_id, part, "")
    for part, instrument in stood["instruments"].items():
        work.corrections.put_instrument(piece_id, part, instrument)
    now, copies = work.pieces.copies([piece_id]).get(piece_id, {}), stood["copies"]
    work.pieces.store_copies({piece_id: {part: copies.get(part) for part in {**now, **copies}}})


def write_join(work: UnitOfWork, subject: Subject, values: Values, _prepared: Any) -> None:
    """Part a piece from its score, or join the two again.

    Raises:
        NotFoundError: If the score is not in the library any more.
        ConflictError: If the score was read or planned by itself since.
    """
    if values.get("sha256") is None:
        _part(work, subject.id, values["paper"], values["score"])
        return
    score = work.pieces.find_by_hash(values["sha256"])
    if score is None:
        raise NotFoundError("score", f"“{values['file']}”", hint="Add the file again.")
    give_score(work, work.pieces.get(subject.id), score)


def give_score(work: UnitOfWork, piece: Piece, score: Piece) -> None:
    """Let a piece on paper have the score, the study and the corrections of another, which goes.

    What the director entered stays; what is empty is as the score prints it.

    Raises:
        ConflictError: If the other stands in a plan, has results or was met.
    """
    profile, stood = work.pieces.profile(score.id), what_stands(work, score)
    own = {(one.part, one.dimension) for one in work.corrections.levels(piece.id)}
    work.pieces.remove(score.id)
    work.pieces.replace_profile(piece.id, profile, score.source)
    work.corrections.put_words(piece.id, {word: None for word in PRINTED if not getattr(piece, word)})
    for part, dimension, level in stood["levels"]:
        if (part, dimension) not in own:
            work.corrections.put_level(LevelCorrection(piece.id, level, part, dimension))
    for part, instrument in stood["instruments"].items():
        work.corrections.put_instrument(piece.id, part, instrument)
    follow_levels(work)


def _part(work: UnitOfWork, piece_id: int, paper: Mapping[str, Any], score: Mapping[str, Any]) -> None:
    piece, profile = work.pieces.get(piece_id), work.pieces.profile(piece_id)
    stood = what_stands(work, piece)
    on_paper = SourceFile(f"{ON_PAPER}{secrets.token_hex(16)}", "", 0, "")
    work.pieces.replace_profile(piece_id, profile, on_paper)
    put_back(work, piece_id, paper)
    again = profile_on_paper(work.pieces.get(piece_id), paper["instruments"])
    work.pieces.replace_profile(piece_id, again)
    number = score.get("number")  # an entry made by an older version has none
    is_free = number is not None and number not in work.pieces.titles([number])
    added = date.fromisoformat(score["added"])
    score_id = work.pieces.add(piece.source, profile, added, as_id=number if is_free else None)
    # Levels and instruments were corrected on the score, also since: they stay with it.
    put_back(work, score_id, {**score, "levels": stood["levels"], "instruments": stood["instruments"]})
    follow_levels(work)
