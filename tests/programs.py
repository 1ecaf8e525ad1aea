"""Programs from outside that some tests need: a browser, an office, a page renderer."""

import os
import shutil
import subprocess
from pathlib import Path
from typing import NoReturn

import pytest

ROOT = Path(__file__).resolve().parents[1]

CHROMIUM = ("chromium", "chromium-browser", "google-chrome")
"""Names under which a Chromium is installed."""


def program(*names: str) -> str:
    """The first of these programs that is installed.

    Without any, the calling test is skipped with the reason; with ``PLANNER_NEEDS_PROGRAMS`` set, as
    ``.ci/run`` sets it, it fails instead.
    """
    found = next((path for name in names if (path := shutil.which(name))), None)
    return found or _lacks(f"{names[0]} is not installed")


def office_python() -> str:
    """A Python that can drive an office, with the package ``uno``; without it, as with a program."""
    python = "/usr/bin/python3"
    is_there = (
        shutil.which(python)
        and not subprocess.run([python, "-c", "import uno"], capture_output=True, check=False).returncode
    )
    return python if is_there else _lacks("python3-uno is not installed")


def axe_script() -> str:
    """The text of axe-core, which looks a page over for what shuts people out.

    It lies at ``PLANNER_AXE``, or where ``.ci/run`` puts it; without it, as with a program.
    """
    path = Path(os.environ.get("PLANNER_AXE") or ROOT / ".axe" / "package" / "axe.min.js")
    return path.read_text(encoding="utf-8") if path.is_file() else _lacks("axe-core is not there")


def _lacks(reason: str) -> NoReturn:
    if os.environ.get("PLANNER_NEEDS_PROGRAMS"):
        pytest.fail(f"{reason}, and this run must have it")
    pytest.skip(reason)
