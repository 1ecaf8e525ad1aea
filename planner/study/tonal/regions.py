"""Where the music stays in which key, and what everyone should know of it."""

from dataclasses import dataclass, replace

from planner.core.fact import Fact, FactKind, named
from planner.core.profile import KeyRelation, KeySpan
from planner.study.form.boundaries import boundaries_of
from planner.study.notes.columns import Columns
from planner.study.tonal.chords import KEYS, Key, key_index, lof_name
from planner.study.tonal.modes import Mode

LEAST_MEASURES = 4
"""Shortest region named to everyone, in measures.

Source: house choice: a phrase; a key touched for less than that is a tonicization in theory books (common
practice) and no new place to be.
"""
MOST_REGIONS = 6
"""Most places of one key that are named (house choice)."""
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
    """The local keys with the last measure each one reaches."""
    end = len(columns.score.measures) - 1
    found = []
    for span, after in zip(spans, (*spans[1:], None), strict=True):
        last = end if after is None else after.measure - (after.offset_quarters == 0.0)
        at = key_index(span.key)
        if at is not None:
            cut = 0 if after is None else int(after.offset_quarters != 0.0)
            whole = int(last) - span.measure + 1 - cut - (span.offset_quarters != 0.0)
            found.append(Region(KEYS[at], span.relation, span.measure, max(int(last), span.measure), whole))
    return _without_touches(columns, found)


def _without_touches(columns: Columns, regions: list[Region]) -> tuple[Region, ...]:
    """A short region between two of one key belongs to that key, unless a section begins with it."""
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
