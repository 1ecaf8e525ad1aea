"""Copying a SQLite library that is in use, looking whether it is sound, and putting another in its place."""

import sqlite3
import time
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from planner.adapters.db.engine import WAY_BACK, make_engine, url_of
from planner.adapters.db.migrate import upgrade
from planner.core.piece import ON_PAPER
from planner.errors import ConflictError, DamagedHomeError, ExportError, ForeignHomeError

BESIDE = ("-wal", "-shm", "-journal")
"""Endings of the files that SQLite keeps beside a database."""

_PATIENCE_S = 30.0
"""How long to wait for others to end their writing before their library is replaced (house choice)."""


@dataclass(frozen=True, slots=True)
class LibraryFacts:
    """Of a sound library.

    Attributes:
        pieces: How many pieces it holds.
        scores: Stored name to given name of each score file; a piece on paper has none.
    """

    pieces: int
    scores: dict[str, str]


def copy_library(library: Path, copy: Path) -> LibraryFacts:
    """Copy a library that may be in use, and look whether the copy is sound.

    Raises:
        DamagedHomeError: If it is damaged or is no database.
        ForeignHomeError: If it is another program's.
        ExportError: If the copy cannot be written.
    """
    try:
        with (
            closing(sqlite3.connect(f"{library.absolute().as_uri()}?mode=rw", uri=True)) as source,
            closing(sqlite3.connect(copy)) as target,
        ):
            source.backup(target)
            target.execute("PRAGMA journal_mode=DELETE")
            return _facts(target, library)
    except sqlite3.DatabaseError as error:
        if any(sign in str(error) for sign in ("full", "readonly", "unable to open")):
            raise ExportError(copy.parent.parent, str(error)) from error
        raise DamagedHomeError(library, "is damaged or is not a library", hint=WAY_BACK) from error


def make_ready(library: Path, place: object) -> LibraryFacts:
    """Look whether an unpacked library is sound, and bring its tables up to date.

    Args:
        library: The file, which nobody else has open.
        place: What it is called where something is wrong with it.

    Raises:
        HomeError: If it is damaged, no library, or of a newer program.
    """
    try:
        with closing(sqlite3.connect(library)) as connection:
            _facts(connection, place)
    except sqlite3.DatabaseError as error:
        raise DamagedHomeError(place, "is damaged or is not a library") from error
    engine = make_engine(url_of(library))
    try:
        upgrade(engine)
    finally:
        engine.dispose()
    with closing(sqlite3.connect(library)) as connection:
        connection.execute("PRAGMA journal_mode=DELETE")
        return _facts(connection, place)


def _facts(connection: sqlite3.Connection, place: object) -> LibraryFacts:
    if connection.execute("PRAGMA integrity_check").fetchone() != ("ok",):
        raise DamagedHomeError(place, "is damaged", hint=WAY_BACK)
    if connection.execute("PRAGMA foreign_key_check").fetchone() is not None:
        raise DamagedHomeError(place, "holds entries that refer to nothing", hint=WAY_BACK)
    names = {name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    if not names >= {"alembic_version", "source_files"}:
        raise ForeignHomeError(place, "is a database of another program")
    rows = connection.execute("SELECT sha256, suffix, name FROM source_files").fetchall()
    scores = {f"{sha256}{suffix}": name for sha256, suffix, name in rows}
    return LibraryFacts(len(scores), {at: name for at, name in scores.items() if not at.startswith(ON_PAPER)})


def replace_content(library: Path, incoming: Path) -> None:
    """Give a library that others may have open the content of another, in one transaction.

    Raises:
        ConflictError: If others go on writing for too long.
    """
    give_up = time.monotonic() + _PATIENCE_S

    def on_wait(status: int, _left: int, _total: int) -> None:
        if status in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED) and time.monotonic() > give_up:
            raise ConflictError(
                "The library is being written to by another window or command.", hint="Try again in a moment."
            )

    with (
        closing(sqlite3.connect(incoming)) as source,
        closing(sqlite3.connect(library, timeout=1.0)) as target,
    ):
        target.execute("PRAGMA journal_mode=WAL")
        target.execute("PRAGMA synchronous=FULL")
        source.backup(target, progress=on_wait, sleep=0.1)
