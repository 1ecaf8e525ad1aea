"""A part's dynamics laid over its bars."""

from collections.abc import Sequence
from itertools import pairwise

from planner.core.profile import DynamicUse
from planner.core.score import Part, Score
from planner.study.statements import listed, numbers

LOUDNESS: dict[str, int] = {
    "pppp": -5, "ppp": -4, "pp": -3, "p": -2, "mp": -1, "mf": 1, "f": 2, "ff": 3, "fff": 4, "ffff": 5,
}  # fmt: skip
"""Lasting marks from soft to loud; the step between mp and mf is a change of side. From memory."""

SUDDEN_STEPS = 4
"""Smallest jump on that scale that is told as sudden (p to f, mf to pp). House choice."""

MOST_LISTED = 20
"""Marks listed one by one; a busier part is told by its extremes. House choice."""

SWELLS = ("crescendo", "diminuendo")


def dynamics_of(part: Part) -> tuple[DynamicUse, ...]:
    """Dynamic marks and swells in order of place; a mark repeated on several staves once.

    Marks without a letter (bare brackets around another mark) are left out.
    """
    marks = [
        (d.measure, d.onset_quarters, DynamicUse(d.measure, d.mark))
        for d in part.dynamics
        if any(sign.isalpha() for sign in d.mark)
    ]
    marks += [
        (h.measure, h.onset_quarters, DynamicUse(h.measure, h.kind, h.end_measure)) for h in part.hairpins
    ]
    ordered = sorted(
        marks, key=lambda m: (m[0], m[1], m[2].mark in SWELLS, m[2].mark, m[2].end_measure or -1)
    )
    return tuple(use for _, _, use in dict.fromkeys(ordered))


def sudden_changes(uses: Sequence[DynamicUse]) -> tuple[tuple[DynamicUse, DynamicUse], ...]:
    """Neighbouring lasting marks far apart with no swell between them."""
    told = [use for use in uses if use.mark in LOUDNESS or use.mark in SWELLS]
    return tuple(
        (before, after)
        for before, after in pairwise(told)
        if before.mark in LOUDNESS
        and after.mark in LOUDNESS
        and abs(LOUDNESS[after.mark] - LOUDNESS[before.mark]) >= SUDDEN_STEPS
    )


def say_dynamics(score: Score, uses: Sequence[DynamicUse]) -> str:
    """One sentence: the map of the dynamics, and where they change suddenly."""
    if not uses:
        return "No dynamics on the page."
    if len(uses) <= MOST_LISTED:
        sentence = f"Dynamics by bar: {', '.join(_told(score, use) for use in uses)}."
    else:
        sentence = _extremes(score, uses)
    changes = sudden_changes(uses)
    if changes:
        told = [f"{b.mark} to {a.mark} in bar {score.measure_number(a.measure)}" for b, a in changes[:5]]
        sentence += f" Sudden: {listed(told)}."
    return sentence


def _told(score: Score, use: DynamicUse) -> str:
    return f"{numbers(score, use.measure, use.end_measure)} {use.mark}"


def _extremes(score: Score, uses: Sequence[DynamicUse]) -> str:
    lasting = [use for use in uses if use.mark in LOUDNESS]
    swells = sum(use.mark in SWELLS for use in uses)
    ends = f"{len(uses) - swells} marks and {swells} swells"
    if not lasting:
        return f"Dynamics: {ends}."
    softest = min(lasting, key=lambda use: (LOUDNESS[use.mark], use.measure))
    loudest = max(lasting, key=lambda use: (LOUDNESS[use.mark], -use.measure))
    return (
        f"Dynamics: {ends}, from {softest.mark} (first in bar {score.measure_number(softest.measure)}) "
        f"to {loudest.mark} (first in bar {score.measure_number(loudest.measure)})."
    )
