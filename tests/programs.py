"""Programs from outside that some tests need: a browser, an office, a page renderer."""

import os
import shutil

import pytest

CHROMIUM = ("chromium", "chromium-browser", "google-chrome")
"""Names under which a Chromium is installed."""


def program(*names: str) -> str:
    """The first of these programs that is installed.

    Without any, the calling test is skipped with the reason; with ``PLANNER_NEEDS_PROGRAMS`` set, as
    ``.ci/run`` sets it, it fails instead.
    """
    found = next((path for name in names if (path := shutil.which(name))), None)
    if found is None:
        reason = f"{names[0]} is not installed"
        if os.environ.get("PLANNER_NEEDS_PROGRAMS"):
            pytest.fail(f"{reason}, and this run must have it")
        pytest.skip(reason)
    return found
