"""What keeps a test from passing because there was nothing to check."""

from collections.abc import Iterable
from typing import TypeVar

Item = TypeVar("Item")


def some(items: Iterable[Item]) -> list[Item]:
    """The items, of which there must be at least one.

    Example:
        >>> some(number for number in range(3) if number)
        [1, 2]
    """
    kept = list(items)
    assert kept, "there is nothing to check"
    return kept
