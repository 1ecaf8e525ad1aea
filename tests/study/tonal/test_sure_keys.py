"""Stretches whose key is beyond doubt: long, closed, told by their notes, and contradicted by nothing."""

from dataclasses import replace

import pytest

from planner.study.notes.columns import columns_of
from planner.study.tonal.harmony import find_harmony
from planner.study.tonal.keys import find_keys
from planner.study.tonal.sure_keys import sure_keys
from tests.builders import make_part, make_score

HOME = "C4+E4+G4 F4+A4+C5 G4+B4+D5*2 | C4+E4+G4*4"
IN_G = "G4+B4+D5 C5+E5+G5 D4+F#4+A4*2 | G3+B4+D5*4"
STRAY = "G4+B4+D5 C5+E5+G5 D4+F4+A4*2 | G3+B4+D5*4"
"""The same with a note that G major does not have."""


def found_in(*middle, double_bar=None):
    score = make_score(make_part(" | ".join([HOME] * 4 + list(middle) + [HOME] * 4)))
    if double_bar is not None:
        measures = list(score.measures)
        measures[double_bar] = replace(measures[double_bar], right_bar="light-light")
        score = replace(score, measures=tuple(measures))
    columns = columns_of(score)
    keys = find_keys(columns)
    return [
        (each.key, each.measure, each.end_measure)
        for each in sure_keys(columns, keys, find_harmony(columns, keys).cadences)
    ]


def test_a_closed_stretch_is_named_from_its_first_telling_note_to_its_close():
    [(key, first, last)] = found_in(*[IN_G] * 6)
    assert key == "G major"
    assert (first, last) == (10, 19), "its first F sharp that nothing else explains, its last chord"


@pytest.mark.parametrize("middle", [[IN_G] * 2, [IN_G, IN_G, STRAY, IN_G, IN_G]])
def test_a_short_stretch_and_one_with_a_note_against_its_key_are_not_named(middle):
    assert found_in(*middle) == []


def test_what_the_page_parts_is_no_one_stretch():
    assert found_in(*[IN_G] * 6, double_bar=13) == []


def test_the_home_key_is_no_other_key():
    assert found_in() == []
