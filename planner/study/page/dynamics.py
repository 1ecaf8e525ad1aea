"""A part's dynamics laid over its bars, and where they change suddenly."""

import re
from collections.abc import Sequence
from dataclasses import replace

from planner.core.fact import Fact, FactKind, named
from planner.core.profile import DynamicUse
from planner.core.score import Part

LOUDNESS: dict[str, int] = {
    "pppp": -5, "ppp": -4, "pp": -3, "p": -2, "mp": -1, "mf": 1, "f": 2, "ff": 3, "fff": 4, "ffff": 5,
}  # fmt: skip
"""Lasting marks from soft to loud; the step between mp and mf is a change of side. From memory."""

SUDDEN_STEPS = 4
"""Smallest jump on that scale that is sudden (p to f, mf to pp). House choice."""

MOST_MARKS = 20
"""Marks that a reader can take in one by one; of a busier part the extremes count. House choice."""

MOST_BARE_MARKS = 12
"""Marks without the swells that are still read one by one where both are too many. House choice."""

MOST_SUDDEN = 5
"""Most sudden changes that a fact speaks of. House choice."""

SWELLS = ("crescendo", "diminuendo")


_LETTERS = re.compile(r"(?<![^\W\d_])[mpfsrz]*[pf][mpfsrz]*(?![^\W\d_])|\brinf")
"""A word of the letters of dynamics alone, ``p`` or ``f`` among them."""


def is_dynamic(mark: str) -> bool:
    """Whether a text is a dynamic, alone or with words beside it; files give other words for dynamics too.

    Example:
        >>> is_dynamic("più f"), is_dynamic("sfz"), is_dynamic("a tempo"), is_dynamic("[")
        (True, True, False, False)
    """
    return bool(_LETTERS.search(mark))


def is_step(mark: str) -> bool:
    """Whether a mark asks for more or less in words than its sign alone.

    Example:
        >>> is_step("poco più f"), is_step("sfz"), is_step("sempre p")
        (True, False, False)
    """
    return bool(_STEP.match(mark)) and is_dynamic(mark)


_STEP = re.compile(
    r"(?:.*\b(?:pi[ùu]|meno|plus|moins|mehr|weniger|more|less)|(?:un )?poco|quasi|un peu|etwas)\b",
    re.IGNORECASE,
)


def dynamics_of(part: Part) -> tuple[DynamicUse, ...]:
    """Dynamic marks and swells in order of place; a mark repeated on several staves once.

    Bare brackets around another mark, and words that are no dynamics, are left out.
    """
    marks = [
        (d.measure, d.onset_quarters, DynamicUse(d.measure, d.mark))
        for d in part.dynamics
        if is_dynamic(d.mark)
    ]
    marks += [
        (h.measure, h.onset_quarters, DynamicUse(h.measure, h.kind, h.end_measure)) for h in part.hairpins
    ]
    ordered = sorted(
        marks, key=lambda m: (m[0], m[1], m[2].mark in SWELLS, m[2].mark, m[2].end_measure or -1)
    )
    return with_sudden_changes(tuple(use for _, _, use in dict.fromkeys(ordered)))


def with_sudden_changes(uses: Sequence[DynamicUse]) -> tuple[DynamicUse, ...]:
    """The same, each lasting mark far from the lasting one before it, with no swell between, as sudden.

    After a mark such as "più f" nobody knows how loud it is: none is sudden there.
    """
    found, before = list[DynamicUse](), ""
    for use in uses:
        if use.mark in LOUDNESS and before in LOUDNESS:
            is_sudden = abs(LOUDNESS[use.mark] - LOUDNESS[before]) >= SUDDEN_STEPS
            use = replace(use, sudden_from=before if is_sudden else "")
        if use.mark in LOUDNESS or use.mark in SWELLS or is_step(use.mark):
            before = use.mark
        found.append(use)
    return tuple(found)


def dynamics_fact(name: str, uses: Sequence[DynamicUse]) -> Fact:
    """The fact about the dynamics of a part: its marks, or their extremes where there are many."""
    if not uses:
        return Fact(FactKind.NO_DYNAMICS, name, weight=0.1)
    sudden = min(MOST_SUDDEN, sum(bool(use.sudden_from) for use in uses))
    swells = sum(use.mark in SWELLS for use in uses)
    if len(uses) <= MOST_MARKS or 0 < len(uses) - swells <= MOST_BARE_MARKS:
        left_out = 0 if len(uses) <= MOST_MARKS else swells
        return Fact(FactKind.DYNAMICS, name, numbers=named(sudden=sudden, swells=left_out), weight=0.5)
    lasting = [use for use in uses if use.mark in LOUDNESS]
    steps = [LOUDNESS[use.mark] for use in lasting]
    ends = dict.fromkeys(
        (use.mark, use.measure)
        for step in sorted({min(steps), max(steps)} if steps else ())
        for use in lasting
        if LOUDNESS[use.mark] == step
    )
    return Fact(
        FactKind.DYNAMIC_EXTREMES,
        name,
        places=tuple((measure, measure) for _, measure in ends),
        terms=tuple(mark for mark, _ in ends),
        numbers=named(marks=len(uses) - swells, swells=swells, sudden=sudden),
        weight=0.5,
    )
