"""Writing a database anew so that nothing of what was deleted is left in its files."""

import sqlite3

from sqlalchemy import Engine, text
from sqlalchemy.engine import Connection

from planner.adapters.db.engine import BUSY_TIMEOUT_S, named_fault, place_of
from planner.errors import ConflictError


def write_anew(engine: Engine) -> None:
    """Leave nothing of deleted rows in the files of a library.

    On SQLite the database file is written anew from what it holds, and the log beside it is emptied. On
    PostgreSQL the tables are written anew; what the server keeps beside them is its own affair.

    Raises:
        ConflictError: If another window or command holds on to what was there before.
    """
    with engine.connect() as connection:
        if connection.dialect.name == "sqlite":
            _write_file_anew(connection)
        else:
            alone = connection.execution_options(isolation_level="AUTOCOMMIT")
            alone.execute(text(f"SET lock_timeout = '{int(BUSY_TIMEOUT_S)}s'"))
            alone.execute(text("VACUUM FULL"))
            alone.execute(text("RESET lock_timeout"))


def _write_file_anew(connection: Connection) -> None:
    raw = connection.connection.dbapi_connection
    assert isinstance(raw, sqlite3.Connection), "a connection that is open"
    usual, raw.isolation_level = raw.isolation_level, None  # VACUUM stands outside of any transaction
    try:
        _tidy_indexes(raw)
        raw.execute("VACUUM")
        is_held, _, _ = raw.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
    except sqlite3.OperationalError as error:
        if "locked" not in str(error):
            raise named_fault(error, place_of(connection.engine.url)) or error from error
        is_held = True
    finally:
        raw.isolation_level = usual
    if is_held:
        raise ConflictError(
            "Another window or command still reads what was there before.",
            hint="Close it, then give “planner players forget --finish”.",
        )


def _tidy_indexes(raw: sqlite3.Connection) -> None:
    """Have indexes of full text let go of words that were deleted; they keep them until they are merged."""
    found = raw.execute(
        "SELECT name FROM sqlite_master WHERE sql LIKE 'CREATE VIRTUAL TABLE%fts5%'"
    ).fetchall()
    for (index,) in found:
        raw.execute(f'INSERT INTO "{index}" ("{index}") VALUES (\'optimize\')')  # noqa: S608 (a name of ours)
