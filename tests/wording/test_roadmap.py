"""The roadmap as a director says it."""

import pytest

from planner.core.fact import Fact, FactKind, named
from planner.core.profile import Roadmap, RoadmapTurn
from planner.core.score import RoadmapMark
from planner.wording.study.roadmap import mark_on_page, place, place_after, spoken_roadmap
from planner.wording.study.sentences import sentence_of
from planner.wording.study_json import study_to_dict
from tests.fakes import make_profile


def played(*spans, turns=(), marks=(), count=12, **changes):
    """A profile whose bars (numbered from 1) are played in these stretches."""
    order = tuple(bar - 1 for first, last in spans for bar in range(first, last + 1))
    numbers = tuple(str(n + 1) for n in range(count))
    roadmap = Roadmap(order, turns, marks=marks)
    return make_profile(measures=count, **{"measure_numbers": numbers, "roadmap": roadmap} | changes)


ROADMAPS = [
    (played((1, 5)), "straight through, 1–5"),
    (played((1, 1)), "straight through, 1"),
    (
        played((1, 4), (1, 8), turns=(RoadmapTurn(4, "repeat", 0, (2,)),)),
        "1–4, back to 1, on to the end at 8",
    ),
    (
        played(
            (1, 6), (3, 6), (3, 8),
            turns=(RoadmapTurn(6, "repeat", 2, (2,)), RoadmapTurn(10, "repeat", 2, (3,))),
        ),
        "1–6, back to 3 (three times in all), on to the end at 8",
    ),
    (
        played(
            (1, 4), (1, 3), (5, 8),
            turns=(RoadmapTurn(4, "repeat", 0, (2,)), RoadmapTurn(7, "ending", 4, (2,), 4)),
        ),
        "1–4, back to 1, second ending, on to the end at 8",
    ),
    (
        played((1, 4), (5, 8), turns=(RoadmapTurn(4, "ending", 4, (), 5),)),
        "1–4, unnumbered ending from 5, on to the end at 8",
    ),
    (
        played((1, 8), (3, 5), turns=(RoadmapTurn(8, "dal-segno", 2), RoadmapTurn(11, "fine", 4))),
        "1–8, D.S. to the sign at 3, Fine at 5",
    ),
    (
        played((1, 8), (1, 4), (9, 10), turns=(RoadmapTurn(8, "da-capo", 0), RoadmapTurn(12, "coda", 8))),
        "1–8, D.C., on to 4, coda at 9, on to the end at 10",
    ),
    (
        played(
            (1, 4), (1, 12), (1, 6),
            turns=(
                RoadmapTurn(4, "repeat", 0, (2,)),
                RoadmapTurn(16, "da-capo", 0, takes_repeats=False),
                RoadmapTurn(22, "fine", 5),
            ),
        ),
        "1–4, back to 1, on to 12, D.C., without repeats, Fine at 6",
    ),
    (
        played(
            (1, 4), (1, 2), (5, 6),
            turns=(RoadmapTurn(4, "da-capo", 0, takes_repeats=True), RoadmapTurn(6, "close", 1)),
        ),
        "1–4, D.C., with repeats, end at 2, then 5–6",
    ),
]  # fmt: skip


@pytest.mark.parametrize(("profile", "words"), ROADMAPS, ids=range(len(ROADMAPS)))
def test_the_roadmap_is_said_as_a_director_says_it(profile, words):
    assert spoken_roadmap(profile) == words
    assert study_to_dict(profile)["roadmap"]["spoken"] == words


def test_a_piece_without_bars_has_nothing_to_say():
    assert spoken_roadmap(make_profile(roadmap=Roadmap(()))) == ""


def test_a_pickup_and_a_split_bar_are_named_by_the_bars_that_count():
    profile = played((1, 5), count=5, measure_numbers=("0", "1", "X1", "2", "X2"), uncounted=(0, 2, 4))
    assert [place(profile, at) for at in range(5)] == [
        "the pickup",
        "1",
        "the upbeat to 2",
        "2",
        "the rest of bar 2",
    ]
    assert [place_after(profile, at) for at in range(5)] == ["the pickup", "1", "1", "2", "2"]
    assert spoken_roadmap(profile) == "straight through, the pickup to 2"


@pytest.mark.parametrize(
    ("mark", "words"),
    [
        (RoadmapMark("repeat-start", 4), "repeat opens at 5"),
        (RoadmapMark("repeat-end", 4), "repeat closes after 5"),
        (RoadmapMark("repeat-end", 4, times=3), "repeat closes after 5 (3 times)"),
        (RoadmapMark("ending-start", 4, numbers=(1, 2)), "first and second ending at 5"),
        (RoadmapMark("ending-start", 4), "unnumbered ending at 5"),
        (RoadmapMark("segno", 4), "sign at 5"),
        (RoadmapMark("coda", 4), "coda at 5"),
        (RoadmapMark("to-coda", 4), "To Coda after 5"),
        (RoadmapMark("fine", 4), "Fine after 5"),
        (RoadmapMark("da-capo", 4), "D.C. after 5"),
        (RoadmapMark("dal-segno", 4, text="Dal Segno al Coda"), "Dal Segno al Coda after 5"),
    ],
)
def test_a_mark_and_where_it_stands(mark, words):
    assert mark_on_page(played((1, 12)), mark) == words


MARKS = (RoadmapMark("repeat-start", 0), RoadmapMark("repeat-end", 3), RoadmapMark("fine", 5))
REPEATED = played((1, 4), (1, 6), turns=(RoadmapTurn(4, "repeat", 0, (2,)),), marks=MARKS)


@pytest.mark.parametrize(
    ("fact", "sentence"),
    [
        (Fact(FactKind.PLAYED_STRAIGHT), "No repeats and no jumps: 1–4, back to 1, on to the end at 6."),
        (
            Fact(FactKind.ROADMAP, numbers=named(written=6, played=10)),
            "1–4, back to 1, on to the end at 6: 6 bars are written, 10 are played.",
        ),
        (
            Fact(FactKind.ROADMAP_MARKS, numbers=(("mark", 1), ("mark", 2))),
            "On the page: repeat closes after 4; Fine after 6.",
        ),
        (
            Fact(FactKind.MARKS_LACKING, "Flute", numbers=(("mark", 0),)),
            "Your page lacks marks that others have: repeat opens at 1.",
        ),
    ],
)
def test_each_fact_of_the_roadmap(fact, sentence):
    assert sentence_of(fact, REPEATED) == sentence
