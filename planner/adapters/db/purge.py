"""Writing a database anew so that nothing of what was deleted is left in its files."""

from sqlalchemy import Engine, text
from sqlalchemy.engine import Connection

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
            connection.execution_options(isolation_level="AUTOCOMMIT").execute(text("VACUUM FULL"))


def _write_file_anew(connection: Connection) -> None:
    raw = connection.connection.dbapi_connection
    assert raw is not None, "a connection that is open"
    raw.isolation_level = None  # VACUUM stands outside of any transaction
    try:
        for (index,) in raw.execute(
            "SELECT name FROM sqlite_master WHERE sql LIKE 'CREATE VIRTUAL TABLE%fts5%'"
        ).fetchall():
            raw.execute(f'INSERT INTO "{index}" ("{index}") VALUES (\'optimize\')')  # noqa: S608 (a name of ours)
        raw.execute("VACUUM")
        is_busy, _, _ = raw.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
    finally:
        raw.isolation_level = "IMMEDIATE"
    if is_busy:
        raise ConflictError(
            "Another window or command still reads what was there before.",
            hint="Close it, then give “planner players forget --finish”.",
        )
