"""Runs tests in a forked child in whose memory one module has a fault; nothing on disk is touched."""

import contextlib
import importlib
import importlib.abc
import importlib.machinery
import os
import resource
import signal
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType

from tests.mutation.mutants import ROOT, Mutant, planted

LIBRARIES = (
    "pytest", "_pytest.doctest", "xdist.plugin", "hypothesis", "hypothesis.strategies", "numpy",
    "scipy.optimize", "scipy.special", "ortools.sat.python.cp_model", "openpyxl", "formualizer",
    "lxml.etree", "sqlalchemy.orm", "alembic.command", "flask", "flask_wtf", "click.testing",
    "rich.console", "reportlab.pdfgen.canvas", "icalendar", "music21", "waitress",
)  # fmt: skip
"""Loaded once, before the first fork."""
TIMES, SPARE_S = 5, 8
"""A child may use so many times the processor seconds its tests were measured to need, and these more."""
MEMORY = 6 * 2**30


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of a fault: noticed or lived, by which test, and the processor seconds it took."""

    end: str
    by: str
    seconds: float


class _Fault(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Gives one module with its fault, every other as it is."""

    def __init__(self, mutant: Mutant) -> None:
        self._name = mutant.file.removesuffix(".py").replace("/", ".")
        self._path = ROOT / mutant.file
        self._code = compile(planted(self._path, mutant.number), str(self._path), "exec")

    def find_spec(self, name: str, path: object = None, target: object = None) -> object:
        """The faulty module, when it is asked for."""
        if name != self._name:
            return None
        return importlib.machinery.ModuleSpec(name, self, origin=str(self._path))

    def create_module(self, spec: object) -> None:
        """The usual kind of module."""

    def exec_module(self, module: ModuleType) -> None:
        """Run the faulty source."""
        module.__file__ = str(self._path)
        exec(self._code, module.__dict__)


class _Watch:
    """Runs the tests asked for, in that order, with the faulty module in place; keeps which failed."""

    def __init__(self, tests: Sequence[str], fault: _Fault | None) -> None:
        self.failed: list[str] = []
        self._order = {test: at for at, test in enumerate(tests)}
        self._fault = fault

    def pytest_sessionstart(self) -> None:
        """Called by pytest when its own hook is about to load the files named to it: ours comes first."""
        if self._fault is not None:
            sys.meta_path.insert(0, self._fault)

    def pytest_collection_modifyitems(self, items: list) -> None:
        """Called by pytest with all that is in the files; a test that is gone since is passed over."""
        items[:] = sorted(
            (item for item in items if item.nodeid in self._order), key=lambda item: self._order[item.nodeid]
        )

    def pytest_runtest_logreport(self, report) -> None:
        """Called by pytest for each step of a test."""
        if report.failed:
            self.failed.append(report.nodeid)


def warm_up() -> None:
    """Load the libraries the tests need."""
    os.environ["OPENBLAS_NUM_THREADS"] = "1"
    if str(ROOT) not in sys.path:
        sys.path.insert(0, str(ROOT))
    for name in LIBRARIES:
        importlib.import_module(name)
    from hypothesis import HealthCheck, Phase, settings

    settings.register_profile(
        "mutation", database=None, derandomize=True, deadline=None, suppress_health_check=list(HealthCheck),
        phases=(Phase.explicit, Phase.generate),
    )  # fmt: skip
    settings.load_profile("mutation")


def run_mutant(mutant: Mutant, tests: Sequence[str], work_s: float) -> Outcome:
    """Run tests with a fault in place, up to the first that notices."""

    def child(out: Path) -> int:
        try:
            return _pytest(tests, out, _Fault(mutant))
        except SyntaxError:
            return 1

    status, wrote, seconds = _forked(child, work_s)
    return Outcome("lived" if status == 0 else "noticed", (wrote or [f"end {status}"])[0], seconds)


def sound_tests(tests: Sequence[str]) -> set[str]:
    """Those of the tests that pass in a child without any fault."""
    if not tests:
        return set()
    status, failed, _ = _forked(lambda out: _pytest(tests, out), 3600)
    if status not in (0, 1):
        raise SystemExit(f"The tests cannot be run without a fault either (end {status}).")
    if failed:
        print("left out, for they fail without a fault:", *failed, sep="\n  ")
    return set(tests) - set(failed)


def _pytest(tests: Sequence[str], out: Path, fault: _Fault | None = None) -> int:
    import pytest

    watch = _Watch(tests, fault)
    if fault is not None:  # for what the fixtures' files load before the session starts
        sys.meta_path.insert(0, fault)
    words = [
        "-q",
        "-n0",
        "-p",
        "no:cacheprovider",
        "--no-header",
        "--tb=line",
        "-W",
        "ignore::pytest.PytestAssertRewriteWarning",
    ] + ["-x"] * (fault is not None)
    files = dict.fromkeys(file for test in tests if (ROOT / (file := test.split("::")[0])).exists())
    status = int(pytest.main([*words, *files], plugins=[watch]))
    out.write_text("\n".join(dict.fromkeys(watch.failed)), encoding="utf-8")
    return status


def _forked(work: Callable[[Path], int], seconds: float) -> tuple[int, list[str], float]:
    """Run in a child; returns its exit code (negative: a signal), the lines it wrote, its cost."""
    with tempfile.TemporaryDirectory() as folder:
        out, printed = Path(folder) / "out", Path(folder) / "printed"
        child = os.fork()
        if child == 0:
            status = 70
            with contextlib.suppress(BaseException):
                os.setsid()
                os.chdir(ROOT)
                target = os.open(printed, os.O_WRONLY | os.O_CREAT)
                os.dup2(target, 1)
                os.dup2(target, 2)
                most = int(TIMES * seconds + SPARE_S)
                resource.setrlimit(resource.RLIMIT_CPU, (most, most + 5))
                resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
                status = work(out)
            os._exit(status)
        status, used = _wait(child, 20 * (TIMES * seconds + SPARE_S))
        with contextlib.suppress(ProcessLookupError, PermissionError):
            os.killpg(child, signal.SIGKILL)
        wrote = out.read_text(encoding="utf-8").split("\n") if out.exists() else []
        return status, [line for line in wrote if line], used


def _wait(child: int, wall_s: float) -> tuple[int, float]:
    """Exit code and processor seconds; a child that only sleeps is ended after a very long time."""
    ends = time.monotonic() + wall_s
    while True:
        done, status, usage = os.wait4(child, os.WNOHANG)
        if done:
            return os.waitstatus_to_exitcode(status), round(usage.ru_utime + usage.ru_stime, 2)
        if time.monotonic() > ends:
            os.killpg(child, signal.SIGKILL)
        time.sleep(0.02)
