"""What to tell players about the keys: regions, and the accidentals they bring to each part."""

from dataclasses import dataclass, replace

import numpy as np

from planner.core.pitch import CONCERT
from planner.core.profile import KeySpan, Statement
from planner.study.form.boundaries import boundaries_of
from planner.study.notes.columns import Columns, Ints, PartColumns
from planner.study.notes.sonority import spelled_lof
from planner.study.talk import bar_spans, bars, counted, listed, often
from planner.study.tonal.chords import KEYS, Key, key_index, lof_name, spoken_key, spoken_pitch
from planner.study.tonal.decode import fifths_of

LEAST_TIMES = 2
"""How often an accidental must come in a region to be explained (house choice: repeated means twice)."""
LEAST_MEASURES = 4
"""Shortest region told to everyone, in measures.

Source: house choice: a phrase; a key touched for less than that is a tonicization in theory books (common
practice) and no new place to be.
"""
MOST_REGIONS = 6
"""Most places of one key that are named (house choice)."""
SHORT_PIECE = 24
"""In pieces of fewer measures half a phrase is enough (house choice)."""
MOST_FOR_A_PART = 4
"""Most accidentals explained to one part (house choice: what fits the study time)."""


@dataclass(frozen=True, slots=True)
class Region:
    """A local key with its first and last measure, and how many measures it fills from bar to bar."""

    key: Key
    relation: str
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
        if between and _is_short(columns, kept[-1]):
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


def key_statements(columns: Columns, home: Key, spans: tuple[KeySpan, ...]) -> tuple[Statement, ...]:
    """Home key, regions away from it, and for each part the accidentals that the keys explain."""
    regions = regions_of(columns, spans)
    concert = "concert " if any(part.transposition != CONCERT for part in columns.score.parts) else ""
    said = [Statement("key", f"The home key is {concert}{spoken_key(home.name)}.")]
    away: dict[Key, list[Region]] = {}
    for region in regions:
        if region.key != home and not _is_short(columns, region):
            away.setdefault(region.key, []).append(region)
    said += [_region_statement(columns, of_key, concert) for of_key in away.values()]
    for part in columns.pitched():
        said += _part_statements(columns, part, regions)
    return tuple(said)


def _is_short(columns: Columns, region: Region) -> bool:
    """True for a key that is only touched; measures that it does not fill are not counted."""
    count = len(columns.score.measures)
    return region.whole_measures < (LEAST_MEASURES if count >= SHORT_PIECE else LEAST_MEASURES // 2)


def _region_statement(columns: Columns, regions: list[Region], concert: str) -> Statement:
    """One sentence for all the bars in one key."""
    places = [(region.first, region.last) for region in regions[:MOST_REGIONS]]
    where = bar_spans(columns, places)
    if len(regions) > MOST_REGIONS:
        where += f", and {counted(len(regions) - MOST_REGIONS)} more"
    named = f", the {regions[0].relation}" if regions[0].relation else ""
    sentence = f"{where.capitalize()}: {concert}{spoken_key(regions[0].key.name)}{named}."
    return Statement("key", sentence, measure=places[0][0], end_measure=places[-1][1])


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


def _part_statements(columns: Columns, part: PartColumns, regions: tuple[Region, ...]) -> list[Statement]:
    """The accidentals that come again and again in a part, each with the key that brings them."""
    signatures = written_signatures(part, len(columns.measure_start))
    keep = np.flatnonzero(~np.isnan(part.written) & part.struck)
    lof = spelled_lof(part.written[keep], part.diatonic[keep])
    measure = part.measure[keep]
    away = lof - signatures[measure]
    altered = np.flatnonzero((away < -1) | (away > 5))
    found: list[tuple[int, Statement]] = []
    for region in regions:
        inside = altered[(measure[altered] >= region.first) & (measure[altered] <= region.last)]
        if len(inside) >= LEAST_TIMES:
            statement = _explained(columns, part, region, signatures, lof[inside], measure[inside])
            if statement is not None:
                found.append((len(inside), statement))
    best = sorted(found, key=lambda item: -item[0])[:MOST_FOR_A_PART]
    return sorted((statement for _, statement in best), key=lambda s: s.measure or 0)


def _explained(
    columns: Columns, part: PartColumns, region: Region, signatures: Ints, lof: Ints, measure: Ints
) -> Statement | None:
    """One sentence for the altered notes of a region that belong to its key; None when none does."""
    shift = fifths_of(part.part.transposition_at(region.first))
    seen = written_key(region.key, shift, int(signatures[region.first]))
    scale = _scale(seen)
    names, kept = [], np.zeros(len(lof), dtype=bool)
    for place in sorted(set(lof.tolist())):
        times = int((lof == place).sum())
        if place in scale and times >= LEAST_TIMES:
            names.append(_sign(place))
            kept |= lof == place
    if not names:
        return None
    first, last = int(measure[kept].min()), int(measure[kept].max())
    sounding = f" (concert {spoken_key(region.key.name)})" if shift else ""
    stay = "you touch" if _is_short(columns, region) else "you are in"
    sentence = (
        f"{listed(names)} in {bars(columns, first, last)}, {often(int(kept.sum()))}: "
        f"{stay} {spoken_key(seen.name)} here{sounding}"
    )
    leading = _sign(seen.tonic + 5)
    sentence += f"; {leading} is its leading note." if leading in names else "."
    return Statement("accidentals", sentence, part.part.name, first, last)


def _sign(lof: int) -> str:
    """A note with the sign printed before it: a natural for one without sharp or flat."""
    name = spoken_pitch(lof_name(lof))
    return name if len(name) > 1 else name + "♮"


def _scale(key: Key) -> frozenset[int]:
    """Notes of a key: in minor with the sixth and seventh also raised."""
    steps = (-4, -3, -2, -1, 0, 1, 2, 3, 5) if key.is_minor else range(-1, 6)
    return frozenset(key.tonic + step for step in steps)
