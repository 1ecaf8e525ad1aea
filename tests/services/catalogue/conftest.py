import pytest

from planner.adapters.db.library import open_library
from tests.fakes import FakeLibrary


@pytest.fixture
def library():
    """A library in memory."""
    return FakeLibrary()


@pytest.fixture
def database(tmp_path):
    """A library in a database, for what is taken back."""
    with open_library(tmp_path / "library.sqlite") as library:
        yield library
