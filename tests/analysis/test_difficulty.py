"""Levels: laws that must hold whatever the weights."""

from planner.analysis.columns import columns_of
from planner.analysis.difficulty import rate
from planner.analysis.spots import find_spots
from tests.analysis.levels_help import facts_for
from tests.builders import make_part, make_score


def level_of(music, bpm=100.0, **kwargs):
    score = make_score(make_part(music, **kwargs))
    return rate(columns_of(score), facts_for(score, bpm)).level


def test_faster_is_not_easier():
    music = "C5 D5*1/2 E5*1/2 F5 G5 | A5*1/2 G5*1/2 F5 E5 D5"
    assert level_of(music, 60) <= level_of(music, 100) <= level_of(music, 200)


def test_a_silent_piece_has_no_level():
    assert level_of("r*4 | r*4") is None


def test_a_wide_leap_is_a_spot():
    score = make_score(make_part("C5 D5 E5 F5 | G4 A5 G4 A5 | C5*4"))
    spots = find_spots(columns_of(score), facts_for(score)).by_part[0]
    assert spots[0].measure == 1
    assert "wide leap" in spots[0].reasons
