"""Where the music comes to rest: cadences by their last two chords and the pause after them."""

from dataclasses import dataclass

import numpy as np

from planner.core.profile import Cadence
from planner.study.notes.columns import TICKS_PER_QUARTER, Ints
from planner.study.notes.sonority import Sonority
from planner.study.tonal.chords import CHORDS, KEYS, Chord, Key


@dataclass(frozen=True, slots=True)
class Arrival:
    """A cadence with what is needed to talk about it.

    Attributes:
        cadence: The value for the profile.
        tick: Where the last chord is struck.
        key: Its key.
        chord: The last chord.
        firmness: 3 at the end of the piece, 2 at a fermata or common rest, 1 on a long chord.
    """

    cadence: Cadence
    tick: int
    key: Key
    chord: Chord
    firmness: int


def find_arrivals(sonority: Sonority, key: Ints, chord: Ints) -> tuple[Arrival, ...]:
    """Cadences on the chords after which the music pauses, at most one a measure.

    Source:
        Kinds by the last two chords, as in theory books (common practice): dominant to tonic is
        authentic, subdominant to tonic plagal, dominant to the sixth degree deceptive, a stop on the
        dominant half.
    """
    found: dict[int, Arrival] = {}
    still = np.flatnonzero(sonority.pause)
    for at in sorted({*still.tolist(), *([len(key) - 1] if len(key) else [])}):
        arrival = _arrival(sonority, key, chord, at)
        if arrival is not None:
            before = found.get(arrival.cadence.measure)
            if before is None or before.firmness <= arrival.firmness:
                found[arrival.cadence.measure] = arrival
    return tuple(found[measure] for measure in sorted(found))


def _arrival(sonority: Sonority, key: Ints, chord: Ints, at: int) -> Arrival | None:
    begin = at
    while begin and chord[begin - 1] == chord[at] and key[begin - 1] == key[at]:
        begin -= 1
    if sonority.measure[begin] != sonority.measure[at]:
        return None if at - begin > _LONGEST_STAY else _named(sonority, key, chord, begin, at)
    return _named(sonority, key, chord, begin, at)


_LONGEST_STAY = 8
"""Most slices a last chord may have lasted before the pause: after that it is no arrival (house choice)."""


def _named(sonority: Sonority, key: Ints, chord: Ints, begin: int, at: int) -> Arrival | None:
    own = KEYS[key[at]]
    last = CHORDS[own.is_minor][chord[at]]
    if sonority.bass[at] == 99:
        return None
    rooted = (sonority.bass[at] - own.tonic - last.root) % 12 == 0
    firmness = 3 if at == len(key) - 1 else int(sonority.pause[at])
    kind = ""
    if begin:
        old = KEYS[key[begin - 1]]
        before = CHORDS[old.is_minor][chord[begin - 1]]
        kind = cadence_kind(before, before.root + old.tonic - own.tonic, last)
    if not kind or not rooted or (firmness == 1 and kind in ("half", "plagal")):
        return None
    if kind == "half" and key[begin - 1] != key[begin]:
        return None  # a new key begins there: its dominant is no place of rest in it yet
    if firmness == 1 and sonority.pause[begin - 1] and sonority.measure[begin - 1] != sonority.measure[begin]:
        return None  # the music came to rest on the chord before; this one begins anew
    measure, offset = int(sonority.measure[begin]), float(sonority.offset[begin] / TICKS_PER_QUARTER)
    return Arrival(
        Cadence(measure, offset, kind, own.name), int(sonority.start[begin]), own, last, max(firmness, 1)
    )


def cadence_kind(before: Chord, root: int, last: Chord) -> str:
    """The kind of cadence two chords make, or empty.

    Args:
        before: The chord before the last.
        root: Its root, on the line of fifths from the tonic of the last chord's key.
        last: The chord of arrival, in its own key.
    """
    sharp_third = len(before.tones) > 1 and before.tones[1] == 4
    is_dominant = (root == 1 and sharp_third) or (root == 5 and before.quality.startswith(("dim", "half")))
    if last.function == "tonic":
        return "authentic" if is_dominant else "plagal" if root == -1 else ""
    if last.figure == "V":
        return "half"
    if last.figure in ("vi", "VI") and root == 1 and sharp_third:
        return "deceptive"
    return ""
