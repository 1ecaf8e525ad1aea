"""Which note values a part uses, and published measures of how intricate a rhythm is."""

import itertools
import math
from collections import Counter
from collections.abc import Sequence

from planner.core.score import Part

METRIC_WEIGHTS: tuple[int, ...] = (5, 1, 2, 1, 3, 1, 2, 1, 4, 1, 2, 1, 3, 1, 2, 1)
"""Metric weights of sixteen pulses. Source: Toussaint (2002), after Lerdahl and Jackendoff (1983)."""

LHL_WEIGHTS: tuple[int, ...] = (0, -4, -3, -4, -2, -4, -3, -4, -1, -4, -3, -4, -2, -4, -3, -4)
"""Weights of sixteen pulses. Source: Longuet-Higgins and Lee (1984), "The rhythmic interpretation"."""

_VALUE_ORDER = (
    "maxima", "long", "breve", "whole", "half", "quarter", "eighth", "16th", "32nd", "64th", "128th", "256th",
)  # fmt: skip
VALUE_NAMES: dict[str, str] = {
    "16th": "sixteenth",
    "32nd": "thirty-second",
    "64th": "sixty-fourth",
    "breve": "double whole",
}


def values_used(part: Part) -> tuple[str, ...]:
    """Note values on the page, longest first, e.g. ``dotted quarter`` or ``eighth triplet``.

    Rests, cue notes and grace notes are not counted.
    """
    found = {
        (note.value, note.dots, note.tuplet)
        for note in part.notes
        if note.value and not (note.is_rest or note.is_cue or note.is_grace)
    }

    def longest_first(item: tuple[str, int, tuple[int, int] | None]) -> tuple[int, int, tuple[int, int]]:
        value, dots, tuplet = item
        place = _VALUE_ORDER.index(value) if value in _VALUE_ORDER else len(_VALUE_ORDER)
        return (place, -dots, tuplet or (0, 0))

    return tuple(value_name(*item) for item in sorted(found, key=longest_first))


def value_name(value: str, dots: int, tuplet: tuple[int, int] | None) -> str:
    """A note value in words.

    Example:
        >>> value_name("quarter", 1, None), value_name("eighth", 0, (3, 2))
        ('dotted quarter', 'eighth triplet')
    """
    words = ["", "dotted ", "double-dotted ", "triple-dotted "][min(dots, 3)] + VALUE_NAMES.get(value, value)
    if tuplet is None:
        return words
    names = {3: "triplet", 5: "quintuplet", 6: "sextuplet", 7: "septuplet", 2: "duplet", 4: "quadruplet"}
    return f"{words} {names.get(tuplet[0], f'{tuplet[0]}:{tuplet[1]} tuplet')}"


def intervals_between_onsets(onsets: Sequence[int], pulses: int) -> tuple[int, ...]:
    """Pulses from each onset to the next, around the cycle.

    Example:
        >>> intervals_between_onsets((0, 3, 6, 10, 12), 16)
        (3, 3, 4, 2, 4)
    """
    later = (*onsets[1:], onsets[0] + pulses) if onsets else ()
    return tuple(b - a for a, b in zip(onsets, later, strict=True))


def metric_complexity(onsets: Sequence[int], weights: Sequence[int] = METRIC_WEIGHTS) -> int:
    """How far a rhythm stays below the strongest pulses it could have used.

    Source: Toussaint, "A mathematical analysis of African, Brazilian and Cuban clave rhythms" (2002).

    Example:
        >>> metric_complexity((0, 3, 6, 10, 12))
        4
    """
    strongest = sum(sorted(weights, reverse=True)[: len(onsets)])
    return strongest - sum(weights[at] for at in onsets)


def off_beatness(onsets: Sequence[int], pulses: int = 16) -> int:
    """Onsets at pulses that no even division of the cycle reaches.

    Source: Toussaint, "Mathematical features for recognizing preference in sub-Saharan African
    traditional rhythm timelines" (2005): pulses coprime to the cycle length.

    Example:
        >>> off_beatness((0, 3, 7, 10, 12))
        2
    """
    return sum(math.gcd(at, pulses) == 1 for at in onsets)


def lhl_syncopation(onsets: Sequence[int], weights: Sequence[int] = LHL_WEIGHTS) -> int:
    """Syncopation of a cycle: for each onset, how much stronger the strongest silent pulse it covers is.

    Source: Longuet-Higgins and Lee (1984), as restated by Thul and Toussaint, ISMIR 2008.

    Example:
        >>> lhl_syncopation((0, 3, 6, 10, 12))
        4
    """
    pulses, total = len(weights), 0
    for at, gap in zip(onsets, intervals_between_onsets(onsets, pulses), strict=True):
        silent = [weights[(at + step) % pulses] for step in range(1, gap)]
        if silent and max(silent) > weights[at]:
            total += max(silent) - weights[at]
    return total


def npvi(durations: Sequence[float]) -> float:
    """Normalised pairwise variability index of successive durations.

    Source: Grabe and Low (2002); 100/(m-1) times the mean relative difference of neighbours.

    Example:
        >>> round(npvi((3, 3, 4, 2, 4)), 1)
        40.5
    """
    pairs = list(itertools.pairwise(durations))
    if not pairs:
        return 0.0
    return 100.0 / len(pairs) * sum(abs(a - b) / ((a + b) / 2) for a, b in pairs if a + b)


def interval_entropy(durations: Sequence[float]) -> float:
    """Shannon entropy in bits of the durations' distribution.

    Example:
        >>> round(interval_entropy((3, 3, 4, 2, 4)), 3)
        1.522
    """
    counts = Counter(durations)
    whole = len(durations)
    return -sum(count / whole * math.log2(count / whole) for count in counts.values()) if whole else 0.0
