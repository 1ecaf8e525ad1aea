"""Measures cut out of a score as a score of their own: what an excerpt's level is checked against."""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import TypeVar

from planner.core.score import Clef, KeySignature, Part, Score, TempoMark


def cut_score(score: Score, first: int, last: int) -> Score:
    """Measures ``first`` to ``last`` as a score of their own, played straight through.

    What is in force where they begin (signature, clef, transposition, tempo) stands at their beginning.
    """
    start = score.measures[first].start_quarters
    measures = tuple(
        replace(
            m,
            index=m.index - first,
            start_quarters=m.start_quarters - start,
            time_changes=m.time_changes or m.index == first,
        )
        for m in score.measures[first : last + 1]
    )
    return replace(
        score,
        measures=measures,
        parts=tuple(_cut_part(part, first, last) for part in score.parts),
        marks=(),
        tempos=_in_force(score.tempos, first, last),
        issues=(),
    )


Placed = TypeVar("Placed", TempoMark, KeySignature, Clef)


def _in_force(placed: Sequence[Placed], first: int, last: int) -> tuple[Placed, ...]:
    """Signs within the measures, and at their beginning the last one still in force (on each staff)."""
    before: dict[int, Placed] = {}
    inside: list[Placed] = []
    for sign in placed:
        if sign.measure < first or (sign.measure == first and not sign.onset_quarters):
            before[_staff(sign)] = replace(sign, measure=0, onset_quarters=Fraction(0))
        elif sign.measure <= last:
            inside.append(replace(sign, measure=sign.measure - first))
    return tuple(list(before.values()) + inside)


def _staff(sign: TempoMark | KeySignature | Clef) -> int:
    return 0 if isinstance(sign, TempoMark) else sign.staff


def _cut_part(part: Part, first: int, last: int) -> Part:
    def inside(measure: int) -> bool:
        return first <= measure <= last

    transpositions = [(m - first, t) for m, t in part.transpositions if inside(m)]
    if part.transpositions and not (transpositions and transpositions[0][0] == 0):
        transpositions.insert(0, (0, part.transposition_at(first)))
    return replace(
        part,
        transpositions=tuple(transpositions),
        clefs=_in_force(part.clefs, first, last),
        keys=_in_force(part.keys, first, last),
        notes=tuple(replace(n, measure=n.measure - first) for n in part.notes if inside(n.measure)),
        dynamics=tuple(replace(d, measure=d.measure - first) for d in part.dynamics if inside(d.measure)),
        hairpins=tuple(
            replace(
                h,
                measure=h.measure - first,
                end_measure=None if h.end_measure is None else min(h.end_measure, last) - first,
            )
            for h in part.hairpins
            if inside(h.measure)
        ),
        words=tuple(replace(w, measure=w.measure - first) for w in part.words if inside(w.measure)),
        octave_lines=tuple(
            replace(line, measure=line.measure - first, end_measure=min(line.end_measure, last) - first)
            for line in part.octave_lines
            if inside(line.measure)
        ),
    )
