"""Adding a file that holds several movements or tunes as separate pieces."""

from collections.abc import Callable, Sequence
from contextlib import ExitStack
from dataclasses import replace
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

from planner.core.piece import Piece
from planner.errors import PlannerError
from planner.services.library.import_scores import ImportReport, import_paths
from planner.services.library.score_files import Refusal, find_score_files, lies_at
from planner.services.ports import CutPiece, FileStore, OpenWork, ProfileSource, Progress, UnitOfWork
from planner.wording.issues import issue_sentence

Cutter = Callable[[Path], Sequence[CutPiece]]
"""Cuts a score file into its pieces, or raises a ``PlannerError``."""


def import_split(
    paths: Sequence[Path],
    *,
    cutter: Cutter,
    source: ProfileSource,
    files: FileStore,
    open_work: OpenWork,
    today: date,
    progress: Progress | None = None,
) -> ImportReport:
    """Add score files and folders of them, each movement or tune as a piece of its own.

    A file with one piece is added as it is. Otherwise as ``import_paths``; a movement
    cut out again has the same content, so adding a file twice adds nothing twice.

    Raises:
        ExportError: If the library or the copies cannot be written; what was stored before stays.
    """
    found, refused = find_score_files(paths)
    whole_of: dict[Path, Path] = {}
    with ExitStack() as stack:
        for path in found:
            try:
                pieces = cutter(path)
            except PlannerError as error:
                refused.append(Refusal(path, str(error)))
                continue
            if len(pieces) == 1:
                whole_of[path] = path
            else:
                folder = Path(stack.enter_context(TemporaryDirectory()))
                whole_of |= dict.fromkeys(_write(pieces, path, folder), path)
        report = import_paths(
            list(whole_of),
            source=source,
            files=files,
            open_work=open_work,
            today=today,
            progress=progress,
            place=lambda path: _place(path, whole_of[path]),
        )
    of_parts = [replace(refusal, path=whole_of[refusal.path]) for refusal in report.refused]
    unchanged = tuple(dict.fromkeys(whole_of[path] for path in report.unchanged))
    return replace(report, refused=(*refused, *of_parts), unchanged=unchanged)


def _place(path: Path, whole: Path) -> str:
    """Where a cut-out piece lies: in the whole file, under its own name."""
    return lies_at(path) if path == whole else f"{lies_at(whole)}#{path.name}"


def list_holding_several(work: UnitOfWork, pieces: Sequence[Piece]) -> list[str]:
    """A sentence for each of the pieces whose file holds several, added as one."""
    profiles = work.pieces.profiles([piece.id for piece in pieces])
    return [
        f"{piece.source.name}: {issue_sentence(issue)}"
        for piece in pieces
        for issue in profiles[piece.id].issues
        if issue.slug.startswith("several-")
    ]


def _write(pieces: Sequence[CutPiece], path: Path, folder: Path) -> list[Path]:
    """Each piece as a file named after the whole and its place in it."""
    written = []
    for number, piece in enumerate(pieces, start=1):
        target = folder / f"{path.stem}-{number}.musicxml"
        target.write_bytes(piece.data)
        written.append(target)
    return written
