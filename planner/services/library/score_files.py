"""Which files of the given paths are scores, and what each holds."""

import hashlib
import os
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from planner.core.piece import SourceFile

SCORE_SUFFIXES = (".musicxml", ".xml", ".mxl", ".krn", ".abc", ".mei")
"""Endings, in lower case, of the files in a folder that are taken for scores."""

_BLOCK_BYTES = 1 << 20


@dataclass(frozen=True, slots=True)
class Refusal:
    """A file that did not become a piece, and why, in one sentence."""

    path: Path
    sentence: str


@dataclass(frozen=True, slots=True)
class ScoreFile:
    """A file on disk with what identifies it."""

    path: Path
    source: SourceFile


def find_score_files(
    paths: Sequence[Path], suffixes: Collection[str] = SCORE_SUFFIXES
) -> tuple[list[Path], list[Refusal]]:
    """The score files among paths, folders walked through, in order and each once.

    Hidden files and folders (names that begin with a dot) inside a folder are
    passed over, and so are files of other kinds. A file named outright is always
    taken: whether it is a score, and if not why, is for the reader to say.

    Args:
        paths: Files and folders.
        suffixes: Endings that count inside a folder, in lower case.
    """
    found: dict[Path, Path] = {}
    refused: list[Refusal] = []
    for path in paths:
        if path.is_dir():
            for inside in _walk(path, suffixes, refused):
                found.setdefault(inside.resolve(), inside)
        elif not path.exists():
            refused.append(Refusal(path, f"There is no file or folder {path}."))
        else:
            found.setdefault(path.resolve(), path)
    return list(found.values()), refused


def lies_at(path: Path) -> str:
    """Where a file lies, for good: its absolute path."""
    return str(path.resolve())


def lies_nowhere(_path: Path) -> str:
    """For files that only pass through, such as an upload."""
    return ""


def identify(path: Path, place: Callable[[Path], str] = lies_at) -> ScoreFile | Refusal:
    """Hash a file and say where it lies; a refusal when it cannot be opened."""
    content = hashlib.sha256()
    size = 0
    try:
        with path.open("rb") as file:
            while block := file.read(_BLOCK_BYTES):
                content.update(block)
                size += len(block)
    except OSError as error:
        return Refusal(path, f"{path.name} cannot be opened: {(error.strerror or 'no access').lower()}.")
    where, name = (words.encode("utf-8", "replace").decode("utf-8") for words in (place(path), path.name))
    return ScoreFile(path, SourceFile(content.hexdigest(), name, size, path.suffix.lower(), where))


def _walk(folder: Path, suffixes: Collection[str], refused: list[Refusal]) -> Iterator[Path]:
    def cannot_enter(error: OSError) -> None:
        where = Path(error.filename or folder)
        refused.append(Refusal(where, f"The folder {where} cannot be opened: {str(error.strerror).lower()}."))

    for place, folders, files in os.walk(folder, onerror=cannot_enter):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        for name in sorted(files):
            if not name.startswith(".") and Path(name).suffix.lower() in suffixes:
                yield Path(place) / name
