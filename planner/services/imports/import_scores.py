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

from planner.core.change import Author, Change, ChangeKind
from planner.core.piece import Piece, SourceFile
from planner.core.profile import PieceProfile
from planner.core.text import folded, shown
from planner.errors import ConflictError, ExportError, InputError, PlannerError, ScoreReadError
from planner.services.changes.journal import recorded
from planner.services.changes.records import piece_subject
from planner.services.imports.archives import count_scores, unpacked
from planner.services.imports.score_files import (
    SCORE_SUFFIXES,
    Found,
    Refusal,
    ScoreFile,
    find_score_files,
    identify,
    lies_at,
    lies_nowhere,
)
from planner.services.levels.section_levels import follow_levels
from planner.services.library.likenesses import compare_new
from planner.services.ports.files import FileStore
from planner.services.ports.scores import ProfileSource, Progress, Studied
from planner.services.ports.work import OpenWork, UnitOfWork
from planner.services.toolbox import changing
from planner.study.version import STUDY_VERSION

__all__ = ["SCORE_SUFFIXES", "ImportReport", "Log", "Refusal", "import_paths", "lies_nowhere"]

TELL_EVERY = 20
"""Files that are looked at between two words about it (house choice)."""

_LONGEST_STEM = 180
"""Bytes of a file's name that the movements cut out of it keep (house choice: file systems allow 255)."""


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


@dataclass(frozen=True, slots=True)
class Log:
    """Where an import writes down what it does, as it does it.

    Attributes:
        by: Who imports, and when: asked anew for each piece.
        job: The long work it belongs to.
        given: What people call that which was given, such as the name of a folder.
        refuse: Told of each refused file at once, so that nothing is lost when the import is broken off.
        before: Pieces that this very import stored before it was broken off: they count as its own.
    """

    by: Callable[[], Author]
    job: int
    given: str
    refuse: Callable[[Refusal], None]
    before: frozenset[int] = frozenset()


@dataclass
class _Import:
    """The work under way."""

    source: ProfileSource
    files: FileStore
    open_work: OpenWork
    today: date
    tell: Progress
    place: Callable[[Path], str]
    as_one: bool
    log: Log | None
    done: int = 0
    total: int = 0
    added: list[Piece] = field(default_factory=list)
    unchanged: list[Path] = field(default_factory=list)
    refused: list[Refusal] = field(default_factory=list)
    studied_again: list[Piece] = field(default_factory=list)
    replaced: list[Piece] = field(default_factory=list)
    paths_of: dict[str, list[Path]] = field(default_factory=dict)
    reason_of: dict[str, str] = field(default_factory=dict)
    whole: frozenset[str] = frozenset()

    def report(self) -> ImportReport:
        return ImportReport(
            tuple(self.added), tuple(self.unchanged), tuple(self.refused), tuple(self.studied_again),
            tuple(self.replaced),
        )  # fmt: skip

    def refuse(self, *refusals: Refusal) -> None:
        """Note refused files."""
        for refusal in refusals:
            self.refused.append(refusal)
            if self.log is not None:
                self.log.refuse(refusal)

    def step(self, count: int = 0, what: str = "") -> None:
        """Note that so many more files are done."""
        self.done += count
        self.tell(self.done, self.total, what)

    @property
    def outcomes(self) -> int:
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
    log: Log | None = None,
    but: Path | None = None,
) -> ImportReport:
    """Add score files, folders of them and zips of them to the library.

    A file whose content is there with an up-to-date study is skipped. Every other is
    studied, and its piece stored in a transaction of its own as soon as it is
    finished, so that a run broken off leaves the library complete up to there.

    Args:
        paths: Files, folders and zips.
        source: Studies files, away from this process.
        files: Keeps a copy of each file.
        open_work: Opens a transaction.
        today: Date under which new pieces are entered.
        progress: Told how many of all files are done, and the name of the last. What it raises ends the run.
        suffixes: Endings of the files in a folder that are taken for scores.
        place: Where a file lies for good, by which a new export of it is known; empty for nowhere.
        as_one: A file of several movements or tunes stays one piece.
        log: Writes the journal; without it nothing is journaled.
        but: A folder that is not walked into from another: the home of the library.

    Raises:
        ExportError: If the library or the copies cannot be written; what was stored before stays.
    """
    listing = find_score_files(paths, suffixes, but)
    run = _Import(source, files, open_work, today, progress or (lambda *_: None), place, as_one, log)
    expected = [count_scores(archive, suffixes) for archive in listing.archives]
    run.total = len(listing.files) + sum(expected)
    run.refuse(*listing.refused)
    run.step()
    _take_files(run, listing.files)
    for archive, count in zip(listing.archives, expected, strict=True):
        with unpacked(archive, suffixes) as inside:
            run.total += len(inside.files) - count
            run.refuse(*inside.refused)
            _take_files(run, inside.files)
    with changing(open_work) as work:
        compare_new(work)
    return run.report()


def _take_files(run: _Import, found: Sequence[Found]) -> None:
    """Read, study and store some files."""
    fresh = _new_content(run, found)
    with _outcomes(run.source, fresh, run.whole) as outcomes:
        for which, outcome in outcomes:
            file = fresh[which]
            _take(run, file, outcome)
            run.step(len(run.paths_of[file.source.sha256]), shown(file.named.name))


def _new_content(run: _Import, found: Sequence[Found]) -> list[ScoreFile]:
    """The files that must be studied, one for each content; the others are noted in the run."""
    by_hash: dict[str, ScoreFile] = {}
    for number, each in enumerate(found):
        if number % TELL_EVERY == 0:
            run.step(0, shown(each.named.name))
        file = identify(each, run.place)
        if isinstance(file, Refusal):
            run.refuse(file)
            run.done += 1
        elif file.source.sha256 in run.paths_of:
            _take_copy(run, file, is_ahead=file.source.sha256 in by_hash)
        else:
            by_hash[file.source.sha256] = file
            run.paths_of[file.source.sha256] = [file.named]
    with changing(run.open_work) as work:
        known = dict(work.pieces.find_studied(by_hash, STUDY_VERSION))
        own = {sha256 for sha256, piece_id in known.items() if _is_own(run, [piece_id])}
        now_at = [by_hash[sha256].source for sha256 in known]
        pieces = _cut_before(work, by_hash.keys() - known.keys())
        for sha256, sources in pieces.items():
            now_at += [_lying_in(by_hash[sha256].source, source) for source in sources]
            ids = work.pieces.find_studied([source.sha256 for source in sources], STUDY_VERSION).values()
            own |= {sha256} if _is_own(run, ids) else set()
        work.pieces.remember_sources([source for source in now_at if source.path])
        there = known.keys() | pieces.keys()
        fresh = [file for sha256, file in by_hash.items() if sha256 not in there]
        run.whole = frozenset(
            file.source.sha256 for file in fresh if run.as_one or _is_one_piece(work, file.source)
        )
    for sha256 in by_hash.keys() & there:
        run.unchanged += run.paths_of[sha256][1 if sha256 in own else 0 :]
        run.done += len(run.paths_of[sha256])
    run.unchanged.sort(key=_order(found))
    run.step()
    return fresh


def _take_copy(run: _Import, file: ScoreFile, *, is_ahead: bool) -> None:
    """A second file of one content in the same import: what comes of the first comes of it."""
    if is_ahead:
        run.paths_of[file.source.sha256].append(file.named)
        return
    run.done += 1
    _settle_copies(run, file.source.sha256, [file.named])


def _settle_copies(run: _Import, sha256: str, copies: Sequence[Path]) -> None:
    """Note files whose content was dealt with: refused as it was refused, or already here."""
    why = run.reason_of.get(sha256)
    if why is None:
        run.unchanged += copies
        return
    first = shown(run.paths_of[sha256][0].name)
    run.refuse(
        *(
            Refusal(path, f"{shown(path.name)} has the same content as {first}, which was refused: {why}")
            for path in copies
        )
    )


def _order(found: Sequence[Found]) -> Callable[[Path], int]:
    """The order in which files were found, those of earlier lists first."""
    places = {each.named: number for number, each in enumerate(found)}
    return lambda path: places.get(path, -1)


def _is_own(run: _Import, piece_ids: Collection[int]) -> bool:
    """Whether this very import stored some of those pieces before it was broken off."""
    return run.log is not None and not run.log.before.isdisjoint(piece_ids)


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
    sha256 = file.source.sha256
    if isinstance(outcome, PlannerError):
        _refuse_file(run, file, outcome)
        _settle_copies(run, sha256, run.paths_of[sha256][1:])
        return
    before, pieces = run.outcomes, len({studied.data for studied in outcome})
    with TemporaryDirectory() as folder:
        for number, studied in enumerate(outcome, start=1):
            if studied.data is None:
                _take_piece(run, file, studied, file)
            else:
                cut = _cut_out(file, studied.data, Path(folder), number, pieces)
                _take_piece(run, cut, studied, file)
    settled = run.paths_of[sha256]
    _settle_copies(run, sha256, settled if run.outcomes == before else settled[1:])


def _refuse_file(run: _Import, file: ScoreFile, error: PlannerError) -> None:
    """Note why a file did not become a piece, under the name that people know it by."""
    name, reason = shown(file.named.name), str(error)
    if isinstance(error, ScoreReadError):
        reason = f"{error.reason}. {error.hint}".strip()
        run.refuse(Refusal(file.named, f"{name}: {reason}"))
    else:
        run.refuse(Refusal(file.named, reason))
    run.reason_of[file.source.sha256] = reason


def _cut_out(file: ScoreFile, data: bytes, folder: Path, number: int, pieces: int) -> ScoreFile:
    """A movement or tune as a file, named after the whole and its place in it."""
    stem = shown(file.named.stem).encode()[:_LONGEST_STEM].decode(errors="ignore")
    path = folder / f"{stem}-{number}.musicxml"
    try:
        path.write_bytes(data)
    except OSError as error:
        raise ExportError(path, (error.strerror or "no access").lower()) from error
    found = identify(Found(path, path), lies_nowhere)
    if isinstance(found, Refusal):
        raise ExportError(path, "it cannot be read back")
    whole = file.source
    source = replace(found.source, whole_sha256=whole.sha256, whole_pieces=pieces)
    return ScoreFile(path, _lying_in(whole, source), file.named)


def _take_piece(run: _Import, file: ScoreFile, studied: Studied, given: ScoreFile) -> None:
    """Keep and store one piece; ``given`` is the file that the director gave."""
    try:
        run.files.keep(file.path, file.source)
        run.files.keep_clean(file.source, studied.clean)
    except InputError as error:
        _refuse_file(run, given, error)
        return
    try:
        _store(run, file, studied.profile)
    except ConflictError:
        if not _is_there(run, file):
            raise  # else another window added the same file at the same moment
    except ScoreReadError as error:
        _refuse_file(run, given, error)


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
            with _journaled(run, work, ChangeKind.STUDY, there):
                work.pieces.replace_profile(piece_id, profile)
        elif before is not None:
            piece_id, found = before.id, run.replaced
            with _journaled(run, work, ChangeKind.FILE, before):
                work.pieces.replace_profile(piece_id, profile, file.source)
        else:
            piece_id, found = work.pieces.add(file.source, profile, run.today), run.added
            _journal_new(run, work, piece_id)
        follow_levels(work, [piece_id])
        piece = work.pieces.get(piece_id)
    found.append(piece)


@contextmanager
def _journaled(run: _Import, work: UnitOfWork, kind: ChangeKind, piece: Piece) -> Iterator[None]:
    """Journal what the block changes in a piece that was there, if this import keeps a journal."""
    if run.log is None:
        yield
        return
    with recorded(work, kind, piece_subject(piece), run.log.by(), job=run.log.job):
        yield


def _journal_new(run: _Import, work: UnitOfWork, piece_id: int) -> None:
    """Journal that a piece is new in the library."""
    if run.log is not None:
        piece = work.pieces.get(piece_id)
        after = {"file": piece.source.name, "given": run.log.given}
        before = dict.fromkeys(after)
        work.changes.add(
            Change(0, ChangeKind.PIECE, piece_subject(piece), before, after, run.log.by(), job=run.log.job)
        )


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
    if before is None or before.source.sha256 in run.paths_of:
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
