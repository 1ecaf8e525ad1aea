"""Which chord sounds on each beat, what it does in the key, and where the music comes to rest."""

from dataclasses import dataclass

import numpy as np

from planner.core.fact import Fact
from planner.core.profile import Cadence, HarmonySpan
from planner.study.notes.columns import TICKS_PER_QUARTER, Columns, Ints
from planner.study.notes.sonority import Sonority, heads_of, sonority_of
from planner.study.tonal.cadences import cadence_facts, find_arrivals
from planner.study.tonal.chords import CHORDS, KEYS, key_index, lof_name
from planner.study.tonal.keys import KeyStudy, path_of
from planner.study.tonal.pedals import find_pedals, pedal_facts


@dataclass(frozen=True, slots=True)
class HarmonyStudy:
    """Chords, cadences, and what readers need to know of them."""

    spans: tuple[HarmonySpan, ...] = ()
    cadences: tuple[Cadence, ...] = ()
    facts: tuple[Fact, ...] = ()


def find_harmony(columns: Columns, keys: KeyStudy) -> HarmonyStudy:
    """Chords with root and function, cadences and pedal points, in the keys already found.

    Example:
        >>> from planner.study.notes.columns import columns_of
        >>> from planner.core.score import Score
        >>> find_harmony(columns_of(Score("Empty", (), ())), KeyStudy("")).spans
        ()
    """
    heads = heads_of(columns)
    if not len(heads) or not keys.spans:
        return HarmonyStudy()
    sonority = sonority_of(columns)
    path = path_of(columns)
    key, chord = path.key, path.chord
    home = key_index(keys.home_key) if keys.home_key else None
    arrivals = find_arrivals(columns, key, chord, None if home is None else KEYS[home])
    pedals = find_pedals(sonority, heads)
    facts = (*cadence_facts(columns, heads, arrivals), *pedal_facts(columns, pedals))
    return HarmonyStudy(_spans(sonority, key, chord), tuple(a.cadence for a in arrivals), facts)


def _spans(sonority: Sonority, key: Ints, chord: Ints) -> tuple[HarmonySpan, ...]:
    change = np.append(True, (key[1:] != key[:-1]) | (chord[1:] != chord[:-1]))
    spans: list[HarmonySpan] = []
    for at in np.flatnonzero(change):
        local = KEYS[key[at]]
        found = CHORDS[local.is_minor][chord[at]]
        spans.append(
            HarmonySpan(
                int(sonority.measure[at]),
                float(sonority.offset[at] / TICKS_PER_QUARTER),
                found.function,
                lof_name(local.tonic + found.root),
                found.quality,
            )
        )
    return tuple(spans)
