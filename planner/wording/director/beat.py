"""What the metronome of a piece remarks on its own count, for the director."""

from collections.abc import Sequence

from planner.core.profile import TempoSource
from planner.wording.words import listed

_NO_TEMPO = "The page gives no tempo: this one is assumed."


def beat_remarks(
    assumed: Sequence[tuple[str, tuple[int, ...]]], source: TempoSource, stops_before: str
) -> tuple[str, ...]:
    """What a director should know before trusting the count.

    Args:
        assumed: Meters of which nothing on the page shows the grouping, with the usual one.
        source: What gives the tempo at the beginning.
        stops_before: The first bar that cannot be counted, as ``bar_number`` names it; empty for none.

    Example:
        >>> beat_remarks([("7/8", (2, 2, 3))], "metronome", "12")[0]
        'Nothing on the page shows how 7/8 groups: it is counted 2+2+3, the usual way.'
    """
    found = []
    if source == "assumed":
        found.append(_NO_TEMPO)
    if assumed:
        meters = listed([time for time, _ in assumed])
        ways = listed(["+".join(map(str, grouping)) for _, grouping in assumed])
        verb = "groups: it is" if len(assumed) == 1 else "group: they are"
        found.append(f"Nothing on the page shows how {meters} {verb} counted {ways}, the usual way.")
    if stops_before:
        where = f"bar {stops_before}" if stops_before[:1].isdecimal() else stops_before
        found.append(f"The metronome stops before {where}, which has no meter to count.")
    return tuple(found)
