"""A library of each kind: in a file, in memory, and on a PostgreSQL server where there is one."""

import os

import pytest
from sqlalchemy import create_engine, delete, text

from planner.adapters.db import open_library
from planner.adapters.db.engine import url_of
from planner.adapters.db.tables import Base, SettingRow
from tests.fakes import FakeLibrary

SERVER = os.environ.get("PLANNER_TEST_POSTGRESQL", "")
"""Address of an empty PostgreSQL database whose content may be lost; ``.ci/postgresql`` sets it."""


def clear_server() -> None:
    """Take every table out of the server's database."""
    engine = create_engine(url_of(SERVER))
    with engine.begin() as connection:
        connection.execute(text("DROP SCHEMA public CASCADE"))
        connection.execute(text("CREATE SCHEMA public"))
    engine.dispose()


@pytest.fixture(scope="session")
def server_tables() -> str:
    """The address of the server's database, its tables made once."""
    if not SERVER:
        pytest.skip("PLANNER_TEST_POSTGRESQL names no database")
    clear_server()
    open_library(SERVER).close()
    return SERVER


@pytest.fixture
def server(server_tables):
    """A library on the server, without a row but what it is known by, as one that was just begun."""
    engine = create_engine(url_of(server_tables))
    emptied = [table.name for table in Base.metadata.sorted_tables if table.name != SettingRow.__tablename__]
    names = ", ".join(f'"{name}"' for name in emptied)
    with engine.begin() as connection:
        connection.execute(text(f"TRUNCATE {names} RESTART IDENTITY CASCADE"))
        connection.execute(delete(SettingRow).where(SettingRow.name != "library"))
    engine.dispose()
    with open_library(server_tables) as opened:
        yield opened


@pytest.fixture(params=["database", "fake", "server"])
def library(request, tmp_path):
    """The same requests go to each kind: all must answer alike."""
    if request.param == "fake":
        yield FakeLibrary()
    elif request.param == "database":
        with open_library(tmp_path / "library.sqlite") as opened:
            yield opened
    else:
        yield request.getfixturevalue("server")
