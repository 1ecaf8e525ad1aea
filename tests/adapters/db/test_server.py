"""What only a library on a PostgreSQL server has to prove: its tables, and many who write at once."""

import threading
from concurrent.futures import ThreadPoolExecutor
from datetime import date

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import create_engine, text

from planner.adapters.db import migrate, open_library
from planner.adapters.db.engine import make_engine, url_of
from planner.adapters.db.tables import Base
from planner.core.piece import PieceQuery
from planner.errors import ForeignHomeError, NewerHomeError
from tests.adapters.db.conftest import SERVER, clear_server
from tests.adapters.db.test_concurrency import change_one_list
from tests.adapters.db.test_migrations import OLD_ROWS

pytestmark = pytest.mark.skipif(not SERVER, reason="PLANNER_TEST_POSTGRESQL names no database")

DAY = date(2026, 9, 3)
EACH = 6
"""Wishes of each writer: fewer than on the machine itself, as each goes to a server."""


@pytest.fixture
def bare():
    """The server's database without a table, and with all of them afterwards."""
    clear_server()
    engine = make_engine(url_of(SERVER))
    yield engine
    engine.dispose()
    clear_server()
    open_library(SERVER).close()


def differences(engine):
    with engine.connect() as connection:
        return compare_metadata(MigrationContext.configure(connection), Base.metadata)


def test_the_tables_are_those_of_the_classes(server, server_tables):
    engine = create_engine(url_of(server_tables))
    assert differences(engine) == []
    with engine.begin() as connection:
        connection.execute(text("DROP INDEX ix_pieces_home_key"))
    assert len(differences(engine)) == 1
    with engine.begin() as connection:
        connection.execute(text("CREATE INDEX ix_pieces_home_key ON pieces (home_key)"))
    engine.dispose()


def test_rows_of_the_first_revision_are_brought_up_to_date(bare):
    migrate.upgrade(bare, "0001")
    with bare.begin() as connection:
        for table, values in OLD_ROWS.items():
            columns = ", ".join(f":{name}" for name in values)
            connection.execute(text(f"INSERT INTO {table} ({', '.join(values)}) VALUES ({columns})"), values)
    with open_library(SERVER) as library, library() as work:
        assert work.ensembles.find_by_name("Band") is not None
        (piece,), _ = work.pieces.list_pieces(PieceQuery(text="rondo"))
        assert (piece.title, piece.level) == ("Rondo", 3.0)
    assert differences(bare) == []


def test_several_who_open_an_empty_database_at_once_make_its_tables_once(bare):
    start = threading.Barrier(4)

    def open_it(_number):
        start.wait()
        open_library(SERVER).close()

    with ThreadPoolExecutor(4) as pool:
        list(pool.map(open_it, range(4)))
    assert migrate.current_revision(bare) == migrate.HEAD
    assert differences(bare) == []


def test_a_database_of_another_program_or_of_a_newer_version_is_left_alone(bare):
    with bare.begin() as connection:
        connection.execute(text("CREATE TABLE recipes (id integer)"))
    with pytest.raises(ForeignHomeError):
        open_library(SERVER)
    with bare.begin() as connection:
        connection.execute(text("DROP TABLE recipes"))
    open_library(SERVER).close()
    with bare.begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(NewerHomeError):
        open_library(SERVER)


def test_writers_take_turns_and_none_loses_another_s_word(server):
    change_one_list(server, EACH)
