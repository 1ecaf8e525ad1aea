"""Bringing a library's tables to the form this program needs."""

from collections.abc import Callable, Collection
from pathlib import Path
from typing import NoReturn

from sqlalchemy import Engine, inspect, text
from sqlalchemy.engine import URL, Connection

from planner.adapters.db.engine import WAY_BACK, make_engine, place_of
from planner.errors import DamagedHomeError, ForeignHomeError, NewerHomeError

HEAD = "0027"
"""The newest revision in ``migrations/versions``; a test holds the two together."""

_LOCK = 0x5EAD
"""Number of the lock that lets one process at a time change the tables of a PostgreSQL library."""

_OURS = frozenset({"alembic_version", "pieces", "source_files"})
"""Tables that a library has had since its first revision."""

_SCRIPTS = Path(__file__).resolve().parent / "migrations"


def current_revision(engine: Engine) -> str | None:
    """The revision a database is at; None for an empty one.

    Raises:
        ForeignHomeError: If it holds tables but no revision, so it is not a library.
    """
    with engine.connect() as connection:
        return _revision(connection, place_of(engine.url))


def upgrade(engine: Engine, revision: str = HEAD, *, before: Callable[[], None] | None = None) -> None:
    """Bring a database up to a revision, all steps in one transaction or none.

    ``before`` is called once it is sure that there are tables to be changed.

    Two processes may do this at once: the second waits and then finds nothing to do.

    Raises:
        NewerHomeError: If the database comes from a newer program.
        ForeignHomeError: If it is another program's.
    """
    if current_revision(engine) == revision:
        return
    migrating = make_engine(engine.url, for_migration=True)
    try:
        with migrating.begin() as connection:
            _run(connection, engine.url, revision, before)
    finally:
        migrating.dispose()


def _run(connection: Connection, url: URL, revision: str, before: Callable[[], None] | None = None) -> None:
    from alembic import command
    from alembic.config import Config
    from alembic.script import ScriptDirectory

    if connection.dialect.name == "postgresql":
        connection.execute(text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _LOCK})
    config = Config()
    config.set_main_option("script_location", str(_SCRIPTS).replace("%", "%%"))
    config.attributes["connection"] = connection
    found = _revision(connection, place_of(url))
    known = {script.revision for script in ScriptDirectory.from_config(config).walk_revisions()}
    if found is not None and found not in known:
        refuse_newer(place_of(url))
    if before is not None and found not in (None, revision):
        before()
    command.upgrade(config, revision)
    if connection.dialect.name == "sqlite" and connection.execute(text("PRAGMA foreign_key_check")).first():
        raise DamagedHomeError(place_of(url), "holds entries that refer to nothing", hint=WAY_BACK)


def refuse_foreign(tables: Collection[str], place: str) -> None:
    """Refuse a database whose tables are not those of a library.

    Raises:
        ForeignHomeError: If there are tables, and they are another program's.
    """
    if tables and not set(tables) >= _OURS:
        raise ForeignHomeError(
            place,
            "is a database of another program",
            hint="Nothing in it was changed. Choose another home folder with --home, or move that file.",
        )


def refuse_newer(place: str) -> NoReturn:
    """Refuse a library that a newer program made.

    Raises:
        NewerHomeError: Always.
    """
    raise NewerHomeError(
        place,
        "was made by a newer version of this program",
        hint="Nothing in it was changed. Update the program, then open it.",
    )


def _revision(connection: Connection, place: str) -> str | None:
    names = set(inspect(connection).get_table_names())
    refuse_foreign(names, place)
    if not names:
        return None
    rows = connection.execute(text("SELECT version_num FROM alembic_version")).scalars().all()
    return rows[0] if rows else None
