"""Rows as they are read, cut to what holds anything."""

from collections.abc import Iterable

from planner.core.table import Row


def trimmed(rows: Iterable[Row]) -> tuple[Row, ...]:
    """Rows that hold anything, each without the blank cells at its end."""
    found = []
    for row in rows:
        width = max((at + 1 for at, cell in enumerate(row.cells) if not cell.is_blank), default=0)
        if width:
            found.append(Row(row.number, row.cells[:width]))
    return tuple(found)
