"""What the journal knows of each kind of thing: how it is read, and how it is put back."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from planner.core.catalogue import PRINTED, catalogue_of
from planner.core.change import ChangeKind, Subject, Values
from planner.core.difficulty import LevelCorrection
from planner.core.piece import Piece
from planner.core.profile import PieceProfile
from planner.services.levels.index import index_levels
from planner.services.ports import FileStore, ProfileSource, UnitOfWork


@dataclass(frozen=True, slots=True)
class Means:
    """What some things need to be put back beside the library: the score files, and a new study."""

    files: FileStore
    studies: ProfileSource


@dataclass(frozen=True, slots=True)
class Record:
    """One kind of thing.

    Attributes:
        read: Its values now, all of them, as JSON values by name.
        write: Puts some values back; None where nothing can be put back. Its last argument is
            what ``prepare`` returned.
        prepare: Slow work that putting back needs, done before anything is written.
    """

    read: Callable[[UnitOfWork, Subject], Values]
    write: Callable[[UnitOfWork, Subject, Values, Any], None] | None = None
    prepare: Callable[[UnitOfWork, Subject, Values, Means], Any] | None = None


def piece_subject(piece: Piece, **within: str) -> Subject:
    """A piece, or something in it, as the journal speaks of it; empty names are left out.

    Example:
        >>> piece_subject.__name__
        'piece_subject'
    """
    return Subject("piece", piece.id, piece.title, {name: word for name, word in within.items() if word})


def _read_details(work: UnitOfWork, subject: Subject) -> Values:
    values = catalogue_of(work.pieces.get(subject.id)) | dict(work.corrections.words(subject.id))
    return {name: list(value) if isinstance(value, tuple) else value for name, value in values.items()}


def _write_details(work: UnitOfWork, subject: Subject, values: Values, _prepared: Any) -> None:
    words = {name: value for name, value in values.items() if name in PRINTED}
    if words:
        work.corrections.put_words(subject.id, words)
    others: dict[str, Any] = {
        name: tuple(value) if isinstance(value, list) else value
        for name, value in values.items()
        if name not in PRINTED
    }
    work.pieces.update(replace(work.pieces.get(subject.id), **others))
    index_levels(work, [subject.id])


def _place(subject: Subject) -> tuple[str, str]:
    return subject.within.get("part", ""), subject.within.get("dimension", "")


def _read_level(work: UnitOfWork, subject: Subject) -> Values:
    work.pieces.get(subject.id)
    own = {(each.part, each.dimension): each.level for each in work.corrections.levels(subject.id)}
    return {"level": own.get(_place(subject))}


def _write_level(work: UnitOfWork, subject: Subject, values: Values, _prepared: Any) -> None:
    level, (part, dimension) = values["level"], _place(subject)
    if level is None:
        work.corrections.remove_level(subject.id, part, dimension)
    else:
        work.corrections.put_level(LevelCorrection(subject.id, level, part, dimension))
    index_levels(work)


def _read_instrument(work: UnitOfWork, subject: Subject) -> Values:
    work.pieces.get(subject.id)
    return {"instrument": work.corrections.instruments(subject.id).get(subject.within["part"])}


def _study_with_instrument(work: UnitOfWork, subject: Subject, values: Values, means: Means) -> PieceProfile:
    piece = work.pieces.get(subject.id)
    own = {**work.corrections.instruments(subject.id), subject.within["part"]: values["instrument"]}
    chosen = {part: instrument for part, instrument in own.items() if instrument}
    return means.studies.study_corrected(means.files.path_of(piece.source), chosen)


def _write_instrument(work: UnitOfWork, subject: Subject, values: Values, profile: PieceProfile) -> None:
    work.corrections.put_instrument(subject.id, subject.within["part"], values["instrument"] or "")
    work.pieces.replace_profile(subject.id, profile)
    index_levels(work, [subject.id])


def _read_study(work: UnitOfWork, subject: Subject) -> Values:
    piece = work.pieces.get(subject.id)
    return {"study_version": work.pieces.study_version(subject.id), "studied_level": piece.studied_level}


RECORDS: Mapping[ChangeKind, Record] = {
    ChangeKind.DETAILS: Record(_read_details, _write_details),
    ChangeKind.LEVEL: Record(_read_level, _write_level),
    ChangeKind.INSTRUMENT: Record(_read_instrument, _write_instrument, _study_with_instrument),
    ChangeKind.STUDY: Record(_read_study),
}
"""The kinds of things that can change. What comes later adds its own here."""
