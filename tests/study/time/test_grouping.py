"""How irregular meters group: the usual ways, what the page states, and what weighs how much."""

from dataclasses import replace
from fractions import Fraction

import pytest

from planner.core.score import TempoMark, TimeSignature
from planner.study.notes.columns import columns_of
from planner.study.time.grouping import groupings_of, regular_grouping, stated_groupings, unit_of
from planner.study.time.meter import find_meters
from tests.builders import make_part, make_score, time_signature
from tests.study.time.test_meter import beamed, eighths, grouping_of


def spans_of(score):
    return [(s.measure, s.grouping, s.source, s.confidence) for s in find_meters(columns_of(score)).spans]


# Source: J. Buccheri, "Other metric structures", for 7 and 8; the rest is common practice.
@pytest.mark.parametrize(
    ("units", "usual", "ways"),
    [
        (2, (2,), 1), (5, (3, 2), 2), (6, (3, 3), 2), (7, (2, 2, 3), 3), (8, (3, 3, 2), 4), (9, (3, 3, 3), 5),
        (10, (3, 3, 2, 2), 7), (11, (3, 3, 3, 2), 9), (13, (3, 3, 3, 2, 2), 16), (15, (3,) * 5, 28),
    ],
)  # fmt: skip
def test_the_usual_grouping_comes_first_among_all_there_are(units, usual, ways):
    """The ways to make a number of twos and threes are Padovan's numbers (OEIS A000931)."""
    found = groupings_of(units)
    assert (found[0], len(found)) == (usual, ways)


@pytest.mark.parametrize(
    ("time", "grouping"),
    [
        ("2/4", (1, 1)), ("3/2", (1, 1, 1)), ("3/16", (3,)), ("12/16", (3, 3, 3, 3)), ("8/4", (1,) * 8),
        ("8/8", None), ("5/4", None), ("5/8", None), ("7/8", None), ("24/8", None), ("25/8", ()),
    ],
)  # fmt: skip
def test_which_meters_need_no_inference(time, grouping):
    assert regular_grouping(time_signature(time)) == grouping


def test_a_printed_sum_of_unlike_notes_counts_in_the_finer_one():
    time = TimeSignature((((2,), 4), ((3,), 8)))
    assert (unit_of(time), regular_grouping(time)) == (8, (2, 2, 3))


def test_words_state_a_grouping_only_inside_the_passage_and_when_they_add_up():
    texts = ("3 + 2 + 2", "2+2+3", "3+2", "12+3+2", "2+3+2", "3 + 2 + 2")
    marks = tuple(TempoMark(at, Fraction(0), text) for at, text in enumerate(texts))
    score = replace(make_score(make_part(eighths(6, 7)), time="7/8"), tempos=marks)
    assert stated_groupings(score, 0, 6, 7) == [
        (0, (3, 2, 2)),
        (1, (2, 2, 3)),
        (4, (2, 3, 2)),
        (5, (3, 2, 2)),
    ]
    assert stated_groupings(score, 1, 5, 7) == [(1, (2, 2, 3)), (4, (2, 3, 2))]
    assert stated_groupings(score, 1, 4, 7) == [(1, (2, 2, 3))]


def test_three_bars_beamed_otherwise_turn_the_grouping_and_turn_it_back():
    bars = [(2, 2, 3)] * 4 + [(3, 2, 2)] * 3 + [(2, 2, 3)] * 4
    score = make_score(beamed(make_part(eighths(11, 7)), *bars), time="7/8")
    assert grouping_of(score) == [(0, (2, 2, 3)), (4, (3, 2, 2)), (7, (2, 2, 3))]


def test_beams_are_read_past_notes_that_have_none():
    part = make_part(" | ".join(["C4 C4*1/2 C4*1/2 C4*1/2 C4*1/2 C4*1/2"] * 4))
    states = (None, "begin", "continue", "end", "begin", "end")
    notes = tuple(
        replace(note, beams=(states[at % 6],) if states[at % 6] else ()) for at, note in enumerate(part.notes)
    )
    [(measure, grouping, source, _)] = spans_of(make_score(replace(part, notes=notes), time="7/8"))
    assert (measure, grouping, source) == (0, (2, 3, 2), "beams")


@pytest.mark.parametrize("grouping", [(3, 2), (2, 3)])
def test_a_bass_that_moves_speaks_with_three_tenths_of_a_full_word(grouping):
    """One new note inside the bar: 0.3 for and nothing against."""
    bar = " ".join(["C4"] * grouping[0] + ["E4"] * grouping[1])
    assert spans_of(make_score(make_part(" | ".join([bar] * 4)), time="5/4")) == [(0, grouping, "bass", 0.3)]


def test_accents_and_bass_that_disagree_are_weighed_two_to_one():
    bar = "C4 C4 E4 E4 E4"
    part = make_part(" | ".join([bar] * 4))
    notes = tuple(
        replace(note, articulations=("accent",)) if at % 5 in (0, 3) else note
        for at, note in enumerate(part.notes)
    )
    [(_, grouping, source, confidence)] = spans_of(make_score(replace(part, notes=notes), time="5/4"))
    assert (grouping, source) == ((3, 2), "accents")
    assert confidence == pytest.approx(0.6 / 0.9 * 0.9, abs=0.006), "0.6 for, 0.3 against"


def test_cues_say_nothing():
    part = beamed(make_part(eighths(4, 7)), *[(3, 2, 2)] * 4)
    cued = replace(part, notes=tuple(replace(note, is_cue=True) for note in part.notes))
    other = beamed(make_part(eighths(4, 7), name="Oboe"), *[(2, 2, 3)] * 4)
    [(_, grouping, _, _)] = spans_of(make_score(cued, other, time="7/8"))
    assert grouping == (2, 2, 3)


BEGIN_END = ("begin", "end", "begin", "continue", "end")


def eighths_beamed(states, music, accented=()):
    """Four bars of 5/8 on one pitch, beamed and accented alike."""
    part = make_part(" | ".join([music] * 4))
    notes = tuple(
        replace(
            note,
            beams=(states[at % len(states)],) if states[at % len(states)] else (),
            articulations=("accent",) if at % len(states) in accented else (),
        )
        for at, note in enumerate(part.notes)
    )
    return make_score(replace(part, notes=notes), time="5/8")


def test_beams_and_an_accent_that_disagree_are_weighed_five_to_three():
    """Two and three beamed: the beams' starts and insides, halved but for the second start, make 2.5 of 1.0;
    an accent on the fourth eighth speaks against it with 0.6."""
    score = eighths_beamed(BEGIN_END, "C4*1/2 C4*1/2 C4*1/2 C4*1/2 C4*1/2", accented=(3,))
    [(_, grouping, source, confidence)] = spans_of(score)
    assert (grouping, source) == ((2, 3), "beams")
    assert confidence == pytest.approx(2.5 / 3.1, abs=0.006)


def test_a_beam_within_one_unit_of_the_meter_says_nothing():
    states = (None, None, None, "begin", "end", None)
    score = eighths_beamed(states, "C4*1/2 C4*1/2 C4*1/2 C4*1/4 C4*1/4 C4*1/2")
    assert spans_of(score) == [(0, (3, 2), "custom", 0.2)]
