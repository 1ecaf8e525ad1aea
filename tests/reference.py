"""Where the reference scores and labels are, kept outside the project, and how many of them a run takes."""

import hashlib
import os
from collections.abc import Iterable
from pathlib import Path
from typing import TypeVar

import pytest

Item = TypeVar("Item")

WHOLE = bool(os.environ.get("PLANNER_WHOLE_SWEEPS"))
"""Whether the sweeps go through everything there is, in place of a seeded sample."""
SEED = 7


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


def sampled(
    items: Iterable[Item], at_most: int, *, seed: int = SEED, always: Iterable[Item] = ()
) -> list[Item]:
    """A seeded sample of a sweep, in the order of the items; all of them in a whole sweep.

    Each item is drawn by its own name (of a path: folder and file), so that more data change a sample
    little. ``always`` names items that are in every sample.

    Example:
        >>> sampled(range(1000), 3) == sampled(range(1000), 3)
        True
    """
    kept = list(items)
    if WHOLE or len(kept) <= at_most:
        return kept
    wanted = set(always)

    def place(at: int) -> tuple[bool, str]:
        item = kept[at]
        name = "/".join(item.parts[-2:]) if isinstance(item, Path) else repr(item)
        return item not in wanted, hashlib.sha256(f"{seed} {name}".encode()).hexdigest()

    return [kept[at] for at in sorted(sorted(range(len(kept)), key=place)[:at_most])]
