"""Tables made from nothing, from the first revision, by two at once, and broken off half-way."""

import sqlite3
import subprocess
import sys
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import text

from planner.adapters.db import migrate, open_library
from planner.adapters.db.engine import make_engine, url_of
from planner.adapters.db.tables import Base
from planner.core.piece import Piece, PieceQuery, SourceFile
from planner.errors import HomeError

FIRST = "0001"
OLD_ROWS = {
    "ensembles": {"name": "Band", "kind": "band"},
    "source_files": {"id": 1, "sha256": "f" * 64, "name": "rondo.mxl", "size_bytes": 9, "suffix": ".mxl"},
    "pieces": {
        "id": 1, "source_id": 1, "title": "Rondo", "composer": "Ada Weir", "arranger": "", "rights": "CC0",
        "level": 3.0, "studied_level": 2.5, "home_key": "Bb major", "part_count": 14,
        "playing_seconds": 62.5, "added_on": "2026-09-03", "corrected": '["level"]',
        "search_text": "rondo ada weir", "sort_title": "rondo",
    },
}  # fmt: skip
"""Rows as the program of the first revision wrote them."""


def revisions():
    config = Config()
    config.set_main_option("script_location", str(Path(migrate.__file__).parent / "migrations"))
    return ScriptDirectory.from_config(config)


@pytest.fixture
def engine(tmp_path):
    engine = make_engine(url_of(tmp_path / "library.sqlite"))
    yield engine
    engine.dispose()


def shape(engine):
    """Every table and index as SQLite remembers it, white space folded."""
    with engine.connect() as connection:
        rows = connection.execute(text("SELECT type, name, sql FROM sqlite_master ORDER BY type, name"))
        return [(kind, name, " ".join((sql or "").split())) for kind, name, sql in rows]


def test_the_newest_revision_is_the_one_the_program_asks_for():
    assert revisions().get_current_head() == migrate.HEAD


def test_from_empty_the_tables_are_those_of_the_classes(engine):
    assert migrate.current_revision(engine) is None
    migrate.upgrade(engine)
    assert migrate.current_revision(engine) == migrate.HEAD
    with engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, Base.metadata) == []


def test_a_class_that_the_migrations_forget_is_noticed(engine):
    migrate.upgrade(engine)
    with engine.begin() as connection:
        connection.execute(text("DROP INDEX ix_pieces_home_key"))
        connection.execute(text("ALTER TABLE sections DROP COLUMN start_on"))
    with engine.connect() as connection:
        assert len(compare_metadata(MigrationContext.configure(connection), Base.metadata)) == 2


def test_from_the_first_revision_the_same_tables_come_out(engine, tmp_path):
    migrate.upgrade(engine, FIRST)
    with engine.begin() as connection:
        for table, values in OLD_ROWS.items():
            columns = ", ".join(f":{name}" for name in values)
            connection.execute(text(f"INSERT INTO {table} ({', '.join(values)}) VALUES ({columns})"), values)
    migrate.upgrade(engine)
    fresh = make_engine(url_of(tmp_path / "fresh.sqlite"))
    migrate.upgrade(fresh)
    assert shape(engine) == shape(fresh)
    fresh.dispose()
    with open_library(tmp_path / "library.sqlite") as library, library() as work:
        assert work.ensembles.find_by_name("Band") is not None
        (piece,), _ = work.pieces.list_pieces(PieceQuery(text="rondo"))
        assert piece == Piece(
            1, "Rondo", "Ada Weir", "", "CC0", 3.0, 2.5, None, "Bb major", (), 14, 62.5,
            SourceFile("f" * 64, "rondo.mxl", 9, ".mxl"), date(2026, 9, 3),
        )  # fmt: skip
        work.pieces.update(replace(piece, tags=("kept",)))
        assert work.pieces.get(1).tags == ("kept",)


def test_up_twice_changes_nothing(engine):
    migrate.upgrade(engine)
    before = shape(engine)
    migrate.upgrade(engine)
    assert shape(engine) == before


def test_a_migration_broken_off_leaves_nothing(engine, monkeypatch):
    from alembic import op

    made = []
    create = op.create_table

    def create_five(*args, **options):
        if len(made) == 5:
            raise KeyboardInterrupt
        made.append(args[0])
        return create(*args, **options)

    monkeypatch.setattr(op, "create_table", create_five)
    with pytest.raises(KeyboardInterrupt):
        migrate.upgrade(engine)
    assert shape(engine) == []
    monkeypatch.undo()
    migrate.upgrade(engine)
    assert migrate.current_revision(engine) == migrate.HEAD


OPEN = """
import sys, time
import alembic.command
from planner.adapters.db import open_library
print("ready", flush=True)
sys.stdin.readline()
open_library(sys.argv[1]).close()
"""


def test_two_commands_may_make_the_same_home_at_once(tmp_path):
    command = [sys.executable, "-c", OPEN, str(tmp_path / "library.sqlite")]
    pipes = {"stdin": subprocess.PIPE, "stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "text": True}
    runs = [subprocess.Popen(command, **pipes) for _ in range(3)]
    assert [run.stdout.readline() for run in runs] == ["ready\n"] * 3
    for run in runs:
        run.stdin.write("go\n")
        run.stdin.flush()
    ends = [(*run.communicate(timeout=600), run.returncode) for run in runs]
    assert ends == [("", "", 0)] * 3


def test_a_library_of_a_newer_program_is_refused_in_one_sentence(tmp_path):
    path = tmp_path / "library.sqlite"
    open_library(path).close()
    with sqlite3.connect(path) as connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
    connection.close()
    with pytest.raises(HomeError, match="was made by a newer version of this program"):
        open_library(path)


def test_a_database_of_another_program_is_refused_and_left_alone(tmp_path):
    path = tmp_path / "library.sqlite"
    with sqlite3.connect(path) as connection:
        connection.execute("CREATE TABLE recipes (id)")
    connection.close()
    with pytest.raises(HomeError, match="is a database of another program"):
        open_library(path)
    with sqlite3.connect(path) as connection:
        assert [name for (name,) in connection.execute("SELECT name FROM sqlite_master")] == ["recipes"]
    connection.close()
