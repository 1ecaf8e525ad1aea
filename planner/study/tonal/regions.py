"""Where the music stays in which key, and what everyone should know of it."""

from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from planner.core.fact import Fact, FactKind, named
from planner.core.profile import KeyRelation, KeySpan
from planner.study.form.boundaries import boundaries_of
from planner.study.notes.columns import Columns, Ints
from planner.study.notes.sonority import Sonority
from planner.study.tonal.chords import CHORDS, KEYS, N_CHORDS, Key, key_index, lof_name
from planner.study.tonal.decode import Path
from planner.study.tonal.modes import Mode

LEAST_MEASURES = 4
"""Shortest region named to everyone, in measures.

Source: house choice: a phrase; a key touched for less than that is a tonicization in theory books (common
practice) and no new place to be.
"""
MOST_REGIONS = 6
"""Most places of one key that are named (house choice)."""
MOST_BETWEEN = LEAST_MEASURES
"""Farthest from one applied chord to the next of the same touch, in measures (house choice: a phrase)."""
SHORT_PIECE = 24
"""In pieces of fewer measures half a phrase is enough (house choice)."""
HOME_CERTAINTY = 0.95
"""How sure the home key is. Source: share of labelled scores on which it is the label, at least
(``tests.benchmarks.study_figures keys``)."""
REGION_CERTAINTY = 0.75
"""How sure a local key is. House choice, below the agreement with analyses by people in the same table."""


@dataclass(frozen=True, slots=True)
class Region:
    """A local key with its first and last measure, and how many measures it fills from bar to bar."""

    key: Key
    relation: KeyRelation
    first: int
    last: int
    whole_measures: int


def regions_of(columns: Columns, spans: tuple[KeySpan, ...]) -> tuple[Region, ...]:
    """The local keys with the last measure each one reaches, the short ones too."""
    end = len(columns.score.measures) - 1
    found = []
    for span, after in zip(spans, (*spans[1:], None), strict=True):
        last = end if after is None else after.measure - (after.offset_quarters == 0.0)
        at = key_index(span.key)
        if at is not None:
            cut = 0 if after is None else int(after.offset_quarters != 0.0)
            whole = int(last) - span.measure + 1 - cut - (span.offset_quarters != 0.0)
            found.append(Region(KEYS[at], span.relation, span.measure, max(int(last), span.measure), whole))
    return tuple(found)


def touches_of(
    columns: Columns, sonority: Sonority, path: Path, regions: tuple[Region, ...]
) -> tuple[Region, ...]:
    """Keys that are touched inside another: short regions, and keys that applied chords point to.

    Applied chords of one key close to one another are one touch, as in V/V V V/V.

    Args:
        columns: The score.
        sonority: Its slices.
        path: Key and chord of each slice.
        regions: All regions, the short ones too.
    """
    touches = [region for region in regions if is_short(columns, region)]
    points_to = _applied_keys()[path.key, path.chord]
    open_at: dict[int, Region] = {}
    for at in np.flatnonzero(points_to >= 0).tolist():
        key, measure = int(points_to[at]), int(sonority.measure[at])
        before = open_at.get(key)
        if before is not None and measure - before.last <= MOST_BETWEEN:
            open_at[key] = replace(before, last=measure)
        else:
            if before is not None:
                touches.append(before)
            open_at[key] = Region(KEYS[key], KeyRelation.DISTANT, measure, measure, 0)
    return tuple(sorted([*touches, *open_at.values()], key=lambda touch: (touch.first, touch.last)))


@cache
def _applied_keys() -> Ints:
    """By key and chord the place in ``KEYS`` of the key that an applied chord points to, -1 for others."""
    table = np.full((len(KEYS), N_CHORDS), -1, dtype=np.int64)
    for at, local in enumerate(KEYS):
        for chord, each in enumerate(CHORDS[local.is_minor]):
            key = each.applied_key(local)
            found = None if key is None else key_index(key.name)
            table[at, chord] = -1 if found is None else found
    return table


def settled(columns: Columns, regions: tuple[Region, ...]) -> tuple[Region, ...]:
    """The regions; a short one between two of one key is part of them, unless a section begins with it."""
    kept: list[Region] = []
    begins = set(boundaries_of(columns)[0])
    for region in regions:
        between = len(kept) > 1 and kept[-2].key == region.key and kept[-1].first not in begins
        if between and is_short(columns, kept[-1]):
            first = kept[-2]
            kept[-2:] = [
                replace(
                    first,
                    last=region.last,
                    whole_measures=max(region.last - first.first - 1, first.whole_measures),
                )
            ]
        else:
            kept.append(region)
    return tuple(kept)


def is_short(columns: Columns, region: Region) -> bool:
    """True for a key that is only touched; measures that it does not fill are not counted."""
    count = len(columns.score.measures)
    return region.whole_measures < (LEAST_MEASURES if count >= SHORT_PIECE else LEAST_MEASURES // 2)


def region_facts(
    columns: Columns, home: Key, mode: Mode | None, regions: tuple[Region, ...]
) -> tuple[Fact, ...]:
    """The home key with its mode, and one fact for each other key in which the music stays.

    With a mode the fact names the note it has and the one of the key that it has not.
    """
    away: dict[Key, list[Region]] = {}
    for region in regions:
        if region.key != home and not is_short(columns, region):
            away.setdefault(region.key, []).append(region)
    opening = Fact(
        FactKind.HOME_KEY,
        notes=tuple(lof_name(home.tonic + step) for step in (mode.own, mode.usual)) if mode else (),
        keys=(home.name,),
        terms=(mode.name,) if mode else (),
        certainty=HOME_CERTAINTY,
        weight=0.8,
    )
    return (opening, *(_away(of_key) for of_key in away.values()))


def _away(regions: list[Region]) -> Fact:
    relation = regions[0].relation
    return Fact(
        FactKind.AWAY_FROM_HOME,
        places=tuple((region.first, region.last) for region in regions[:MOST_REGIONS]),
        keys=(regions[0].key.name,),
        terms=(relation,) if relation else (),
        numbers=named(more=max(0, len(regions) - MOST_REGIONS)),
        certainty=REGION_CERTAINTY,
        weight=0.7,
    )
