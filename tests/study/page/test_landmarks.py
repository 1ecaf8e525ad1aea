"""Bars that show on a part and from which it plays."""

from dataclasses import replace

import pytest

from planner.core.profile import Landmark, LandmarkKind, TempoTurn
from planner.core.score import KeySignature, RoadmapMark, TempoMark
from planner.study.notes.columns import columns_of
from planner.study.page.landmarks import find_landmarks
from tests.builders import make_part, make_score

PLAYS, RESTS = "C4 D4 E4 F4", "r*4"


def bars(text):
    """A part that plays where an ``x`` stands and rests where a ``.`` does, one bar each."""
    return make_part(" | ".join(PLAYS if each == "x" else RESTS for each in text))


def landmarks(part, turns=(), marks=(), tempos=(), **signs):
    """What is found in one part; ``signs`` are values of measures by their place, such as ``rehearsal``."""
    score = make_score(part)
    measures = tuple(
        replace(each, **{name: values[each.index] for name, values in signs.items() if each.index in values})
        for each in score.measures
    )
    score = replace(score, measures=measures, marks=tuple(marks), tempos=tuple(tempos))
    return find_landmarks(columns_of(score), turns)[0]


def test_a_name_a_double_bar_and_a_repeat_show_and_a_plain_bar_does_not():
    found = landmarks(
        bars("x" * 16), marks=[RoadmapMark("repeat-start", 12), RoadmapMark("repeat-end", 13)],
        rehearsal={4: "A", 9: "10"}, right_bar={7: "light-light"},
    )  # fmt: skip
    assert [(each.measure, each.kind.value, each.name) for each in found] == [
        (4, "name", "A"), (8, "double bar", ""), (9, "number", ""), (12, "repeat", ""), (14, "repeat", ""),
    ]  # fmt: skip
    assert all(each.enters == each.measure for each in found)


def test_a_new_key_on_the_own_page_and_a_new_tempo_in_words_show():
    part = replace(bars("x" * 12), keys=(KeySignature(0, 0), KeySignature(4, 2), KeySignature(6, 2)))
    turns = [TempoTurn(8, 120, "quarter", "words", "Allegro")]
    found = landmarks(part, turns, tempos=[TempoMark(8, 0, "Allegro")])
    assert [(each.measure, each.kind, each.name) for each in found] == [
        (4, LandmarkKind.KEY, ""), (8, LandmarkKind.TEMPO, "Allegro"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("music", "enters"),
    [
        ("xxxxxxxx", 4), ("xxxx.xxx", 5), ("xxxx..xx", 6), ("xxxx....xxx", None), ("....xxxx", 4),
        ("......xx", None), ("xxxxx..", None), ("xxxx....", None), ("xxxxx.x.", 4),
    ],
    ids=["plays", "a bar later", "two bars later", "much later", "first entrance", "before it",
         "one bar and rest", "no more", "goes on"],
)  # fmt: skip
def test_a_place_is_one_from_which_the_part_plays(music, enters):
    found = [each for each in landmarks(bars(music), rehearsal={4: "A"}) if each.kind is LandmarkKind.NAME]
    assert found == ([] if enters is None else [Landmark(4, LandmarkKind.NAME, "A", enters)])


def test_the_end_of_a_long_rest_shows_and_of_two_signs_the_plainer_one_counts():
    alone = landmarks(bars("xx....xxxx"))
    assert alone == (Landmark(6, LandmarkKind.REST, "", 6),)
    both = landmarks(bars("xx....xxxx"), rehearsal={6: "B"})
    assert both == (Landmark(6, LandmarkKind.NAME, "B", 6),)
    assert landmarks(bars("xx...xxxxx")) == landmarks(bars("....xxxx")) == ()


def test_from_a_name_a_player_counts_to_the_entrance_unless_another_name_stands_there():
    near = landmarks(bars("xx....xxxx"), rehearsal={4: "B"})
    assert near[0] == Landmark(4, LandmarkKind.NAME, "B", 6)
    named = landmarks(bars("xx....xxxx"), rehearsal={4: "B", 6: "C"})
    assert [each.name for each in named] == ["C"]


def test_the_bar_of_a_second_ending_is_none():
    marks = [RoadmapMark("ending-start", 5), RoadmapMark("repeat-end", 5), RoadmapMark("ending-start", 6)]
    assert landmarks(bars("x" * 10), marks=marks, right_bar={5: "light-heavy"}) == ()
