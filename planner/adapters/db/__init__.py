"""The library in a database: SQLite by default, PostgreSQL by address. SQLAlchemy lives here."""

from planner.adapters.db.library import Library, open_library

__all__ = ["Library", "open_library"]
