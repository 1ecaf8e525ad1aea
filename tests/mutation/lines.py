"""A pytest plugin that keeps which test ran which line of the target modules, and what each test cost."""

import json
import os
import time
from collections.abc import Iterator
from pathlib import Path

import coverage
import pytest

from tests.mutation.mutants import ROOT, target_files

FOLDER = ROOT / ".mutation"
"""Where the map and the results are kept; not part of the project."""
_HERE = "PLANNER_MUTATION_LINES"


class Recorder:
    """Records one pytest process."""

    def __init__(self, folder: Path) -> None:
        self._out = folder / f"lines-{os.getpid()}.json"
        self._watch = coverage.Coverage(
            data_file=None, include=[str(path) for path in target_files()], config_file=False
        )
        self._watch.start()
        self._seconds: dict[str, float] = {}

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        """Lines run from here on are this test's."""
        self._watch.switch_context(item.nodeid)
        began = time.process_time()
        result = yield
        self._seconds[item.nodeid] = round(time.process_time() - began, 3)
        self._watch.switch_context("")
        return result

    def pytest_unconfigure(self) -> None:
        """Write what was seen."""
        self._watch.stop()
        data = self._watch.get_data()
        lines: dict[str, dict[str, list[int]]] = {test: {} for test in self._seconds}
        for path in data.measured_files():
            file = Path(path).relative_to(ROOT).as_posix()
            for line, tests in data.contexts_by_lineno(path).items():
                for test in tests:
                    if test in lines:
                        lines[test].setdefault(file, []).append(line)
        found = {t: {"seconds": s, "lines": lines[t]} for t, s in self._seconds.items()}
        if found:
            self._out.write_text(json.dumps(found), encoding="utf-8")


def pytest_configure(config: pytest.Config) -> None:
    """Begin to record, in each process that runs tests."""
    folder = os.environ.get(_HERE)
    if folder and not (config.getoption("numprocesses", None) and not hasattr(config, "workerinput")):
        config.pluginmanager.register(Recorder(Path(folder)))


def record(paths: list[str], workers: int) -> dict[str, dict]:
    """Run the quick tests in these places and return each test's cost and lines."""
    import subprocess
    import sys
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(
            [sys.executable, "-m", "pytest", "-q", "-p", "tests.mutation.lines", "-p", "no:cacheprovider",
             "-n", str(workers), *paths],
            cwd=ROOT, env={**os.environ, _HERE: folder, "PYTHONPATH": str(ROOT)}, check=False,
        )  # fmt: skip
        found: dict[str, dict] = {}
        for part in Path(folder).glob("lines-*.json"):
            found |= json.loads(part.read_text(encoding="utf-8"))
    return found
