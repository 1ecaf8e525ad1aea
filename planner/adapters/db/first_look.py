"""Looking at what lies in the place of a library before it is opened, so that what is none stays as it is."""

import sqlite3
from contextlib import closing
from pathlib import Path

from planner.adapters.db.engine import WAY_BACK
from planner.adapters.db.migrate import HEAD, refuse_foreign, refuse_newer
from planner.errors import DamagedHomeError

_HEADER = b"SQLite format 3\0"
"""How every SQLite file begins (sqlite.org, "Database File Format", 1.3)."""


def look_first(path: Path) -> None:
    """Refuse a file that is no library of this program or an older one; nothing in it is changed.

    Raises:
        DamagedHomeError: If it is no database, or was emptied.
        ForeignHomeError: If it is another program's.
        NewerHomeError: If it is of a newer version.
    """
    if path.is_dir():
        raise DamagedHomeError(path, "is a folder, not a library", hint=WAY_BACK)
    if not path.is_file():
        return
    with path.open("rb") as file:
        begins = file.read(len(_HEADER))
    if not begins:
        _refuse_emptied(path)
    elif begins != _HEADER:
        raise DamagedHomeError(path, "is damaged or is not a library", hint=WAY_BACK)
    else:
        _look_inside(path)


def _refuse_emptied(path: Path) -> None:
    """An empty file is what a new library begins as, but not one whose scores are there already."""
    if any(path.with_name("scores").glob("*.*")):
        raise DamagedHomeError(path, "is empty, although its scores are there", hint=WAY_BACK)


def _look_inside(path: Path) -> None:
    is_in_use = path.with_name(f"{path.name}-wal").exists()
    how = "mode=ro" if is_in_use else "immutable=1"  # then SQLite puts no files of its own beside it
    try:
        with closing(sqlite3.connect(f"{path.absolute().as_uri()}?{how}", uri=True)) as connection:
            rows = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
            names = {name for (name,) in rows}
            refuse_foreign(names, str(path))
            found = (
                connection.execute("SELECT version_num FROM alembic_version").fetchone() if names else None
            )
    except sqlite3.Error:
        return  # opening it says what is wrong, and in words
    if found is not None and found[0] > HEAD:
        refuse_newer(str(path))
