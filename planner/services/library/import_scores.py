"""Adding score files to the library: what is new is studied, each piece stored as soon as it is finished."""

from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from planner.core.piece import Piece
from planner.core.profile import PieceProfile
from planner.core.text import folded
from planner.errors import ConflictError, InputError, PlannerError, ScoreReadError
from planner.services.levels.in_force import index_levels
from planner.services.library.score_files import (
    SCORE_SUFFIXES,
    Refusal,
    ScoreFile,
    find_score_files,
    identify,
    lies_at,
    lies_nowhere,
)
from planner.services.ports import FileStore, OpenWork, ProfileSource, Progress, Studied, UnitOfWork
from planner.services.toolbox import changing
from planner.study.version import STUDY_VERSION

__all__ = ["SCORE_SUFFIXES", "ImportReport", "Refusal", "import_paths", "lies_nowhere"]


@dataclass(frozen=True, slots=True)
class ImportReport:
    """What came of an import.

    Attributes:
        added: New pieces, in the order they were finished.
        unchanged: Files whose content is in the library already, under this name or another.
        refused: Files that did not become pieces, each with the reason.
        studied_again: Pieces that were there with a study of an older version, now renewed.
        replaced: Pieces whose file was exported anew: the same piece at the same place, with other content.
    """

    added: tuple[Piece, ...] = ()
    unchanged: tuple[Path, ...] = ()
    refused: tuple[Refusal, ...] = ()
    studied_again: tuple[Piece, ...] = ()
    replaced: tuple[Piece, ...] = ()


@dataclass
class _Import:
    """The work under way."""

    source: ProfileSource
    files: FileStore
    open_work: OpenWork
    today: date
    added: list[Piece] = field(default_factory=list)
    unchanged: list[Path] = field(default_factory=list)
    refused: list[Refusal] = field(default_factory=list)
    studied_again: list[Piece] = field(default_factory=list)
    replaced: list[Piece] = field(default_factory=list)
    contents: frozenset[str] = frozenset()

    def report(self) -> ImportReport:
        return ImportReport(
            tuple(self.added), tuple(self.unchanged), tuple(self.refused), tuple(self.studied_again),
            tuple(self.replaced),
        )  # fmt: skip


def import_paths(
    paths: Sequence[Path],
    *,
    source: ProfileSource,
    files: FileStore,
    open_work: OpenWork,
    today: date,
    progress: Progress | None = None,
    suffixes: Collection[str] = SCORE_SUFFIXES,
    place: Callable[[Path], str] = lies_at,
) -> ImportReport:
    """Add score files and folders of them to the library.

    A file whose content is there with an up-to-date study is skipped. Every other is
    studied, and its piece stored in a transaction of its own as soon as it is
    finished, so that a run broken off leaves the library complete up to there.

    Args:
        paths: Files and folders.
        source: Studies files, away from this process.
        files: Keeps a copy of each file.
        open_work: Opens a transaction.
        today: Date under which new pieces are entered.
        progress: Told how many of all files are done, and the name of the last.
        suffixes: Endings of the files in a folder that are taken for scores.
        place: Where a file lies for good, by which a new export of it is known; empty for nowhere.

    Raises:
        ExportError: If the library or the copies cannot be written; what was stored before stays.
    """
    run = _Import(source, files, open_work, today)
    found, refused = find_score_files(paths, suffixes)
    run.refused += refused
    fresh = _new_content(run, found, place)
    done, total = len(found) - len(fresh), len(found)
    tell = progress or (lambda *_: None)
    tell(done, total, "")
    with _outcomes(source, [file.path for file in fresh]) as outcomes:
        for which, outcome in outcomes:
            _take(run, fresh[which], outcome)
            done += 1
            tell(done, total, fresh[which].source.name)
    return run.report()


def _new_content(run: _Import, found: Sequence[Path], place: Callable[[Path], str]) -> list[ScoreFile]:
    """The files that must be studied, one for each content; the others are noted in the run."""
    by_hash: dict[str, ScoreFile] = {}
    for path in found:
        file = identify(path, place)
        if isinstance(file, Refusal):
            run.refused.append(file)
        elif file.source.sha256 in by_hash:
            run.unchanged.append(path)
        else:
            by_hash[file.source.sha256] = file
    run.contents = frozenset(by_hash)
    with changing(run.open_work) as work:
        known = work.pieces.find_studied(by_hash, STUDY_VERSION)
        paths = {sha256: by_hash[sha256].source.path for sha256 in known}
        work.pieces.remember_paths({sha256: path for sha256, path in paths.items() if path})
    run.unchanged += [file.path for sha256, file in by_hash.items() if sha256 in known]
    run.unchanged.sort(key={path: place for place, path in enumerate(found)}.__getitem__)
    return [file for sha256, file in by_hash.items() if sha256 not in known]


@contextmanager
def _outcomes(
    source: ProfileSource, paths: Sequence[Path]
) -> Iterator[Iterator[tuple[int, Studied | PlannerError]]]:
    """The studies as they finish; when we stop early the work still running is ended."""
    outcomes = source.study_files(paths) if paths else iter(())
    try:
        yield outcomes
    finally:
        close = getattr(outcomes, "close", None)
        if close is not None:
            close()


def _take(run: _Import, file: ScoreFile, outcome: Studied | PlannerError) -> None:
    if isinstance(outcome, PlannerError):
        run.refused.append(Refusal(file.path, str(outcome)))
        return
    try:
        run.files.keep(file.path, file.source)
        run.files.keep_clean(file.source, outcome.clean)
    except InputError as error:
        run.refused.append(Refusal(file.path, str(error)))
        return
    try:
        _store(run, file, outcome.profile)
    except ConflictError:
        if not _is_there(run, file):
            raise
        run.unchanged.append(file.path)  # another window added the same file at the same moment
    except ScoreReadError as error:
        run.refused.append(Refusal(file.path, str(error)))


def _store(run: _Import, file: ScoreFile, profile: PieceProfile) -> None:
    if _is_there(run, file):
        run.unchanged.append(file.path)
        return
    profile = _with_kept_instruments(run, file, profile)
    with changing(run.open_work) as work:
        there = work.pieces.find_by_hash(file.source.sha256)
        before = None if there else _older_export(run, work, file, profile)
        if there is not None:
            piece_id, found = there.id, run.studied_again
            work.pieces.replace_profile(piece_id, profile)
        elif before is not None:
            piece_id, found = before.id, run.replaced
            work.pieces.replace_profile(piece_id, profile, file.source)
        else:
            piece_id, found = work.pieces.add(file.source, profile, run.today), run.added
        index_levels(work, [piece_id])
        piece = work.pieces.get(piece_id)
    if before is not None:
        run.files.remove(before.source)
    found.append(piece)


def _with_kept_instruments(run: _Import, file: ScoreFile, profile: PieceProfile) -> PieceProfile:
    """The study of a piece that is there already, with the instruments its director has set by hand.

    Raises:
        ScoreReadError: If the file can no longer be read.
    """
    with run.open_work() as work:
        there = work.pieces.find_by_hash(file.source.sha256) or _older_export(run, work, file, profile)
        instruments = work.corrections.instruments(there.id) if there else {}
    return run.source.study_corrected(file.path, instruments) if instruments else profile


def _older_export(run: _Import, work: UnitOfWork, file: ScoreFile, profile: PieceProfile) -> Piece | None:
    """The piece that a file is a new export of: read from the same path, same title and composer.

    Who has met it, its results and its corrections then stay with it. When the old
    content lies elsewhere among the files, it stays a piece of its own.
    """
    before = work.pieces.find_by_path(file.source.path)
    if before is None or before.source.sha256 in run.contents:
        return None
    printed = work.pieces.outlines([before.id]).get(before.id)
    titles = {before.title, printed.title if printed else before.title}
    composers = {before.composer, printed.composer if printed else before.composer}
    is_same = folded(profile.title) in map(folded, titles) and folded(profile.composer) in map(
        folded, composers
    )
    return before if is_same and profile.title.strip() else None


def _is_there(run: _Import, file: ScoreFile) -> bool:
    with run.open_work() as work:
        return bool(work.pieces.find_studied([file.source.sha256], STUDY_VERSION))
