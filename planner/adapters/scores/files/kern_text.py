r"""What a Humdrum kern file says in its text, counted without turning it into music.

A converter can lose a note or a whole voice without an error, so what came out is
compared with these counts. Source: Humdrum user guide, ``**kern`` and spine paths
(``*^`` splits a spine, ``*v`` joins neighbours, ``*x`` exchanges two, ``*+`` adds one, ``*-`` ends one).
"""

import re
from collections.abc import Sequence
from typing import TypeVar

from planner.adapters.scores.files.text_count import TextCount

_PITCH = re.compile(r"([a-gA-G])\1*")
Column = TypeVar("Column")
_PATHS = frozenset({"*^", "*v", "*x", "*+", "*-"})


def count_kern(text: str) -> tuple[TextCount, ...]:
    r"""The heads of each ``**kern`` spine as it begins, in the order of the file.

    Example:
        >>> count_kern("**kern\t**kern\n4c e\t[4g\n.\t4g]\n*-\t*-\n")
        (TextCount(heads=2, struck=2), TextCount(heads=2, struck=1))
    """
    owners: list[int | None] = []
    counts: list[list[int]] = []
    for line in text.split("\n"):
        if not line or line.startswith("!"):
            continue
        cells = line.split("\t")
        if line.startswith("**"):
            owners = [None] * len(cells)
            for at, cell in enumerate(cells):
                if cell.strip() == "**kern":
                    owners[at] = len(counts)
                    counts.append([0, 0])
        elif is_path_line(cells):
            owners = follow_paths(cells, owners, None)
        elif not line.startswith(("*", "=")):
            for cell, owner in zip(cells, owners, strict=False):
                if owner is not None:
                    _count(cell, counts[owner])
    return tuple(TextCount(*count) for count in counts)


def is_path_line(cells: Sequence[str]) -> bool:
    """Whether a line splits, joins, exchanges, adds or ends spines."""
    return not _PATHS.isdisjoint(cells)


def follow_paths(cells: Sequence[str], columns: Sequence[Column], added: Column) -> list[Column]:
    """What belongs to each column after a line of spine paths; of joined columns the first is kept.

    Args:
        cells: The line's tokens.
        columns: What belongs to each column before it.
        added: What belongs to a new spine.

    Example:
        >>> follow_paths(["*^", "*", "*-"], [1, 2, 3], 0)
        [1, 1, 2]
        >>> follow_paths(["*v", "*v", "*x", "*x"], [1, 1, 2, 3], 0)
        [1, 3, 2]
    """
    found: list[Column] = []
    exchanged = -1
    before = ""
    for cell, column in zip(cells, columns, strict=False):
        if cell == "*x" and exchanged >= 0:
            found.append(found[exchanged])
            found[exchanged] = column
        elif cell != "*-" and not (cell == "*v" and before == "*v"):
            found.append(column)
            exchanged = len(found) - 1 if cell == "*x" else exchanged
            if cell in ("*^", "*+"):
                found.append(column if cell == "*^" else added)
        before = cell
    return found


def _count(cell: str, count: list[int]) -> None:
    for head in cell.split(" "):
        if "q" in head.lower() or "yy" in head or "r" in head or not _PITCH.search(head):
            continue
        count[0] += 1
        count[1] += not ("]" in head or "_" in head)
