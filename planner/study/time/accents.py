"""Accents that come again and again on one beat that is not the first."""

from collections import Counter
from collections.abc import Iterator

from planner.core.fact import Fact, FactKind, named
from planner.core.score import Part, Score

MARKS = frozenset({"accent", "strong-accent"})
LEAST_BARS = 4
"""Fewest bars in a row with an accent on the same beat. House choice: a phrase."""


def accent_facts(score: Score) -> Iterator[Fact]:
    """For each part the longest passage in which every bar has an accent on one beat after the first.

    Example:
        >>> list(accent_facts(Score("Empty", (), ())))
        []
    """
    for part in score.parts:
        beats = _accented_beats(score, part)
        passages = [run for beat in {beat for found in beats for beat in found} for run in _runs(beats, beat)]
        if passages:
            first, last, beat = max(passages, key=lambda run: (run[1] - run[0], -run[0], -run[2]))
            yield Fact(
                FactKind.ACCENTED_BEATS,
                part.name,
                places=((first, last),),
                numbers=named(beat=beat),
                weight=0.45,
            )


def _accented_beats(score: Score, part: Part) -> list[set[int]]:
    """For each measure the beats, counted from 1 in units of the signature, that alone have accents.

    A bar whose first beat is accented as well has none that stands out.
    """
    found: list[set[int]] = [set() for _ in score.measures]
    accents = Counter(
        (note.measure, note.onset_quarters)
        for note in part.notes
        if not note.in_chord and MARKS.intersection(note.articulations)
    )
    for measure, onset in accents:
        time = score.measures[measure].time
        beat = onset * time.unit / 4 + 1
        if beat.denominator == 1:
            found[measure].add(int(beat))
    return [beats if 1 not in beats else set() for beats in found]


def _runs(beats: list[set[int]], beat: int) -> Iterator[tuple[int, int, int]]:
    """Passages of bars that all have an accent on a beat."""
    first = None
    for at, found in enumerate([*beats, set[int]()]):
        if beat in found:
            first = at if first is None else first
        elif first is not None:
            if at - first >= LEAST_BARS:
                yield first, at - 1, beat
            first = None
