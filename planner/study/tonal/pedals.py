"""Pedal points: a bass note that stays while the chords over it change."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from planner.core.fact import Fact, FactKind
from planner.study.notes.columns import TICKS_PER_QUARTER, Columns, Floats
from planner.study.notes.sonority import LOF_LOW, Heads, Sonority
from planner.study.tonal.chords import KINDS, lof_name
from planner.study.tonal.decode import fifths_of

LEAST_QUARTERS = 6
"""Shortest pedal point named, in quarters (house choice)."""
LEAST_CHORDS = 3
"""Fewest chord changes over a pedal point (house choice: away and back again)."""
MOST_PEDALS = 4
"""Most pedal points named, the longest (house choice: what fits the study time)."""
CERTAINTY = 0.8
"""How sure a pedal point is. House choice: the notes are certain, whether it is heard as one is not."""


@dataclass(frozen=True, slots=True)
class Pedal:
    """A pedal point: its note on the line of fifths, first and last measure, and who holds it."""

    lof: int
    first: int
    last: int
    parts: tuple[int, ...]


def find_pedals(sonority: Sonority, heads: Heads) -> tuple[Pedal, ...]:
    """Stretches with one bass note under changing chords, at least one of which is foreign to it."""
    if not len(sonority):
        return ()
    change = np.flatnonzero(np.append(True, sonority.bass[1:] != sonority.bass[:-1]))
    ends = np.append(change[1:], len(sonority))
    long = (sonority.end[ends - 1] - sonority.start[change]) >= LEAST_QUARTERS * TICKS_PER_QUARTER
    found = []
    for first, end in zip(change[long].tolist(), ends[long].tolist(), strict=True):
        lof = int(sonority.bass[first])
        if lof != 99 and _is_pedal(sonority, lof, first, end):
            holders = _holders(heads, lof, int(sonority.start[first]), int(sonority.end[end - 1]))
            if holders:
                measures = sonority.measure[[first, end - 1]].tolist()
                found.append(Pedal(lof, measures[0], measures[1], holders))
    return tuple(found)


def _is_pedal(sonority: Sonority, lof: int, first: int, end: int) -> bool:
    """True when a chord of a quarter or more over the bass is foreign to it, with others before and after."""
    bass = 1 << (7 * lof) % 12
    sounding = [_classes(sonority.mass[at]) for at in range(first, end)]
    uppers = [classes & ~bass for classes in sounding]
    changes = sum(a != b for a, b in pairwise(uppers))
    long = (sonority.end - sonority.start)[first:end] >= TICKS_PER_QUARTER
    foreign = [
        _is_foreign(upper, bass) and bool(is_long) for upper, is_long in zip(uppers, long, strict=True)
    ]
    return changes + 1 >= LEAST_CHORDS and any(foreign[1:]) and not all(foreign)


def _classes(mass: Floats) -> int:
    """The pitch classes that sound, as bits."""
    bits = 0
    for place in np.flatnonzero(mass > _HEARD).tolist():
        bits |= 1 << (7 * (place + LOF_LOW)) % 12
    return bits


_HEARD = 0.5
"""Least sounding time of a pitch class in a slice to count for a pedal point (house choice)."""

_CHORD_BITS = tuple(
    sum(1 << (root + 7 * tone) % 12 for tone in tones) for tones in KINDS.values() for root in range(12)
)


def _is_foreign(upper: int, bass: int) -> bool:
    """True when the notes over the bass make a chord, and with the bass they make none."""
    whole = any(chord & upper == upper for chord in _CHORD_BITS)
    with_bass = any(chord & (upper | bass) == upper | bass for chord in _CHORD_BITS)
    return upper.bit_count() >= 3 and whole and not with_bass


def _holders(heads: Heads, lof: int, start: int, end: int) -> tuple[int, ...]:
    """Parts in which every note of the stretch is the pedal note, sounding for most of it."""
    inside = (heads.onset < end) & (heads.end > start)
    parts = heads.part[inside]
    right = heads.lof[inside] == lof
    length = np.minimum(heads.end[inside], end) - np.maximum(heads.onset[inside], start)
    return tuple(
        int(part)
        for part in np.unique(parts)
        if right[parts == part].all() and length[parts == part].sum() >= 0.6 * (end - start)
    )


def pedal_facts(columns: Columns, pedals: tuple[Pedal, ...]) -> list[Fact]:
    """The longest pedal points, for everyone and for those who hold them."""
    facts = []
    longest = sorted(pedals, key=lambda pedal: (pedal.first - pedal.last, pedal.first))[:MOST_PEDALS]
    for pedal in sorted(longest, key=lambda pedal: pedal.first):
        places, holders = ((pedal.first, pedal.last),), [columns.score.parts[at] for at in pedal.parts]
        facts.append(
            Fact(
                FactKind.PEDAL_POINT,
                places=places,
                parts=tuple(part.name for part in holders),
                notes=(lof_name(pedal.lof),),
                certainty=CERTAINTY,
                weight=0.5,
            )
        )
        for part in holders:
            own = lof_name(pedal.lof - fifths_of(part.transposition_at(pedal.first)))
            facts.append(
                Fact(
                    FactKind.PEDAL_HELD,
                    part.name,
                    places=places,
                    notes=(own,),
                    certainty=CERTAINTY,
                    weight=0.6,
                )
            )
    return facts
