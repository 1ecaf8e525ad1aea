"""Rhythm measures against the published table of six timelines."""

import pytest

from planner.core.score import Note, Part
from planner.study.time.rhythm import (
    interval_entropy,
    intervals_between_onsets,
    lhl_syncopation,
    metric_complexity,
    npvi,
    off_beatness,
    values_used,
)
from tests.builders import make_part

# Source: Toussaint (2002, 2005) and Thul and Toussaint, ISMIR 2008: onsets, intervals, metric complexity,
# off-beatness, syncopation after Longuet-Higgins and Lee, nPVI, entropy of the intervals in bits.
TIMELINES = {
    "shiko": ((0, 4, 6, 10, 12), (4, 2, 4, 2, 4), 2, 0, 2, 66.7, 0.971),
    "son": ((0, 3, 6, 10, 12), (3, 3, 4, 2, 4), 4, 1, 4, 40.5, 1.522),
    "soukous": ((0, 3, 6, 10, 11), (3, 3, 4, 1, 5), 6, 2, 6, 70.5, 1.922),
    "rumba": ((0, 3, 7, 10, 12), (3, 4, 3, 2, 4), 5, 2, 5, 41.0, 1.522),
    "gahu": ((0, 3, 6, 10, 14), (3, 3, 4, 4, 2), 5, 1, 5, 23.8, 1.522),
    "bossa-nova": ((0, 3, 6, 10, 13), (3, 3, 4, 3, 3), 6, 2, 6, 14.3, 0.722),
}


@pytest.mark.parametrize("name", TIMELINES)
def test_the_published_table_of_timelines_comes_out_exactly(name):
    onsets, intervals, complexity, off_beats, syncopation, variability, entropy = TIMELINES[name]
    found = intervals_between_onsets(onsets, 16)
    assert found == intervals
    assert metric_complexity(onsets) == complexity
    assert off_beatness(onsets) == off_beats
    assert lhl_syncopation(onsets) == syncopation
    assert round(npvi(found), 1) == variability
    assert round(interval_entropy(found), 3) == entropy


def test_an_even_rhythm_has_no_variability_and_no_entropy():
    assert npvi((2, 2, 2, 2)) == 0
    assert interval_entropy((2, 2, 2, 2)) == 0


def test_values_are_named_longest_first_and_rests_do_not_count():
    notes = (
        Note(0, 0, 1, make_part("C4").notes[0].pitch, value="eighth"),
        Note(0, 1, 1, make_part("C4").notes[0].pitch, value="quarter", dots=1),
        Note(0, 2, 1, make_part("C4").notes[0].pitch, value="eighth", tuplet=(3, 2)),
        Note(0, 3, 1, value="whole", is_rest=True),
    )
    assert values_used(Part("P", "Flute", notes=notes)) == ("dotted quarter", "eighth", "eighth triplet")
