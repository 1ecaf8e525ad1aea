"""What the journal knows of each kind of thing: how it is read, and how it is put back."""

from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, replace
from datetime import date
from operator import eq
from typing import Any

from planner.core.catalogue import PRINTED, catalogue_of
from planner.core.change import ChangeKind, Subject, Values
from planner.core.difficulty import LevelCorrection
from planner.core.ensemble import Exposure, Section
from planner.core.piece import Piece, SourceFile
from planner.core.profile import PieceProfile
from planner.core.term import Result
from planner.services.changes.account_record import (
    is_same_account_value,
    read_account,
    read_password_date,
    write_account,
)
from planner.services.changes.catalogue_record import is_same_value_of_piece, read_pieces, write_pieces
from planner.services.changes.ensemble_record import (
    is_same_in_ensemble,
    read_ensemble,
    read_met,
    read_person,
    read_section,
    write_ensemble,
    write_met,
    write_person,
    write_section,
)
from planner.services.changes.join_record import is_same_join, read_join, write_join
from planner.services.changes.list_record import read_list, write_list
from planner.services.changes.marks_record import is_same_mark, read_marks, write_marks
from planner.services.changes.people_record import read_joined, write_joined
from planner.services.changes.points_record import is_same_points, read_points, write_points
from planner.services.changes.read_in_record import is_same_filled, read_filled, write_filled
from planner.services.changes.results_record import is_same_result, result_of, result_values
from planner.services.changes.school_file_record import read_school_file, write_school_file
from planner.services.changes.term_record import FIGURES, is_same_value, read_term, write_term
from planner.services.changes.whole_ensemble import is_same_in_whole, read_whole, write_whole
from planner.services.levels.section_levels import follow_levels, refresh_levels, section_evidence
from planner.services.library.on_paper import store_catalogue
from planner.services.ports.files import FileStore
from planner.services.ports.scores import ProfileSource
from planner.services.ports.work import UnitOfWork
from planner.study.on_paper import profile_on_paper


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
        is_same: Whether a value, by name, still says what it said; what only describes is passed over.
        beside: Names of values that are journaled with others, and make no entry alone.
    """

    read: Callable[[UnitOfWork, Subject], Values]
    write: Callable[[UnitOfWork, Subject, Values, Any], None] | None = None
    prepare: Callable[[UnitOfWork, Subject, Values, Means], Any] | None = None
    is_same: Callable[[Any, Any], bool] = eq
    beside: frozenset[str] = frozenset()


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
    store_catalogue(work, [replace(work.pieces.get(subject.id), **others)])
    follow_levels(work, [subject.id])


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
    follow_levels(work)


def _read_instrument(work: UnitOfWork, subject: Subject) -> Values:
    work.pieces.get(subject.id)
    return {"instrument": work.corrections.instruments(subject.id).get(subject.within["part"])}


def _study_with_instrument(work: UnitOfWork, subject: Subject, values: Values, means: Means) -> PieceProfile:
    piece = work.pieces.get(subject.id)
    own = {**work.corrections.instruments(subject.id), subject.within["part"]: values["instrument"]}
    chosen = {part: instrument for part, instrument in own.items() if instrument}
    if piece.is_on_paper:
        return profile_on_paper(piece, chosen)
    return means.studies.study_corrected(means.files.path_of(piece.source), chosen)


def _write_instrument(work: UnitOfWork, subject: Subject, values: Values, profile: PieceProfile) -> None:
    work.corrections.put_instrument(subject.id, subject.within["part"], values["instrument"] or "")
    work.pieces.replace_profile(subject.id, profile)
    follow_levels(work, [subject.id])


def _read_study(work: UnitOfWork, subject: Subject) -> Values:
    piece = work.pieces.get(subject.id)
    return {"study_version": work.pieces.study_version(subject.id), "studied_level": piece.studied_level}


READ_NOTE = "results entered"
"""Note of an exposure that entering results made, and that taking them all back takes back."""


def reading_subject(piece_id: int, title: str, ensemble_id: int, on: date) -> Subject:
    """An ensemble's reading of a piece on a day, as the journal speaks of it.

    Example:
        >>> reading_subject(3, "Rondo", 1, date(2026, 9, 1)).within
        {'ensemble': '1', 'on': '2026-09-01'}
    """
    return Subject("reading", piece_id, title, {"ensemble": str(ensemble_id), "on": on.isoformat()})


def put_result(work: UnitOfWork, subject: Subject, section_id: int, result: Result | None) -> None:
    """Store a result of a reading, or take it out; the piece is met as long as there is one."""
    ensemble_id, on = _reading(subject)
    if result is None:
        work.results.remove(section_id, subject.id, on)
    else:
        work.results.put(result)
    met = Exposure(ensemble_id, subject.id, "read", on, note=READ_NOTE)
    if not any(r.piece_id == subject.id for r in work.results.list_results(ensemble_id, on)):
        work.ensembles.remove_exposure(met)
    elif not any(replace(e, note=READ_NOTE) == met for e in work.ensembles.exposures(ensemble_id)):
        work.ensembles.add_exposure(met)


def _reading(subject: Subject) -> tuple[int, date]:
    return int(subject.within["ensemble"]), date.fromisoformat(subject.within["on"])


def _read_results(work: UnitOfWork, subject: Subject) -> Values:
    work.pieces.get(subject.id)
    ensemble_id, on = _reading(subject)
    names = {section.id: section.name for section in work.ensembles.get(ensemble_id).sections}
    return {
        str(r.section_id): {"section": names[r.section_id], **result_values(r)}
        for r in work.results.list_results(ensemble_id, on)
        if r.piece_id == subject.id
    }


def _write_results(work: UnitOfWork, subject: Subject, values: Values, _prepared: Any) -> None:
    ensemble_id, on = _reading(subject)
    for section, value in values.items():
        result = value and result_of(ensemble_id, int(section), subject.id, on, value)
        put_result(work, subject, int(section), result)
    refresh_levels(work, section_evidence(work, work.ensembles.get(ensemble_id)))


def _read_filled(work: UnitOfWork, subject: Subject) -> Values:
    def results_of(once: UnitOfWork, ensemble_id: int, piece_id: int, on: date) -> Values:
        return _read_results(once, reading_subject(piece_id, "", ensemble_id, on))

    return read_filled(work, subject, results_of)


def _write_filled(work: UnitOfWork, subject: Subject, values: Values, _prepared: Any) -> None:
    def put(work: UnitOfWork, ensemble_id: int, piece_id: int, on: date, own: Values) -> None:
        _write_results(work, reading_subject(piece_id, "", ensemble_id, on), own, None)

    write_filled(work, subject, values, put)


def section_subject(section: Section) -> Subject:
    """A section, as the journal speaks of it."""
    return Subject("section", section.id, section.name)


def _read_piece(work: UnitOfWork, subject: Subject) -> Values:
    return {"file": work.pieces.get(subject.id).source.name}


def _read_file(work: UnitOfWork, subject: Subject) -> Values:
    piece = work.pieces.get(subject.id)
    return {"file": asdict(piece.source), "studied_level": piece.studied_level}


def _is_same_file(one: Any, other: Any) -> bool:
    """A file that lies elsewhere, and a newer study of it, change nothing of what it holds."""
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return bool(one["sha256"] == other["sha256"])
    return not isinstance(one, Mapping) and not isinstance(other, Mapping)


def _study_of_file(work: UnitOfWork, subject: Subject, values: Values, means: Means) -> PieceProfile:
    path = means.files.path_of(SourceFile(**values["file"]))
    return means.studies.study_corrected(path, work.corrections.instruments(subject.id))


def _write_file(work: UnitOfWork, subject: Subject, values: Values, profile: PieceProfile) -> None:
    work.pieces.replace_profile(subject.id, profile, SourceFile(**values["file"]))
    follow_levels(work, [subject.id])


def _read_copies(work: UnitOfWork, subject: Subject) -> Values:
    work.pieces.get(subject.id)
    return dict(work.pieces.copies([subject.id]).get(subject.id, {}))


def _write_copies(work: UnitOfWork, subject: Subject, values: Values, _prepared: Any) -> None:
    for part, copies in values.items():
        work.pieces.put_copies(subject.id, part, copies)


def _read_link(work: UnitOfWork, subject: Subject) -> Values:
    work.pieces.get(subject.id)
    other = work.pieces.links().get(subject.id)
    return {"same_as": None if other is None else {"id": other, "title": work.pieces.get(other).title}}


def _write_link(work: UnitOfWork, subject: Subject, values: Values, _prepared: Any) -> None:
    other = values["same_as"]
    if other is not None:
        work.pieces.get(other["id"])
    work.pieces.put_link(subject.id, None if other is None else other["id"])


def apart_subject(piece: Piece, other: Piece) -> Subject:
    """Two pieces that may be kept apart, as the journal speaks of them."""
    first, second = sorted((piece, other), key=lambda each: each.id)
    return piece_subject(first, other=str(second.id), title=second.title)


def _read_apart(work: UnitOfWork, subject: Subject) -> Values:
    work.pieces.get(subject.id)
    return {"apart": (subject.id, int(subject.within["other"])) in work.likenesses.kept_apart()}


def _write_apart(work: UnitOfWork, subject: Subject, values: Values, _prepared: Any) -> None:
    work.likenesses.keep_apart(subject.id, int(subject.within["other"]), is_apart=values["apart"])


def _is_same_link(one: Any, other: Any) -> bool:
    """A piece's new title changes nothing of the link."""
    return bool((one or {}).get("id") == (other or {}).get("id"))


RECORDS: Mapping[ChangeKind, Record] = {
    ChangeKind.DETAILS: Record(_read_details, _write_details),
    ChangeKind.LEVEL: Record(_read_level, _write_level),
    ChangeKind.INSTRUMENT: Record(_read_instrument, _write_instrument, _study_with_instrument),
    ChangeKind.STUDY: Record(_read_study),
    ChangeKind.RESULTS: Record(_read_results, _write_results, is_same=is_same_result),
    ChangeKind.ATTENDANCE: Record(read_marks, write_marks, is_same=is_same_mark),
    ChangeKind.POINTS: Record(read_points, write_points, is_same=is_same_points),
    ChangeKind.READ_IN: Record(_read_filled, _write_filled, is_same=is_same_filled),
    ChangeKind.SCHOOL_FILE: Record(read_school_file, write_school_file),
    ChangeKind.SECTION: Record(read_section, write_section),
    ChangeKind.ENSEMBLE: Record(read_ensemble, write_ensemble, is_same=is_same_in_ensemble),
    ChangeKind.PERSON: Record(read_person, write_person),
    ChangeKind.PEOPLE_JOINED: Record(read_joined, write_joined),
    ChangeKind.DELETED: Record(lambda _work, _subject: {}),
    ChangeKind.MET: Record(read_met, write_met, is_same=is_same_in_ensemble),
    ChangeKind.WHOLE_ENSEMBLE: Record(read_whole, write_whole, is_same=is_same_in_whole),
    ChangeKind.TERM: Record(read_term, write_term, is_same=is_same_value, beside=frozenset({FIGURES})),
    ChangeKind.CATALOGUE: Record(read_pieces, write_pieces, is_same=is_same_value_of_piece),
    ChangeKind.LIST: Record(read_list, write_list),
    ChangeKind.JOIN: Record(read_join, write_join, is_same=is_same_join),
    ChangeKind.APART: Record(_read_apart, _write_apart),
    ChangeKind.COPIES: Record(_read_copies, _write_copies),
    ChangeKind.LINK: Record(_read_link, _write_link, is_same=_is_same_link),
    ChangeKind.ACCOUNT: Record(read_account, write_account, is_same=is_same_account_value),
    ChangeKind.PASSWORD: Record(read_password_date),
    ChangeKind.PIECE: Record(_read_piece),
    ChangeKind.FILE: Record(_read_file, _write_file, _study_of_file, _is_same_file),
}
"""The kinds of things that can change. What comes later adds its own here."""
