"""Play order against published cases and the MusicXML rules."""

import csv
import re
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.adapters.scores.reader import read_score
from planner.core.fact import Fact, FactKind, named
from planner.core.pitch import Pitch
from planner.core.profile import RoadmapTurn
from planner.core.score import Measure, Note, Part, RoadmapMark, Score, TempoMark, TimeSignature
from planner.study.roadmap.play_order import find_play_order
from tests.reference import reference_data, reference_folder

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
    assert found.roadmap.turns == ()
    assert found.facts == (Fact(FactKind.PLAYED_STRAIGHT, weight=0.3),)


# Source: MusicXML 4.0 (W3C), elements "sound", "repeat" and "ending"; common practice of parts.
FURTHER_CASES = {
    "two endings of several bars": (
        paged(10, opening(1), *ending(4, 5, 1), closing(5), *ending(6, 7, 2)),
        span((1, 5), (1, 3), (6, 10)),
    ),
    "one ending for two passes": (
        paged(7, *ending(4, 4, 1, 2), closing(4), *ending(5, 5, 3)),
        span((1, 4), (1, 4), (1, 3), (5, 7)),
    ),
    "endings one and three, two and four": (
        paged(6, *ending(3, 3, 1, 3), closing(3), *ending(4, 4, 2, 4), closing(4)),
        [1, 2, 3, 1, 2, 4, 1, 2, 3, 1, 2, 4, 5, 6],
    ),
    "an ending without a second one": (
        paged(5, *ending(3, 3, 1), closing(3)),
        [1, 2, 3, 1, 2, 4, 5],
    ),
    "a repeat inside a repeat": (
        paged(6, opening(1), opening(2), closing(3), closing(5)),
        [1, 2, 3, 2, 3, 4, 5, 1, 2, 3, 2, 3, 4, 5, 6],
    ),
    "after a D.C. the last ending is taken": (
        paged(8, *ending(3, 3, 1), closing(3), *ending(4, 4, 2), mark("fine", 5), mark("da-capo", 8)),
        [1, 2, 3, 1, 2, 4, 5, 6, 7, 8, 1, 2, 4, 5],
    ),
    "a Fine in the first ending is reached after the D.C.": (
        paged(6, *ending(3, 3, 1), closing(3), *ending(4, 4, 2), mark("fine", 3), mark("da-capo", 6)),
        [1, 2, 3, 1, 2, 4, 5, 6, 1, 2, 3],
    ),
    "after-jump takes the repeat again": (
        paged(6, closing(2, after_jump=True), mark("fine", 4), mark("da-capo", 6)),
        [1, 2, 1, 2, 3, 4, 5, 6, 1, 2, 1, 2, 3, 4],
    ),
    "words ask for the repeats": (
        paged(6, closing(2), mark("fine", 4), mark("da-capo", 6, text="D.C. con repetizione al Fine")),
        [1, 2, 1, 2, 3, 4, 5, 6, 1, 2, 1, 2, 3, 4],
    ),
    "endings without repeat bars belong to the D.C.": (
        paged(5, *ending(3, 3, 1), mark("da-capo", 3), *ending(4, 5, 2)),
        [1, 2, 3, 1, 2, 4, 5],
    ),
    "each D.S. goes to the sign of its name": (
        paged(
            8,
            mark("segno", 1, name="a"),
            mark("segno", 3, name="b"),
            mark("dal-segno", 4, name="b"),
            mark("dal-segno", 6, name="a"),
        ),
        [1, 2, 3, 4, 3, 4, 5, 6, 1, 2, 3, 4, 5, 6, 7, 8],
    ),
    "without names a D.S. goes to the nearest sign before it": (
        paged(7, mark("segno", 1), mark("segno", 4), mark("dal-segno", 6)),
        [1, 2, 3, 4, 5, 6, 4, 5, 6, 7],
    ),
    "To Coda without any jump holds the second time": (
        paged(6, mark("to-coda", 2), closing(4), mark("coda", 5)),
        [1, 2, 3, 4, 1, 2, 5, 6],
    ),
    "To Coda on the time it names": (
        paged(6, mark("to-coda", 2, time_only=(3,)), closing(4, times=3), mark("coda", 5)),
        [1, 2, 3, 4, 1, 2, 3, 4, 1, 2, 5, 6],
    ),
    "two coda signs and a jump: the first one is where to leave": (
        paged(6, mark("coda", 2), mark("da-capo", 4, text="D.C. al Coda"), mark("coda", 5)),
        [1, 2, 3, 4, 1, 2, 5, 6],
    ),
    "D.C. al Fine does not leave for the coda": (
        paged(
            6, mark("to-coda", 2), mark("fine", 3), mark("da-capo", 4, text="D.C. al Fine"), mark("coda", 5)
        ),
        [1, 2, 3, 4, 1, 2, 3],
    ),
    "D.C. al Coda does not stop at Fine before the coda": (
        paged(
            6,
            mark("fine", 1),
            mark("to-coda", 2),
            mark("da-capo", 4, text="Da capo al Coda"),
            mark("coda", 5),
        ),
        [1, 2, 3, 4, 1, 2, 5, 6],
    ),
    "a D.C. at a repeat bar waits for the repeat": (
        paged(4, opening(3), closing(4), mark("da-capo", 4, time_only=(1,)), mark("fine", 2)),
        [1, 2, 3, 4, 3, 4, 1, 2],
    ),
    "a forward repeat that is meant but not printed": (
        paged(6, opening(3, implied=True), closing(4)),
        [1, 2, 3, 4, 3, 4, 5, 6],
    ),
    "a D.C. set a bar before its repeat bar": (
        paged(6, closing(2), opening(3), mark("da-capo", 5), closing(6), mark("fine", 2)),
        [1, 2, 1, 2, 3, 4, 5, 6, 3, 4, 5, 6, 1, 2],
    ),
    "a named minuet without Fine ends before its trio": (
        paged(8, closing(2), closing(4), closing(6), closing(8), mark("da-capo", 8, text="Menuetto D.C.")),
        [1, 2, 1, 2, 3, 4, 3, 4, 5, 6, 5, 6, 7, 8, 7, 8, 1, 2, 3, 4],
    ),
    "an ending that lacks its start": (
        paged(5, mark("ending-stop", 3, numbers=(1,)), closing(3), *ending(4, 4, 2)),
        [1, 2, 3, 1, 2, 4, 5],
    ),
    "a repeat taken three times inside a repeat": (
        paged(4, opening(1), opening(2), closing(2, times=3), closing(3)),
        [1, 2, 2, 2, 3, 1, 2, 2, 2, 3, 4],
    ),
    "a repeat inside a repeat inside a repeat": (
        paged(6, opening(1), opening(2), opening(3), closing(3), closing(4), closing(5)),
        [1, 2, 3, 3, 4, 2, 3, 3, 4, 5, 1, 2, 3, 3, 4, 2, 3, 3, 4, 5, 6],
    ),
    "two repeats side by side inside a third": (
        paged(6, opening(1), opening(2), closing(2), opening(3), closing(4), closing(5)),
        [1, 2, 2, 3, 4, 3, 4, 5, 1, 2, 2, 3, 4, 3, 4, 5, 6],
    ),
    "endings inside a repeat begin anew each time": (
        paged(6, opening(1), opening(2), *ending(3, 3, 1), closing(3), *ending(4, 4, 2), closing(5)),
        [1, 2, 3, 2, 4, 5, 1, 2, 3, 2, 4, 5, 6],
    ),
    "a repeat inside the second ending": (
        paged(7, *ending(3, 3, 1), closing(3), *ending(4, 6, 2), opening(4), closing(5)),
        [1, 2, 3, 1, 2, 4, 5, 4, 5, 6, 7],
    ),
    "a second closing bar within the last ending": (
        paged(7, *ending(3, 3, 1), closing(3), *ending(4, 6, 2), closing(5), closing(6)),
        [1, 2, 3, 1, 2, 4, 5, 4, 5, 6, 7],
    ),
    "a closing bar after two endings goes back to just after them": (
        paged(8, *ending(2, 2, 1), closing(2), *ending(3, 3, 2), closing(6)),
        [1, 2, 1, 3, 4, 5, 6, 4, 5, 6, 7, 8],
    ),
    "a Fine on the time it names": (
        paged(4, closing(4, times=3), mark("fine", 2, time_only=(2,))),
        [1, 2, 3, 4, 1, 2],
    ),
    "a D.S. on the second and on the third time": (
        paged(4, mark("segno", 1), mark("dal-segno", 3, time_only=(2, 3)), closing(3)),
        [1, 2, 3] * 4 + [4],
    ),
    "a named minuet without a trio has no place before it to end": (
        paged(5, closing(2), closing(4), mark("da-capo", 4, text="Menuetto D.C.")),
        [1, 2, 1, 2, 3, 4, 3, 4, 1, 2, 3, 4, 5],
    ),
    "endings without any repeat bar or jump go back all the same": (
        paged(8, *ending(3, 4, 1), *ending(5, 6, 2)),
        [1, 2, 3, 4, 1, 2, 5, 6, 7, 8],
    ),
    "endings 1 & 2 and 3 without repeat bars go back to the sign": (
        paged(6, mark("segno", 2), *ending(5, 5, 1, 2), *ending(6, 6, 3)),
        [1, 2, 3, 4, 5, 2, 3, 4, 5, 2, 3, 4, 6],
    ),
    "a repeat bar at the end of the last ending only": (
        paged(6, *ending(3, 4, 1), *ending(5, 5, 2), closing(5)),
        [1, 2, 3, 4, 1, 2, 5, 6],
    ),
    "a first ending with a repeat bar, a second without, a third": (
        paged(7, *ending(3, 3, 1), closing(3), *ending(4, 5, 2), *ending(6, 6, 3)),
        [1, 2, 3, 1, 2, 4, 5, 1, 2, 6, 7],
    ),
    "a bracket over the first bar of a first ending of three": (
        paged(8, *ending(3, 3, 1), closing(5), *ending(6, 6, 2)),
        [1, 2, 3, 4, 5, 1, 2, 6, 7, 8],
    ),
    "a bracket drawn on beyond its repeat bar": (
        paged(7, *ending(3, 4, 1), closing(3), *ending(5, 5, 2)),
        [1, 2, 3, 1, 2, 4, 5, 6, 7],
    ),
    "a second ending broken at the ends of lines": (
        paged(8, *ending(3, 3, 1), closing(3), *ending(4, 4, 2), *ending(5, 6, 2), *ending(7, 7, 2)),
        [1, 2, 3, 1, 2, 4, 5, 6, 7, 8],
    ),
    "a repeat that closes inside the last ending": (
        paged(7, *ending(3, 3, 1), closing(3), *ending(4, 7, 2), closing(5)),
        [1, 2, 3, 1, 2, 4, 5, 4, 5, 6, 7],
    ),
    "a rondeau with a D.C. after every episode": (
        paged(
            6,
            mark("fine", 2),
            mark("da-capo", 4, text="D.C. al Fine"),
            mark("da-capo", 6, text="D.C. al Fine"),
        ),
        [1, 2, 3, 4, 1, 2, 5, 6, 1, 2],
    ),
    "three D.C., the last one al Fine": (
        paged(
            8,
            mark("fine", 2),
            mark("da-capo", 4, text="D.C."),
            mark("da-capo", 6, text="D.C."),
            mark("da-capo", 8, text="D.C. al Fine"),
        ),
        [1, 2, 3, 4, 1, 2, 5, 6, 1, 2, 7, 8, 1, 2],
    ),
    "two dances one after the other, each with its own D.S.": (
        paged(
            10,
            mark("segno", 1),
            mark("fine", 2),
            mark("dal-segno", 4, text="D.S. al Fine"),
            mark("segno", 5),
            mark("fine", 7),
            mark("dal-segno", 9, text="D.S. al Fine"),
        ),
        [1, 2, 3, 4, 1, 2, 5, 6, 7, 8, 9, 5, 6, 7, 10],
    ),
    "a D.S. beside the second of two signs goes back to the first": (
        paged(6, mark("segno", 2), mark("segno", 5), mark("dal-segno", 5)),
        [1, 2, 3, 4, 5, 2, 3, 4, 5, 6],
    ),
    "D.S.S. goes to the second sign": (
        paged(
            8,
            mark("segno", 2),
            mark("segno", 4),
            mark("dal-segno", 5, text="D.S."),
            mark("dal-segno", 7, text="D.S.S."),
        ),
        [1, 2, 3, 4, 5, 2, 3, 4, 5, 6, 7, 4, 5, 6, 7, 8],
    ),
    "D.C. al segno leaves for the coda before the sign": (
        paged(7, mark("segno", 4), mark("da-capo", 5, text="D.C. al segno e poi la Coda"), mark("coda", 6)),
        [1, 2, 3, 4, 5, 1, 2, 3, 6, 7],
    ),
    "D.C. and al Coda as two marks": (
        paged(
            7,
            mark("to-coda", 2),
            mark("fine", 1),
            mark("da-capo", 5, text="D.C."),
            mark("to-coda", 5, text="al Coda"),
            mark("coda", 6),
        ),
        [1, 2, 3, 4, 5, 1, 2, 6, 7],
    ),
    "a D.S. in the second pass only": (
        paged(5, mark("segno", 2), mark("dal-segno", 3, time_only=(2,)), closing(3)),
        [1, 2, 3, 1, 2, 3, 2, 3, 4, 5],
    ),
}


@pytest.mark.parametrize("case", FURTHER_CASES)
def test_further_roadmaps_follow_the_standard_and_common_practice(case):
    score, order = FURTHER_CASES[case]
    assert bars_of(score) == order


# What a walk leaves the page order by, in the order it is met: at the end of how many bars, and to which bar.
TURNS = {
    "a repeat": (STANDARD_CASES[3][0], [RoadmapTurn(4, "repeat", 0, (2,))]),
    "a repeat taken twice": (
        STANDARD_CASES[4][0],
        [RoadmapTurn(6, "repeat", 2, (2,)), RoadmapTurn(10, "repeat", 2, (3,))],
    ),
    "two endings": (
        STANDARD_CASES[5][0],
        [RoadmapTurn(4, "repeat", 0, (2,)), RoadmapTurn(7, "ending", 4, (2,), 4)],
    ),
    "D.S. al Fine": (STANDARD_CASES[6][0], [RoadmapTurn(8, "dal-segno", 2), RoadmapTurn(11, "fine", 4)]),
    "D.C. al Coda": (STANDARD_CASES[7][0], [RoadmapTurn(8, "da-capo", 0), RoadmapTurn(12, "coda", 8)]),
    "D.C. al Fine over a repeat": (
        STANDARD_CASES[9][0],
        [
            RoadmapTurn(4, "repeat", 0, (2,)),
            RoadmapTurn(16, "da-capo", 0, takes_repeats=False),
            RoadmapTurn(22, "fine", 5),
        ],
    ),
    "D.C. with the repeats": (
        FURTHER_CASES["words ask for the repeats"][0],
        [
            RoadmapTurn(2, "repeat", 0, (2,)),
            RoadmapTurn(8, "da-capo", 0, takes_repeats=True),
            RoadmapTurn(10, "repeat", 0, (2,)),
            RoadmapTurn(14, "fine", 3),
        ],
    ),
}


@pytest.mark.parametrize("case", TURNS)
def test_the_turns_of_a_roadmap(case):
    score, turns = TURNS[case]
    assert list(find_play_order(score).roadmap.turns) == turns


def test_a_trio_that_is_named_is_where_a_bare_da_capo_ends():
    score = paged(6, closing(4), mark("da-capo", 6))
    found = find_play_order(replace(score, tempos=(TempoMark(4, Fraction(0), "Trio"),)))
    assert [at + 1 for at in found.play_order] == [1, 2, 3, 4, 1, 2, 3, 4, 5, 6, 1, 2, 3, 4]
    assert found.roadmap.turns[-2:] == (
        RoadmapTurn(10, "da-capo", 0, takes_repeats=False),
        RoadmapTurn(14, "close", 3),
    )
    assert (found.issues[0].slug, found.issues[0].value("end_measure")) == ("fine-missing", 3)


def test_a_repeat_without_an_opening_bar_does_not_reach_back_over_a_final_bar_line():
    score = paged(6, mark("fine", 2), closing(4), mark("da-capo", 6, text="D.C. al Fine"))
    final = replace(score.measures[1], right_bar="light-heavy")
    measures = (score.measures[0], final, *score.measures[2:])
    assert bars_of(replace(score, measures=measures)) == [1, 2, 3, 4, 3, 4, 5, 6, 1, 2]


def test_a_repeat_after_a_d_c_and_a_new_meter_does_not_reach_back_over_them():
    score = paged(8, mark("fine", 2), opening(3), mark("da-capo", 4, text="D.C. al Fine"), closing(7))
    fifth = replace(score.measures[4], time_changes=True)
    measures = (*score.measures[:4], fifth, *score.measures[5:])
    assert bars_of(replace(score, measures=measures)) == [1, 2, 3, 4, 1, 2, 5, 6, 7, 5, 6, 7, 8]


def test_an_empty_bar_after_a_d_c_al_fine_is_told_and_not_played():
    score = paged(5, mark("fine", 2), mark("da-capo", 4, text="D.C. al Fine"))
    notes = tuple(Note(at, Fraction(0), Fraction(4), Pitch.parse("C4")) for at in range(4))
    found = find_play_order(replace(score, parts=(replace(score.parts[0], notes=notes),)))
    assert [at + 1 for at in found.play_order] == [1, 2, 3, 4, 1, 2]
    assert [(issue.slug, issue.all("measure")) for issue in found.issues] == [("bars-unplayed", (4,))]


@pytest.mark.parametrize(("first", "upbeat"), [(1, False), (2, True)])
def test_a_d_c_beside_the_repeat_bar_that_says_the_same_is_not_taken_as_well(first, upbeat):
    score = paged(6, opening(first), closing(5), mark("da-capo", 5))
    measures = (replace(score.measures[0], implicit=upbeat), *score.measures[1:])
    again = list(range(first, 6))
    assert bars_of(replace(score, measures=measures)) == [*range(1, 6), *again, 6]


def test_a_d_c_that_names_the_minuet_goes_back_to_its_heading():
    score = paged(10, mark("da-capo", 8, text="Menuetto D.C."))
    headings = (TempoMark(3, Fraction(0), "Menuetto"), TempoMark(5, Fraction(0), "Trio"))
    found = find_play_order(replace(score, tempos=headings))
    assert [at + 1 for at in found.play_order] == [*range(1, 9), 4, 5, 9, 10]
    assert RoadmapTurn(8, "da-capo", 3) in found.roadmap.turns


def test_music_after_a_d_c_al_fine_is_told():
    marks = (mark("fine", 2), mark("da-capo", 4, text="D.C. al Fine"))
    [issue] = find_play_order(paged(6, *marks)).issues
    assert (issue.slug, issue.measure, issue.value("onward_measure")) == ("music-after-fine", 3, 4)


def test_bars_that_no_mark_leads_to_are_told():
    marks = (mark("to-coda", 1), mark("da-capo", 2, text="D.C. al Coda"), mark("coda", 5))
    found = find_play_order(paged(6, *marks))
    assert [at + 1 for at in found.play_order] == [1, 2, 1, 5, 6]
    [issue] = found.issues
    assert (issue.slug, issue.measure, issue.all("measure")) == ("bars-unplayed", 2, (2, 3))


def test_a_repeat_bar_that_an_ending_lacks_is_told():
    [issue] = find_play_order(paged(6, *ending(3, 3, 1), *ending(4, 4, 2))).issues
    assert (issue.slug, issue.measure, issue.value("target_measure")) == ("repeat-missing", 2, 0)


def test_a_lone_bar_number_0_begins_no_movement():
    score = paged(6, closing(5))
    numbers = ("1", "2", "0", "3", "4", "5")
    measures = tuple(replace(m, number=n) for m, n in zip(score.measures, numbers, strict=True))
    assert bars_of(replace(score, measures=measures)) == [*range(1, 6), *range(1, 7)]


def test_bars_played_are_counted_without_the_pickup():
    score = paged(5, opening(2), closing(5))
    measures = (Measure(0, "0", Fraction(0), Fraction(1), FOUR_FOUR, implicit=True), *score.measures[1:])
    found = find_play_order(Score("Pickup", measures, score.parts, marks=score.marks)).facts
    assert (found[0].kind, found[0].numbers) == (FactKind.ROADMAP, named(written=4, played=8))


def test_movements_in_one_file_keep_their_own_repeats_and_jumps():
    score = paged(8, mark("fine", 2), mark("da-capo", 4), closing(6), mark("da-capo", 8))
    numbers = ("1", "2", "3", "4", "1", "2", "3", "4")
    measures = tuple(replace(m, number=n) for m, n in zip(score.measures, numbers, strict=True))
    found = find_play_order(replace(score, measures=measures))
    assert [at + 1 for at in found.play_order] == [1, 2, 3, 4, 1, 2, 5, 6, 5, 6, 7, 8, 5, 6, 7, 8]
    assert RoadmapTurn(6, "fine", 1) in found.roadmap.turns


def test_each_page_has_the_marks_it_lacks():
    score = paged(4, closing(2, part=1), parts=2)
    found = find_play_order(score)
    assert found.play_order == (0, 1, 0, 1, 2, 3)
    [lacking] = [fact for fact in found.facts if fact.part]
    assert (lacking.kind, lacking.part) == (FactKind.MARKS_LACKING, "Part 0")
    assert [found.roadmap.marks[at] for at in lacking.each("mark")] == [closing(2, part=1)]
    assert [i.slug for i in found.issues] == ["roadmap-differs"]
    assert (found.issues[0].all("mark"), found.issues[0].all("part")) == (("repeat-end",), ("Part 1",))
    assert found.issues[0].all("measure") == (1,)


def test_marks_over_the_top_part_alone_are_meant_for_everyone():
    score = paged(5, *(replace(m, part=0) for m in (*ending(3, 3, 1), closing(3), *ending(4, 4, 2))), parts=3)
    found = find_play_order(score)
    assert found.play_order == (0, 1, 2, 0, 1, 3, 4)
    assert not found.issues
    assert not [fact for fact in found.facts if fact.part]


def test_the_marks_worth_naming_leave_out_ends_of_endings_and_repeats_that_are_only_meant():
    score = paged(5, opening(1, implied=True), *ending(3, 3, 1), closing(3), *ending(4, 4, 2))
    found = find_play_order(score)
    [marks] = [fact for fact in found.facts if fact.kind == FactKind.ROADMAP_MARKS]
    assert [(found.roadmap.marks[at].kind, found.roadmap.marks[at].measure) for at in marks.each("mark")] == [
        ("ending-start", 2),
        ("repeat-end", 2),
        ("ending-start", 3),
    ]


def test_parts_that_count_a_repeat_differently_are_reported():
    score = paged(4, closing(2, part=0, times=2), closing(2, part=1, times=3), parts=2)
    found = find_play_order(score)
    assert len(found.play_order) == 8
    assert found.issues[0].slug == "roadmap-differs"
    assert found.issues[0].all("part") == ()


@pytest.mark.parametrize(
    ("marks", "slug", "fault"),
    [
        ([mark("dal-segno", 4)], "segno-missing", ""),
        ([mark("da-capo", 4, text="D.C. al Coda")], "roadmap-loose-end", "no-to-coda"),
        ([mark("da-capo", 4, text="D.C. al Fine")], "roadmap-loose-end", "no-fine"),
        ([mark("to-coda", 2), mark("da-capo", 4)], "coda-missing", ""),
        ([opening(3)], "roadmap-loose-end", "never-closes"),
        ([closing(4, times=4000)], "roadmap-loose-end", "absurd-times"),
    ],
)
def test_marks_that_lead_nowhere_are_reported_and_play_goes_on(marks, slug, fault):
    found = find_play_order(paged(4, *marks))
    assert found.play_order[-1] == 3
    assert (slug, fault) in [(issue.slug, issue.value("fault")) for issue in found.issues]


@settings(max_examples=80, deadline=None)
@given(
    st.lists(
        st.builds(
            RoadmapMark,
            kind=st.sampled_from(
                [
                    "repeat-start",
                    "repeat-end",
                    "ending-start",
                    "ending-stop",
                    "segno",
                    "coda",
                    "to-coda",
                    "fine",
                    "da-capo",
                    "dal-segno",
                ]
            ),
            measure=st.integers(-1, 8),
            numbers=st.lists(st.integers(0, 4), max_size=2).map(tuple),
            times=st.integers(-1, 6),
            time_only=st.lists(st.integers(1, 3), max_size=2).map(tuple),
            text=st.sampled_from(["", "D.C. al Fine", "D.S. al Coda"]),
            after_jump=st.booleans(),
        ),
        max_size=10,
    )
)
def test_whatever_marks_stand_on_the_page_the_walk_ends_and_each_bar_is_played_or_told(marks):
    found = find_play_order(paged(8, *marks))
    assert found.play_order
    told = {at for issue in found.issues if issue.slug == "bars-unplayed" for at in issue.all("measure")}
    assert set(found.play_order) | told == set(range(8))
    assert not told & set(found.play_order)
    assert len(found.play_order) <= 8 * 41


def lomse_cases():
    folder = reference_folder()
    table = folder / "repeats" / "lomse" / "expected_order.csv" if folder else None
    if table is None or not table.exists():
        return []
    return list(csv.DictReader(table.read_text(encoding="utf-8").splitlines()))


@pytest.mark.parametrize(
    "case", lomse_cases() or [None], ids=lambda case: case["file"] if case else "missing"
)
def test_orders_that_an_engraving_library_asserts_for_its_own_test_scores(case):
    folder = reference_data() / "repeats" / "lomse"
    found = find_play_order(read_score(folder / case["file"]))
    assert [at + 1 for at in found.play_order] == [
        int(number) for number in case["measure_positions_in_play_order"].split()
    ]


# The unfolded scores that partitura keeps beside these take every repeat again after the D.C., as its option
# says; music21 and verovio, like common practice and MusicXML's after-jump, take none in the second score.
@pytest.mark.parametrize(
    ("name", "usual"),
    [
        ("test_unfold_complex", [1, 1, 2, 3, 4, 5, 3, 4, 6, 7, 3, 4, 8, 1, 2, 3, 4]),
        ("test_unfold_dacapo", [1, 2, 1, 2, 3, 4, 3, 4, 5, 6, 5, 6, 7, 8, 7, 8, 1, 2, 3, 4]),
    ],
)
def test_unfolded_scores_come_out_exactly_when_repeats_are_taken_after_the_jump(name, usual):
    folder = reference_data() / "repeats" / "partitura"
    score = read_score(folder / f"{name}.xml")
    unfolded = re.findall(
        r'<measure number="(\d+)"', (folder / f"{name}_result.xml").read_text(encoding="utf-8")
    )
    assert bars_of(score, repeats_after_jump=True) == [int(number) for number in unfolded]
    assert bars_of(score) == usual


def test_marks_that_change_nothing_are_told_all_the_same_after_the_count_of_bars():
    found = find_play_order(paged(4, closing(4, times=1), mark("segno", 2))).facts
    assert (found[0].kind, found[0].numbers) == (FactKind.ROADMAP, named(written=4, played=4))
    assert [fact.kind for fact in found[1:]] == [FactKind.ROADMAP_MARKS]
    assert found[0].weight > found[1].weight
