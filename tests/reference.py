"""Where the reference scores and labels are, kept outside the project."""

import os
from pathlib import Path

import pytest


def reference_folder() -> Path | None:
    """The folder named by ``PLANNER_REFERENCE_DATA``, or None where it is missing."""
    default = Path(__file__).resolve().parents[2] / "shared" / "data"
    folder = Path(os.environ.get("PLANNER_REFERENCE_DATA", default))
    return folder if folder.is_dir() else None


def reference_data() -> Path:
    """The reference data; the calling test is skipped, with the reason, where it is missing."""
    folder = reference_folder()
    if folder is None:
        pytest.skip("no reference data: set PLANNER_REFERENCE_DATA to the folder with the reference scores")
    return folder
