import shutil

import pytest

from tests.conftest import wired


@pytest.fixture(scope="package")
def profiles(demo_home, tmp_path_factory):
    """The studies of the pieces of the demo."""
    home = tmp_path_factory.mktemp("studies") / "home"
    shutil.copytree(demo_home, home)
    tools = wired(home)
    with tools.work() as work:
        found = [work.pieces.profile(piece) for piece in work.pieces.titles()]
    tools.close()
    return found
