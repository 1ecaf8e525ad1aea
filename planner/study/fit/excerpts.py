"""Choosing a passage that stands on its own, and what the study settled of it alone."""

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate, pairwise
from typing import TypeVar

import numpy as np

from planner.core.profile import Excerpt, KeySpan, MeterSpan, Roadmap
from planner.core.score import KeySignature, Note
from planner.study.facts import StudyFacts
from planner.study.notes.columns import Columns, PartColumns

SHORTEST_MEASURES = 8
"""A shorter passage is not a piece to read. House choice: two usual phrases."""

FILL_WEIGHT, SKILL_WEIGHT, BORDER_WEIGHT = 1.0, 1.0, 0.3
"""What filling the time, keeping the leading skills, and a strong border weigh. House choices."""

KEPT_SHARE = 0.5
"""Share of a skill's evidence that must lie in the excerpt for it to count as kept. House choice."""


@dataclass(frozen=True, slots=True)
class Border:
    """A phrase from ``first`` to ``last``; strong where a section begins or an authentic cadence ends."""

    first: int
    last: int
    is_strong_start: bool
    is_strong_end: bool


def is_played_straight(facts: StudyFacts) -> list[bool]:
    """For each measure, whether the roadmap ever goes from it straight to the next written one."""
    straight = [False] * len(facts.pulses)
    for before, after in pairwise(facts.roadmap.play_order):
        if after == before + 1:
            straight[before] = True
    return straight


def choose_excerpt(
    borders: Sequence[Border],
    straight: Sequence[bool],
    seconds: Sequence[float],
    budget_seconds: float,
    evidence: Mapping[str, Sequence[float]],
) -> Excerpt | None:
    """The best run of whole phrases that is played straight through within a playing time.

    Best: fills the time, keeps the leading skills, begins and ends at strong borders.
    None when no run of at least eight measures fits.

    Args:
        borders: Phrases in order of place.
        straight: For each measure, whether play goes straight on from it.
        seconds: For each measure, its playing time.
        budget_seconds: Playing time to fill.
        evidence: For each leading skill, how much of it each measure asks.
    """
    if budget_seconds <= 0:
        return None
    time = [0.0, *accumulate(seconds)]
    asked = {skill: [0.0, *accumulate(table)] for skill, table in evidence.items()}
    broken = [0, *accumulate(not way for way in straight)]
    best: tuple[float, Border, Border] | None = None
    for at, opening in enumerate(borders):
        for closing in borders[at:]:
            first, last = opening.first, closing.last
            length = time[last + 1] - time[first]
            if length > budget_seconds or broken[last] > broken[first]:
                break
            if last - first + 1 < SHORTEST_MEASURES:
                continue
            shares = [(sums[last + 1] - sums[first]) / sums[-1] for sums in asked.values()]
            worth = FILL_WEIGHT * length / budget_seconds
            worth += SKILL_WEIGHT * (sum(shares) / len(shares) if shares else 0.0)
            worth += BORDER_WEIGHT * (opening.is_strong_start + closing.is_strong_end)
            if best is None or worth > best[0] + 1e-9:
                best = (worth, opening, closing)
    if best is None:
        return None
    _, opening, closing = best
    first, last = opening.first, closing.last
    keeps = tuple(
        skill for skill, sums in asked.items() if sums[last + 1] - sums[first] >= KEPT_SHARE * sums[-1]
    )
    minutes = round((time[last + 1] - time[first]) / 60, 2)
    return Excerpt(
        first,
        last,
        minutes,
        keeps=keeps,
        begins_section=opening.is_strong_start,
        ends_closed=closing.is_strong_end,
        is_whole=first == 0 and last == len(seconds) - 1,
    )


def narrowed(columns: Columns, facts: StudyFacts, first: int, last: int) -> tuple[Columns, StudyFacts]:
    """The same score and facts with nothing outside measures ``first`` to ``last``, played once through.

    Measures keep their places, so nothing is worked out anew; good for rating, not for printing.
    """
    parts = tuple(_narrow_part(part, first, last) for part in columns.parts)
    score = replace(columns.score, parts=tuple(part.part for part in parts))
    kept = replace(
        facts,
        meters=_spans_within(facts.meters, first, last),
        keys=_spans_within(facts.keys, first, last),
        roadmap=Roadmap(tuple(range(first, last + 1))),
        accidentals=(),
        patterns=(),
    )
    return Columns(score, parts, columns.measure_start, columns.measure_length), kept


def _narrow_part(columns: PartColumns, first: int, last: int) -> PartColumns:
    part = columns.part
    begin = bisect_left(part.notes, first, key=_measure_of)
    end = bisect_right(part.notes, last, key=_measure_of)
    inside = slice(*(int(at) for at in np.searchsorted(columns.note, (begin, end))))
    narrow = replace(
        part,
        notes=part.notes[begin:end],
        keys=_spans_within(part.keys, first, last),
        dynamics=tuple(mark for mark in part.dynamics if first <= mark.measure <= last),
        hairpins=tuple(mark for mark in part.hairpins if first <= mark.measure <= last),
        words=tuple(mark for mark in part.words if first <= mark.measure <= last),
    )
    return PartColumns(
        part=narrow,
        index=columns.index,
        onset=columns.onset[inside],
        duration=columns.duration[inside],
        measure=columns.measure[inside],
        written=columns.written[inside],
        sounding=columns.sounding[inside],
        diatonic=columns.diatonic[inside],
        struck=columns.struck[inside],
        staff=columns.staff[inside],
        note=columns.note[inside] - begin,
    )


def _measure_of(note: Note) -> int:
    return note.measure


Span = TypeVar("Span", MeterSpan, KeySpan, KeySignature)


def _spans_within(spans: Sequence[Span], first: int, last: int) -> tuple[Span, ...]:
    """Spans that begin within the measures, and before them those in force at their start, staff by staff."""
    held: dict[int, Span] = {getattr(span, "staff", 1): span for span in spans if span.measure <= first}
    kept = list(held.values())
    kept += [span for span in spans if first < span.measure <= last]
    return tuple(kept)
