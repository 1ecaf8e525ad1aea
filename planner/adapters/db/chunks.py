"""Values in lists that one statement can hold."""

from collections.abc import Collection, Iterator
from typing import TypeVar

_CHUNK = 15_000
"""Values in one SQL list, of which a statement holds two: a whole library in one statement.

Source: SQLITE_MAX_VARIABLE_NUMBER is 32766 since SQLite 3.32; PostgreSQL numbers parameters in 16 bits.
"""

T = TypeVar("T", int, str)


def chunks(values: Collection[T]) -> Iterator[list[T]]:
    """Values in lists that one statement can hold, each once and in order."""
    ordered = sorted(set(values))
    return (ordered[at : at + _CHUNK] for at in range(0, len(ordered), _CHUNK))
