"""The published grade charts as a table, and the promise that a level keeps to them."""

from itertools import pairwise

import pytest

from planner.core.pitch import Transposition
from planner.study.difficulty.difficulty import rate
from planner.study.difficulty.evidence import gather
from planner.study.difficulty.grade_charts import (
    BAND,
    STRINGS,
    broken_limits,
    chart_bounds,
    sounding_fifths,
    traits_of,
)
from planner.study.notes.columns import columns_of
from tests.builders import make_part, make_score
from tests.checks import some
from tests.study.difficulty.levels_help import facts_for

B_FLAT = Transposition(-1, -2)


def rated(music, *, instrument="trumpet-bflat", fifths=0, transposition=B_FLAT, bpm=90.0, time="4/4"):
    score = make_score(
        make_part(music, instrument=instrument, fifths=fifths, transposition=transposition), time=time
    )
    columns, facts = columns_of(score), facts_for(score, bpm)
    each = gather(columns, facts).parts[0]
    return rate(columns, facts).parts[0].level, chart_bounds(each, columns, facts), traits_of(each, facts)


# nemusicpub.com/grading: what first appears in which grade (concert B flat is written C for a trumpet).
@pytest.mark.parametrize(
    ("music", "kwargs", "grade"),
    [
        ("C4*2 D4*2 | E4*4", {}, 0.5),
        ("C4*1/2 D4*1/2 E4 F4 G4", {}, 1.0),
        ("C4*2 D4", {"time": "3/4"}, 1.0),
        ("C4*3 D4*3", {"time": "6/8"}, 1.5),
        ("C4 D4 E4 F4", {"fifths": 1}, 1.5),
        ("C4*2 G5*2", {}, 3.0),
        ("C4*1/4 D4*1/4 E4*1/4 F4*1/4 G4*3", {}, 2.0),
        ("C4*3/4 D4*1/4 E4*3", {}, 1.5),
        ("C4*5/2", {"time": "5/8"}, 4.0),
    ],
)  # fmt: skip
def test_a_trait_puts_a_part_where_the_charts_have_it(music, kwargs, grade):
    level, bounds, _ = rated(music, **kwargs)
    below = [limits.grade for limits in BAND if limits.grade < grade]
    assert bounds.ceiling == min(6.0, grade + 0.5), bounds
    assert bounds.floor == (below[-1] if below else 0.0)
    assert bounds.floor <= level <= bounds.ceiling


def test_limits_only_widen_from_grade_to_grade():
    for chart in (BAND, STRINGS):
        for below, above in some(pairwise(chart)):
            assert above.meters is None or (below.meters is not None and below.meters <= above.meters)
            assert below.shortest <= above.shortest
            assert below.syncopated <= above.syncopated
            assert -below.sharps <= above.flats


def test_what_one_grade_breaks_no_easier_grade_allows():
    _, _, traits = rated("C4*1/4 D4*1/4 E4*1/4 F4*1/4 G4*3")
    faults = [bool(broken_limits(traits, limits)) for limits in BAND]
    assert faults == sorted(faults, reverse=True)


def test_the_same_sounding_key_is_judged_alike_on_every_instrument():
    assert sounding_fifths(0, -2) == -2
    assert sounding_fifths(1, -9) == -2
    assert sounding_fifths(-2, 0) == -2
    assert sounding_fifths(-1, -7) == -2


def test_strings_play_by_their_own_chart():
    """kendormusic.com: D and G major belong to grades a half and 1 of strings."""
    _, bounds, _ = rated("D4*2 E4*2", instrument="violin", fifths=2, transposition=Transposition())
    assert bounds.ceiling == 1.0


def test_voices_and_keyboards_have_no_chart():
    _, bounds, _ = rated("C4*4", instrument="soprano", transposition=Transposition())
    assert bounds is None


def test_the_limits_that_were_broken_are_told():
    score = make_score(make_part("C4*1/4 D4*1/4 E4*1/4 F4*1/4 G4*3", instrument="trumpet-bflat",
                                 transposition=B_FLAT))  # fmt: skip
    found = rate(columns_of(score), facts_for(score, 90.0)).parts[0]
    assert found.chart.broken == ("note values",)
    assert found.chart.floor == 1.5
