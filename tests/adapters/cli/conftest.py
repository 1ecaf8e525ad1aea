import pytest

from planner.adapters.cli.main import main
from tests.conftest import TODAY, wired


@pytest.fixture
def run(home, capsys):
    """Run one command over the copied home; its exit code, what it printed, what it complained of."""
    boxes = []

    def run_one(*argv: str, home=home, today=TODAY):
        def build(settings):
            boxes.append(wired(settings.home, today))
            return boxes[-1]

        code = main([*argv, "--home", str(home)], build=build, serve=lambda *_: None)
        printed = capsys.readouterr()
        return code, printed.out, printed.err

    yield run_one
    for box in boxes:
        box.close()
