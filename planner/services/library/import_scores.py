"""Adding score files to the library: what is new is studied, each piece stored as soon as it is finished.

A file of several movements or tunes gives as many pieces, each with a MusicXML file of its own cut out of it.
One that is in the library as a single piece already stays one, with its history.
"""

from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

from planner.core.piece import Piece, SourceFile
from planner.core.profile import PieceProfile
from planner.core.text import folded
from planner.errors import ConflictError, ExportError, InputError, PlannerError, ScoreReadError
from planner.services.levels.section_levels import follow_levels
from planner.services.library.likenesses import compare_new
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
        unchanged: Files whose content, every piece of it, is in the library already, under any name.
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
    whole: frozenset[str] = frozenset()

    def report(self) -> ImportReport:
        return ImportReport(
            tuple(self.added), tuple(self.unchanged), tuple(self.refused), tuple(self.studied_again),
            tuple(self.replaced),
        )  # fmt: skip

    @property
    def done(self) -> int:
        """How many pieces or files came of it that are told of by themselves."""
        return len(self.added) + len(self.refused) + len(self.studied_again) + len(self.replaced)


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
    as_one: bool = False,
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
        as_one: A file of several movements or tunes stays one piece.

    Raises:
        ExportError: If the library or the copies cannot be written; what was stored before stays.
    """
    run = _Import(source, files, open_work, today)
    found, refused = find_score_files(paths, suffixes)
    run.refused += refused
    fresh = _new_content(run, found, place, as_one=as_one)
    done, total = len(found) - len(fresh), len(found)
    tell = progress or (lambda *_: None)
    tell(done, total, "")
    with _outcomes(source, fresh, run.whole) as outcomes:
        for which, outcome in outcomes:
            _take(run, fresh[which], outcome)
            done += 1
            tell(done, total, fresh[which].source.name)
    with changing(open_work) as work:
        compare_new(work)
    return run.report()


def _new_content(
    run: _Import, found: Sequence[Path], place: Callable[[Path], str], *, as_one: bool
) -> list[ScoreFile]:
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
        known = set(work.pieces.find_studied(by_hash, STUDY_VERSION))
        now_at = [by_hash[sha256].source for sha256 in known]
        pieces = _cut_before(work, set(by_hash) - known)
        for sha256, sources in pieces.items():
            now_at += [_lying_in(by_hash[sha256].source, source) for source in sources]
        known |= pieces.keys()
        work.pieces.remember_sources([source for source in now_at if source.path])
        fresh = [file for sha256, file in by_hash.items() if sha256 not in known]
        run.whole = frozenset(
            file.source.sha256 for file in fresh if as_one or _is_one_piece(work, file.source)
        )
    run.unchanged += [by_hash[sha256].path for sha256 in known]
    run.unchanged.sort(key={path: place for place, path in enumerate(found)}.__getitem__)
    return fresh


def _cut_before(work: UnitOfWork, sha256s: Collection[str]) -> dict[str, list[SourceFile]]:
    """What was cut out of those contents of which every piece is there with an up-to-date study."""
    pieces: dict[str, list[SourceFile]] = {}
    for source in work.pieces.cut_from(sha256s, STUDY_VERSION):
        pieces.setdefault(source.whole_sha256, []).append(source)
    return {sha256: cut for sha256, cut in pieces.items() if len(cut) == cut[0].whole_pieces}


def _lying_in(whole: SourceFile, piece: SourceFile) -> SourceFile:
    """A piece cut out of a file that lies where it lies now."""
    return replace(piece, path=f"{whole.path}#{piece.name}" if whole.path else "")


def _is_one_piece(work: UnitOfWork, source: SourceFile) -> bool:
    """Whether a file is in the library as a single piece: its content, or an older export of it."""
    return (
        work.pieces.find_by_hash(source.sha256) is not None
        or work.pieces.find_by_path(source.path) is not None
    )


@contextmanager
def _outcomes(
    source: ProfileSource, files: Sequence[ScoreFile], whole: Collection[str]
) -> Iterator[Iterator[tuple[int, Sequence[Studied] | PlannerError]]]:
    """The studies as they finish; when we stop early the work still running is ended."""
    stay_one = [at for at, file in enumerate(files) if file.source.sha256 in whole]
    outcomes = source.study_pieces([file.path for file in files], stay_one) if files else iter(())
    try:
        yield outcomes
    finally:
        close = getattr(outcomes, "close", None)
        if close is not None:
            close()


def _take(run: _Import, file: ScoreFile, outcome: Sequence[Studied] | PlannerError) -> None:
    if isinstance(outcome, PlannerError):
        run.refused.append(Refusal(file.path, str(outcome)))
        return
    before, pieces = run.done, len({studied.data for studied in outcome})
    with TemporaryDirectory() as folder:
        for number, studied in enumerate(outcome, start=1):
            if studied.data is None:
                _take_piece(run, file, studied, file.path)
            else:
                cut = _cut_out(file, studied.data, Path(folder), number, pieces)
                _take_piece(run, cut, studied, file.path)
    if run.done == before:
        run.unchanged.append(file.path)


def _cut_out(file: ScoreFile, data: bytes, folder: Path, number: int, pieces: int) -> ScoreFile:
    """A movement or tune as a file, named after the whole and its place in it."""
    path = folder / f"{file.path.stem}-{number}.musicxml"
    try:
        path.write_bytes(data)
    except OSError as error:
        raise ExportError(path, (error.strerror or "no access").lower()) from error
    found = identify(path, lies_nowhere)
    if isinstance(found, Refusal):
        raise ExportError(path, "it cannot be read back")
    whole = file.source
    source = replace(found.source, whole_sha256=whole.sha256, whole_pieces=pieces)
    return ScoreFile(path, _lying_in(whole, source))


def _take_piece(run: _Import, file: ScoreFile, studied: Studied, named: Path) -> None:
    """Keep and store one piece; ``named`` is the file that the director gave."""
    try:
        run.files.keep(file.path, file.source)
        run.files.keep_clean(file.source, studied.clean)
    except InputError as error:
        run.refused.append(Refusal(named, str(error)))
        return
    try:
        _store(run, file, studied.profile)
    except ConflictError:
        if not _is_there(run, file):
            raise  # else another window added the same file at the same moment
    except ScoreReadError as error:
        run.refused.append(Refusal(named, str(error)))


def _store(run: _Import, file: ScoreFile, profile: PieceProfile) -> None:
    if _is_there(run, file):
        if file.source.whole_sha256:
            with changing(run.open_work) as work:
                work.pieces.remember_sources([file.source])
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
        follow_levels(work, [piece_id])
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
