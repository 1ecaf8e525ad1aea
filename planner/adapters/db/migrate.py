"""Bringing a library's tables to the form this program needs."""

from pathlib import Path

from sqlalchemy import Engine, inspect, text
from sqlalchemy.engine import URL, Connection

from planner.adapters.db.engine import make_engine, place_of
from planner.errors import HomeError

HEAD = "0018"
"""The newest revision in ``migrations/versions``; a test holds the two together."""

_LOCK = 0x5EAD
"""Number of the lock that lets one process at a time change the tables of a PostgreSQL library."""

_SCRIPTS = Path(__file__).resolve().parent / "migrations"


def current_revision(engine: Engine) -> str | None:
    """The revision a database is at; None for an empty one.

    Raises:
        HomeError: If it holds tables but no revision, so it is not a library.
    """
    with engine.connect() as connection:
        return _revision(connection, place_of(engine.url))


def upgrade(engine: Engine, revision: str = HEAD) -> None:
    """Bring a database up to a revision, all steps in one transaction or none.

    Two processes may do this at once: the second waits and then finds nothing to do.

    Raises:
        HomeError: If the database comes from a newer program, or is not a library.
    """
    if current_revision(engine) == revision:
        return
    migrating = make_engine(engine.url, for_migration=True)
    try:
        with migrating.begin() as connection:
            _run(connection, engine.url, revision)
    finally:
        migrating.dispose()


def _run(connection: Connection, url: URL, revision: str) -> None:
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
        raise HomeError(
            place_of(url),
            "was made by a newer version of this program",
            hint="Update the program, then open it.",
        )
    command.upgrade(config, revision)
    if connection.dialect.name == "sqlite" and connection.execute(text("PRAGMA foreign_key_check")).first():
        raise HomeError(
            place_of(url), "holds entries that refer to nothing", hint="Put a backup in its place."
        )


def _revision(connection: Connection, place: str) -> str | None:
    names = set(inspect(connection).get_table_names())
    if "alembic_version" not in names:
        if names:
            raise HomeError(place, "is a database of another program", hint="Choose another home folder.")
        return None
    rows = connection.execute(text("SELECT version_num FROM alembic_version")).scalars().all()
    return rows[0] if rows else None
