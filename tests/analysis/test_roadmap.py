"""Play order against published cases and the MusicXML rules."""

from fractions import Fraction

import pytest

from planner.analysis.roadmap import find_play_order
from planner.core.score import Measure, Part, RoadmapMark, Score, TimeSignature

FOUR_FOUR = TimeSignature((((4,), 4),))


def paged(count, *marks, parts=1):
    measures = tuple(
        Measure(at, str(at + 1), Fraction(4 * at), Fraction(4), FOUR_FOUR) for at in range(count)
    )
    return Score("Roadmap", measures, tuple(Part(f"P{n}", f"Part {n}") for n in range(parts)), marks=marks)


def mark(kind, bar, **facts):
    return RoadmapMark(kind, bar - 1, **facts)


def opening(bar, **facts):
    return mark("repeat-start", bar, **facts)


def closing(bar, **facts):
    return mark("repeat-end", bar, **facts)


def ending(first, last, *numbers):
    return mark("ending-start", first, numbers=numbers), mark("ending-stop", last, numbers=numbers)


def bars_of(score, **options):
    return [at + 1 for at in find_play_order(score, **options).play_order]


def span(*pairs):
    return [bar for first, last in pairs for bar in range(first, last + 1)]


# Source: deekor.com, lesson 29 "Repeats" (cases 1-3); orders of cases 4-6 as music21's expander gives them;
# cases 7-10 by hand from common practice, with music21 confirming the number of bars.
STANDARD_CASES = [
    (paged(10, closing(4), opening(5), closing(6)), span((1, 4), (1, 4), (5, 6), (5, 6), (7, 10)), 16),
    (paged(8, mark("fine", 4), mark("da-capo", 8, text="D.C. al Fine")), span((1, 8), (1, 4)), 12),
    (
        paged(8, mark("segno", 2), mark("fine", 4), mark("dal-segno", 8, text="D.S. al Fine")),
        span((1, 8), (2, 4)),
        11,
    ),
    (paged(8, opening(1), closing(4)), span((1, 4), (1, 4), (5, 8)), 12),
    (paged(8, opening(3), closing(6, times=3)), span((1, 2), (3, 6), (3, 6), (3, 6), (7, 8)), 16),
    (paged(8, *ending(4, 4, 1), closing(4), *ending(5, 5, 2)), span((1, 4), (1, 3), (5, 8)), 11),
    (
        paged(8, mark("segno", 3), mark("fine", 5), mark("dal-segno", 8, text="D.S. al Fine")),
        span((1, 8), (3, 5)),
        11,
    ),
    (
        paged(10, mark("to-coda", 4), mark("da-capo", 8, text="D.C. al Coda"), mark("coda", 9)),
        span((1, 8), (1, 4), (9, 10)),
        14,
    ),
    (
        paged(
            10,
            mark("segno", 3),
            mark("to-coda", 5),
            mark("dal-segno", 8, text="D.S. al Coda"),
            mark("coda", 9),
        ),
        span((1, 8), (3, 5), (9, 10)),
        13,
    ),
    (
        paged(12, opening(1), closing(4), mark("fine", 6), mark("da-capo", 12, text="D.C. al Fine")),
        span((1, 4), (1, 4), (5, 12), (1, 6)),
        22,
    ),
]


@pytest.mark.parametrize(("score", "order", "count"), STANDARD_CASES, ids=range(1, 11))
def test_the_ten_standard_roadmaps(score, order, count):
    assert bars_of(score) == order
    assert len(order) == count


def test_a_score_without_marks_is_played_straight_through():
    found = find_play_order(paged(5))
    assert found.play_order == (0, 1, 2, 3, 4)
    assert found.spoken == "straight through, 1–5"
