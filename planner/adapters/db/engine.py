"""Opening a connection: what is switched on for each, and what a fault is called in words."""

import sqlite3
import time
from pathlib import Path
from typing import Any

from sqlalchemy import Engine, create_engine, event
from sqlalchemy.engine import URL, ExceptionContext, make_url
from sqlalchemy.exc import ArgumentError, IntegrityError, NoSuchModuleError, OperationalError

from planner.errors import ConflictError, DamagedHomeError, ExportError, HomeError, PlannerError

BUSY_TIMEOUT_S = 60.0
"""How long a write waits for others before it gives up: ten commands that begin at once on a new home, each
making or looking through its tables, take 20 s of a slow machine (house choice)."""

WAY_BACK = (
    "Nothing in it was changed. Go back to a backup, on the page Backups or by command:"
    " “planner backup --list” shows what is there, “planner restore NAME” goes back."
)
"""What to do about a library that cannot be used."""

_FULL = ("disk is full", "database or disk is full", "No space left")
_READ_ONLY = ("readonly database", "read-only", "unable to open database file", "disk I/O error")
_BROKEN = ("not a database", "malformed", "file is encrypted", "no such table", "no such column")
_BUSY = ("database is locked", "database table is locked", "could not obtain lock", "lock timeout")


def url_of(url_or_path: str | Path) -> URL:
    """The database address of a file path, or of an address given as one (it holds ``://``).

    Raises:
        HomeError: If it cannot be read as an address.
    """
    text = str(url_or_path)
    if "://" not in text:
        return URL.create("sqlite", database=str(Path(text).absolute()))
    try:
        url = make_url(text)
    except (ArgumentError, ValueError) as error:
        raise HomeError(
            "address", "cannot be read", hint="Write it as postgresql+psycopg://user@host/name."
        ) from error
    if url.get_backend_name() in ("postgresql", "postgres") and url.drivername in ("postgresql", "postgres"):
        return url.set(drivername="postgresql+psycopg")
    return url


def place_of(url: URL) -> str:
    """How the library is named to a person: its file, or its address without the password."""
    if url.get_backend_name() == "sqlite":
        return url.database or "in memory"
    return url.render_as_string(hide_password=True)


def make_engine(url: URL, *, for_migration: bool = False) -> Engine:
    """An engine whose faults are sentences.

    On SQLite each connection has foreign keys on, waits for other writers, keeps a
    write-ahead log, overwrites what is deleted, and takes the write lock with its first write
    (``BEGIN IMMEDIATE``), so that two writers queue instead of failing half-way.

    Args:
        url: Where.
        for_migration: Foreign keys off and explicit transactions that also hold table changes.

    Raises:
        HomeError: If the driver for the address is not installed.
    """
    is_sqlite = url.get_backend_name() == "sqlite"
    arguments: dict[str, Any] = {}
    if is_sqlite:
        arguments = {
            "timeout": BUSY_TIMEOUT_S,
            "isolation_level": None if for_migration else "IMMEDIATE",
        }
    try:
        engine = create_engine(url, connect_args=arguments, hide_parameters=True)  # no names in a log
    except (NoSuchModuleError, ImportError) as error:
        raise HomeError(
            place_of(url), f"needs the driver {url.drivername}, which is not installed",
            hint="Install it beside this program, for example with pip install 'psycopg[binary]'.",
        ) from error  # fmt: skip
    if is_sqlite:
        _prepare_sqlite(engine, for_migration=for_migration)
    _name_faults(engine, place_of(url))
    return engine


def _prepare_sqlite(engine: Engine, *, for_migration: bool) -> None:
    @event.listens_for(engine, "connect")
    def on_connect(connection: sqlite3.Connection, _record: object) -> None:
        connection.execute(f"PRAGMA busy_timeout={int(BUSY_TIMEOUT_S * 1000)}")
        _keep_log(connection)
        connection.execute(f"PRAGMA foreign_keys={'OFF' if for_migration else 'ON'}")
        connection.execute("PRAGMA synchronous=FULL")
        connection.execute("PRAGMA secure_delete=ON")

    if for_migration:

        @event.listens_for(engine, "begin")
        def on_begin(connection: Any) -> None:
            connection.exec_driver_sql("BEGIN IMMEDIATE")


def _keep_log(connection: sqlite3.Connection) -> None:
    """Switch the write-ahead log on; while another process makes the file this can be refused at once."""
    give_up = time.monotonic() + BUSY_TIMEOUT_S
    while connection.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
        try:
            connection.execute("PRAGMA journal_mode=WAL")
        except sqlite3.OperationalError as error:
            if "locked" not in str(error) or time.monotonic() > give_up:
                raise
            time.sleep(0.02)


def _name_faults(engine: Engine, place: str) -> None:
    @event.listens_for(engine, "handle_error", retval=True)
    def on_error(context: ExceptionContext) -> BaseException | None:
        return named_fault(context.sqlalchemy_exception or context.original_exception, place)


def named_fault(error: BaseException, place: str) -> PlannerError | None:
    """The sentence for a database fault, or None for one that is a mistake in the program."""
    words = str(getattr(error, "orig", None) or error)
    if isinstance(error, IntegrityError):
        return ConflictError(
            "That is already in the library, or something in it still refers to it.",
            hint="Look at what is there, then try again.",
        )
    if any(sign in words for sign in _FULL):
        return ExportError(place, "the disk is full")
    if any(sign in words for sign in _READ_ONLY):
        return ExportError(place, "the folder or the file cannot be written to")
    if any(sign in words for sign in _BROKEN):
        return DamagedHomeError(place, "is damaged or is not a library", hint=WAY_BACK)
    if any(sign in words for sign in _BUSY):
        return ConflictError(
            "The library is being written to by another window or command.", hint="Try again in a moment."
        )
    if isinstance(error, OperationalError) and "connection" in words.casefold():
        return HomeError(place, "cannot be reached", hint="Check that its server runs and the address.")
    return None
