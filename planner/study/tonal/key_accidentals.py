"""Which accidentals a key brings to a part again and again."""

import numpy as np
from numpy.typing import NDArray

from planner.core.fact import Fact, FactKind
from planner.study.notes.columns import Columns, Ints, PartColumns
from planner.study.notes.sonority import spelled_lof
from planner.study.tonal.chords import Key, lof_name
from planner.study.tonal.decode import fifths_of
from planner.study.tonal.regions import REGION_CERTAINTY, Region, is_short

LEAST_TIMES = 2
"""How often an accidental must come in a region to be explained (house choice: repeated means twice)."""
MOST_FOR_A_PART = 4
"""Most accidentals explained to one part (house choice: what fits the study time)."""


def key_accidentals(
    columns: Columns, part: PartColumns, regions: tuple[Region, ...], touches: tuple[Region, ...]
) -> list[Fact]:
    """The accidentals that come again and again in a part, each with the key that brings them.

    Args:
        columns: The score.
        part: One of its parts.
        regions: The keys in which the music stays.
        touches: The keys that are touched inside them; they explain what those leave.
    """
    signatures = written_signatures(part, len(columns.measure_start))
    keep = np.flatnonzero(~np.isnan(part.written) & part.struck)
    lof = spelled_lof(part.written[keep], part.diatonic[keep])
    measure = part.measure[keep]
    away = lof - signatures[measure]
    altered = np.flatnonzero((away < -1) | (away > 5))
    altered = altered[np.argsort(measure[altered], kind="stable")]
    found: list[tuple[int, Fact]] = []
    is_left = np.ones(len(altered), dtype=bool)
    for region, is_touch in [*((each, False) for each in regions), *((each, True) for each in touches)]:
        begin, end = np.searchsorted(measure[altered], (region.first, region.last + 1)).tolist()
        inside = np.arange(begin, end)
        explained_before = set(lof[altered[inside[~is_left[inside]]]].tolist()) if is_touch else set()
        inside = inside[~np.isin(lof[altered[inside]], list(explained_before))]
        if len(inside) >= LEAST_TIMES:
            at = altered[inside]
            explained = _explained(columns, part, region, signatures, lof[at], measure[at], is_touch)
            if explained is not None:
                fact, kept = explained
                is_left[inside[kept]] = False
                found.append((len(inside), fact))
    best = sorted(found, key=lambda item: -item[0])[:MOST_FOR_A_PART]
    return sorted((fact for _, fact in best), key=lambda fact: fact.places[0][0])


def _explained(
    columns: Columns,
    part: PartColumns,
    region: Region,
    signatures: Ints,
    lof: Ints,
    measure: Ints,
    is_touch: bool,
) -> tuple[Fact, NDArray[np.bool_]] | None:
    """The altered notes of a region that belong to its key, and which those are; None when none does.

    A key that is touched must bring its leading tone, the note that leads to it (common practice): of such
    touches analysts of songs hear 9 of 10, of others every second one.
    """
    shift = fifths_of(part.part.transposition_at(region.first))
    seen = written_key(region.key, shift, int(signatures[region.first]))
    scale = scale_of(seen)
    notes, kept = [], np.zeros(len(lof), dtype=bool)
    for place in sorted(set(lof.tolist())):
        if place in scale and int((lof == place).sum()) >= LEAST_TIMES:
            notes.append(place)
            kept |= lof == place
    if not notes or (is_touch and seen.tonic + 5 not in notes):
        return None
    numbers: list[tuple[str, float]] = [("times", int(kept.sum()))]
    if seen.tonic + 5 in notes:
        numbers.append(("leading", notes.index(seen.tonic + 5)))
    is_touched = is_touch or is_short(columns, region)
    fact = Fact(
        FactKind.KEY_ACCIDENTALS,
        part.part.name,
        places=((int(measure[kept].min()), int(measure[kept].max())),),
        notes=tuple(lof_name(place) for place in notes),
        keys=(seen.name, region.key.name) if shift else (seen.name,),
        terms=("touched",) if is_touched else (),
        numbers=tuple(numbers),
        certainty=REGION_CERTAINTY,
        weight=0.5 if is_touched else 0.7,
    )
    return fact, kept


def written_key(key: Key, shift: int, fifths: int) -> Key:
    """A sounding key as a transposing part sees it, spelled towards the signature of that part."""
    seen = Key(key.tonic - shift, key.is_minor)
    turns = round((seen.fifths - fifths) / 12)
    return Key(seen.tonic - 12 * turns, key.is_minor)


def written_signatures(part: PartColumns, measures: int) -> Ints:
    """Signature in force in each measure of a part as written; 0 without one."""
    written = np.zeros(measures, dtype=np.int64)
    for key in part.part.keys:
        if 0 <= key.measure < measures:
            written[key.measure :] = key.fifths
    return written


def scale_of(key: Key) -> frozenset[int]:
    """Notes of a key: in minor with the sixth and seventh also raised."""
    steps = (-4, -3, -2, -1, 0, 1, 2, 3, 5) if key.is_minor else range(-1, 6)
    return frozenset(key.tonic + step for step in steps)
