"""Fixtures shared by the doors' tests: a home where the demo has run, read by many, copied to be changed."""

import os
import shutil
import zlib
from datetime import date
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from planner.adapters.store.locks import FolderLocks
from planner.bootstrap import Wiring
from planner.config import load_settings, packaged
from planner.services.demo import run_demo

settings.register_profile("any machine", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("any machine")  # how fast a machine draws examples says nothing about the program

TODAY = date(2026, 11, 25)

SLOW_SEED = "3"
"""Says which slow tests a share of them takes."""


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Under ``PLANNER_SLOW_SHARE``, as in ``.ci/run``, keep that share of the slow tests: always the same."""
    share = float(os.environ.get("PLANNER_SLOW_SHARE", "1"))
    kept: list[pytest.Item] = []
    dropped: list[pytest.Item] = []
    for item in items:
        is_kept = item.get_closest_marker("slow") is None or _is_drawn(item, share)
        (kept if is_kept else dropped).append(item)
    if dropped:
        config.hook.pytest_deselected(items=dropped)
        items[:] = kept


def _is_drawn(item: pytest.Item, share: float) -> bool:
    return zlib.crc32((SLOW_SEED + item.nodeid).encode()) < share * 2**32


DEMO_PIECES = (
    "lightly-row", "windmill", "new-britain", "lantern-street", "the-old-clock", "merry-gentlemen",
    "scarborough-fair", "market-bells", "aura-lee", "go-down-moses", "early-in-the-morning", "ferry-song",
    "surprise",
)  # fmt: skip


PLAN_STEPS = 1_500
"""Of a search for a plan, for tests that ask what becomes of a plan, not how cheap it is."""


def wired(home: Path, today: date = TODAY) -> Wiring:
    """A toolbox over a home, on the day the tests take for today, that ends its searches by their steps."""
    settings = load_settings(home, {}, plan_limit_s=600.0, plan_steps=PLAN_STEPS, password_memory_mb=0.03)
    return Wiring(settings, today=lambda: today)


@pytest.fixture(scope="session")
def demo_home(tmp_path_factory) -> Path:
    """A home in which the demo ran with a handful of sample pieces; not to be changed.

    The first process of a run that asks for it makes it for all of them.
    """
    room = tmp_path_factory.getbasetemp()
    room = room.parent if "PYTEST_XDIST_WORKER" in os.environ else room
    while not (room / "demo").exists():
        with FolderLocks(room).hold(1) as is_ours:
            if is_ours and not (room / "demo").exists():
                _make_demo(tmp_path_factory.mktemp("demo")).rename(room / "demo")
    return room / "demo"


def _make_demo(folder: Path) -> Path:
    scores = folder / "scores"
    scores.mkdir()
    for name in DEMO_PIECES:
        shutil.copy(packaged("sample_library") / f"{name}.mxl", scores)
    tools = wired(folder / "home")
    run_demo(tools, scores, lambda *_: None)
    tools.close()
    return folder / "home"


@pytest.fixture
def home(demo_home, tmp_path) -> Path:
    """A copy of the demo's home, free to be changed."""
    return Path(shutil.copytree(demo_home, tmp_path / "home"))


@pytest.fixture
def tools(home):
    """A toolbox over the copied home."""
    box = wired(home)
    yield box
    box.close()
