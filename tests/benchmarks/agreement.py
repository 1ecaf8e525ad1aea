"""How far two readings of the same music agree, weighted by time."""

from bisect import bisect_right
from collections.abc import Sequence


def agreement(
    human: Sequence[tuple[float, float, str]], ours: Sequence[tuple[float, str]]
) -> tuple[float, float]:
    """Quarters on which both say the same, and quarters compared.

    Args:
        human: ``(start, end, label)`` in quarters.
        ours: ``(start, label)``, each in force until the next, ascending.
    """
    starts = [start for start, _ in ours]
    same = compared = 0.0
    for start, end, label in human:
        compared += end - start
        at = max(bisect_right(starts, start) - 1, 0)
        while at < len(ours) and (starts[at] < end):
            begin = max(start, starts[at] if at else start)
            stop = min(end, starts[at + 1] if at + 1 < len(ours) else end)
            if ours[at][1] == label and stop > begin:
                same += stop - begin
            at += 1
    return same, compared
