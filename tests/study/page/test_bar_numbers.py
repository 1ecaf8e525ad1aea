"""What bars without a number are to those around them, and what they are called."""

from dataclasses import replace

import pytest

from planner.core.score import RoadmapMark
from planner.services.sheets.player.head import sheet_start
from planner.study.page.bar_numbers import unnumbered_bars
from planner.study.study import study
from planner.wording.player_sheet import roadmap_words
from planner.wording.words import BarNames, bar_number
from tests.builders import make_part, make_score

BAR, SHORT = "C4*4", "D4*3"


def score_with(music, *marks, final=()):
    """Bars of 4/4, one with a D in it without a number, under marks ``(kind, bar, number of an ending)``."""
    bars = music.split(" | ")
    numbers, last = [], 0
    for bar in bars:
        last += "D4" not in bar
        numbers.append("X1" if "D4" in bar else str(last))
    plain = make_score(
        make_part(music),
        marks=tuple(RoadmapMark(kind, at, numbers=tuple(passes)) for kind, at, *passes in marks),
    )
    measures = tuple(
        replace(each, number=number, implicit=number == "X1",
                right_bar="light-heavy" if each.index in final else "")
        for each, number in zip(plain.measures, numbers, strict=True)
    )  # fmt: skip
    return replace(plain, measures=measures)


@pytest.mark.parametrize(
    ("music", "marks", "final", "name"),
    [
        (f"{BAR} | {BAR} | {SHORT} | {BAR}", [("ending-start", 2), ("repeat-end", 2)], (), "the bar after 2"),
        (f"{BAR} | {BAR} | {SHORT} | {BAR}", [("repeat-end", 2)], (), "the bar after 2"),
        (f"{BAR} | {BAR} | {SHORT} | {BAR}", [], (2,), "the bar after 2"),
        (f"{BAR} | C4*2 | D4*2 | {BAR}", [("repeat-end", 2)], (), "the rest of bar 2"),
        (f"{BAR} | C4*3 | D4 | {BAR}", [("repeat-end", 1)], (), "the upbeat to 3"),
        (f"{BAR} | {BAR} | {SHORT} | {BAR}", [], (), "the upbeat to 3"),
    ],
    ids=["first ending", "repeat sign", "final bar line", "split bar", "after a repeat", "upbeat"],
)  # fmt: skip
def test_a_short_bar_leads_to_the_next_number_unless_it_closes(music, marks, final, name):
    score = score_with(music, *marks, final=final)
    names = BarNames(tuple(each.number for each in score.measures), unnumbered_bars(score))
    assert bar_number(names, 2) == name


def test_the_road_goes_through_a_bar_with_an_ending():
    marks = (("ending-start", 2, 1), ("repeat-end", 2), ("ending-start", 3, 2))
    profile = study(score_with(f"{BAR} | {BAR} | {SHORT} | {BAR} | {BAR}", *marks))
    assert roadmap_words(profile) == (
        "Roadmap: 1 to the bar after 2, back to 1, second ending, on to the end at 4."
    )
    assert sheet_start(profile).road == ("1–2 and the bar after 2", "1–2", "3–4")
