"""A line laid into a part's range with as few octave breaks as it takes.

Each note may be moved by whole octaves; the cheapest way through all notes keeps
the line's own intervals, breaks at rests and wide steps rather than in a slur, and
stays near the octave that was asked for.
"""

from collections.abc import Callable

from .lines import Bar, Event
from .tones import Tone

_OCTAVES = (0, -1, 1, -2, 2)
_BREAK, _IN_SLUR, _AFTER_REST, _AWAY = 4.0, 6.0, 0.5, 0.3


def folded(bars: list[Bar], fits: Callable[[Tone], bool]) -> dict[tuple[int, int], int]:
    """Octaves to move each note, by its bar and its place there; no entry where none fits.

    Args:
        bars: The line where it was asked to lie.
        fits: Tells whether a tone lies in the range of the part.
    """
    notes = _notes(bars)
    table: list[dict[int, tuple[float, int]]] = []
    for at, (_, event, parted, slurred) in enumerate(notes):
        before = (notes[at - 1][1], parted, slurred) if at else None
        table.append(_row(event, before, table[-1] if table else {}, fits))
        if not table[-1]:
            return {}
    found: dict[tuple[int, int], int] = {}
    octave = min(table[-1], key=lambda o: table[-1][o][0]) if table else 0
    for (place, *_), row in zip(reversed(notes), reversed(table), strict=True):
        found[place] = octave
        octave = row[octave][1]
    return found


Before = tuple[Event, bool, bool]
"""The note before, whether a rest parts it from this one, and whether a slur joins them."""


def _notes(bars: list[Bar]) -> list[tuple[tuple[int, int], Event, bool, bool]]:
    """Place and event of each note, whether a rest comes before it, and whether a slur leads to it."""
    found, parted, slurs = [], False, 0
    for at, bar in enumerate(bars):
        for i, event in enumerate(bar):
            if event.tone is None:
                parted = True
                continue
            found.append(((at, i), event, parted, slurs > 0))
            parted = False
            slurs += event.slur_starts - event.slur_stops
    return found


def _row(event: Event, before: Before | None, last: dict[int, tuple[float, int]],
         fits: Callable[[Tone], bool]) -> dict[int, tuple[float, int]]:  # fmt: skip
    row: dict[int, tuple[float, int]] = {}
    for octave in _OCTAVES:
        moved = Tone(event.tone.step + 7 * octave, event.tone.alter) if event.tone else None
        if moved is None or not fits(moved):
            continue
        if before is None:
            row[octave] = (_AWAY * abs(octave), 0)
            continue
        ways = [(cost + _step_cost(before, event, was, octave), was) for was, (cost, _) in last.items()]
        cost, was = min(ways)
        row[octave] = (cost + _AWAY * abs(octave), was)
    return row


def _step_cost(before: Before, event: Event, was: int, octave: int) -> float:
    note, parted, slurred = before
    if was == octave or note.tone is None or event.tone is None:
        return 0.0
    step = event.tone.midi - note.tone.midi
    wider = max(0, abs(step + 12 * (octave - was)) - max(7, abs(step)))
    cost = (_BREAK + wider) * (_AFTER_REST if parted else 1.0) + _IN_SLUR * slurred
    return cost + (100.0 if note.tie else 0.0)
