"""Tuning a set of timpani: the fewest changes of pitch that a part needs, and the time for each."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import permutations
from math import inf

DRUM_RANGES: tuple[tuple[int, int], ...] = ((36, 45), (41, 48), (46, 53), (50, 57))
"""Sounding MIDI numbers of a set of four timpani (32, 29, 26, 23 inch): C2 to A2, F2 to C3, B♭2 to F3, D3 to
A3. From memory."""
SMALLEST_DRUM = (53, 60)
"""The fifth drum that some sets have (20 inch): F3 to C4. From memory."""
RETUNE_SECONDS = 4.0
"""Seconds to retune one drum while counting. Source: house choice."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """What is struck at once: sounding MIDI numbers, and the seconds at which it begins and ends."""

    pitches: tuple[int, ...]
    begins_s: float
    ends_s: float


@dataclass(frozen=True, slots=True)
class Retuning:
    """A drum that must change its pitch.

    Attributes:
        at: Index of the stroke for which it must be done.
        drum: Which drum, 0 the largest.
        before, after: MIDI numbers it leaves and takes.
        seconds: From the end of the last stroke on it.
    """

    at: int
    drum: int
    before: int
    after: int
    seconds: float


Tuning = tuple[int | None, ...]
_Change = tuple[int, int, int, float]
_Cost = tuple[int, int, float]
"""Changes, those too quick, and how little time the quickest has: its seconds with a minus."""
_Step = tuple[Tuning, tuple[_Change, ...]]


def retunings(
    strokes: Sequence[Stroke],
    ranges: Sequence[tuple[int, int]] = DRUM_RANGES,
    enough_s: float = RETUNE_SECONDS,
) -> tuple[Retuning, ...]:
    """The changes of pitch of the best assignment of strokes to drums: never more than needed.

    Every drum is tuned once before the piece, which is no change, and changes only when a pitch is due that
    no drum has; putting a change off costs nothing, so no other way needs fewer. Of those with the fewest
    changes the one is taken with the fewest for which there is not time enough, and of those the one whose
    quickest change has most time. A pitch that no drum has, or
    that leaves no drum for the others struck with it, is passed over.

    Args:
        strokes: In order.
        ranges: Lowest and highest MIDI number of each drum.
        enough_s: Seconds that a change takes.

    Example:
        >>> pitches = (43, 48, 50, 55, 53)  # G2 C3 D3 G3 F3
        >>> strokes = [Stroke((pitch,), at, at + 1) for at, pitch in enumerate(pitches)]
        >>> [(each.before, each.after, each.seconds) for each in retunings(strokes)]
        [(50, 53, 1)]
    """
    costs: dict[Tuning, _Cost] = {(None,) * len(ranges): (0, 0, -inf)}
    steps: list[tuple[int, dict[Tuning, _Step]]] = []
    last: dict[int, float] = {}
    for at, stroke in enumerate(strokes):
        coming = dict[Tuning, _Cost]()
        came = dict[Tuning, _Step]()
        for tuning, (changes, quick, hurry) in costs.items():
            for after, changed in _ways(tuning, stroke, ranges, last):
                times = [seconds for *_, seconds in changed]
                cost = (
                    changes + len(times),
                    quick + sum(seconds < enough_s for seconds in times),
                    max([hurry, *(-seconds for seconds in times)]),
                )
                if after not in coming or cost < coming[after]:
                    coming[after], came[after] = cost, (tuning, changed)
        if coming:
            fewest = min(changes for changes, *_ in coming.values())
            # Any tuning becomes any other by one change a drum: one that costs more than that is never best.
            costs = {tuning: cost for tuning, cost in coming.items() if cost[0] <= fewest + len(ranges)}
            steps.append((at, came))
        last.update(dict.fromkeys(stroke.pitches, stroke.ends_s))
    tuning = min(costs, key=lambda each: costs[each])
    found = list[Retuning]()
    for at, came in reversed(steps):
        tuning, changed = came[tuning]
        found += [Retuning(at, *change) for change in reversed(changed)]
    return tuple(reversed(found))


def _ways(
    tuning: Tuning, stroke: Stroke, ranges: Sequence[tuple[int, int]], last: dict[int, float]
) -> Iterator[tuple[Tuning, tuple[_Change, ...]]]:
    """Every tuning in which a stroke can be played after another one, each with its changes."""
    wanted = [pitch for pitch in dict.fromkeys(stroke.pitches) if pitch not in tuning]
    if not wanted:
        yield tuning, ()
        return
    free = [drum for drum, pitch in enumerate(tuning) if pitch not in stroke.pitches]
    for drums in permutations(free, len(wanted)):
        if all(ranges[d][0] <= pitch <= ranges[d][1] for d, pitch in zip(drums, wanted, strict=True)):
            after, changed = list(tuning), list[_Change]()
            for drum, pitch in zip(drums, wanted, strict=True):
                before = tuning[drum]
                if before is not None:
                    changed.append((drum, before, pitch, stroke.begins_s - last[before]))
                after[drum] = pitch
            yield tuple(after), tuple(changed)
