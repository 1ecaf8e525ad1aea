"""Meters, pulse groupings and music that moves against its signature."""

from dataclasses import replace
from fractions import Fraction

import pytest

from planner.core.fact import Fact, FactKind, named
from planner.core.score import Score, TempoMark, TimeSignature
from planner.study.notes.columns import TICKS_PER_QUARTER, columns_of
from planner.study.time.grouping import groupings_of
from planner.study.time.meter import find_meters
from tests.builders import make_part, make_score, time_signature

HALF_TICK = TICKS_PER_QUARTER // 2


def beamed(part, *bars):
    """Put beams on a part of even eighths: each bar is a tuple of beam lengths."""
    notes = list(part.notes)
    at = 0
    for bar in bars:
        for length in bar:
            for step in range(length):
                state = "begin" if step == 0 else "end" if step == length - 1 else "continue"
                if length > 1:
                    notes[at] = replace(notes[at], beams=(state,))
                at += 1
    return replace(part, notes=tuple(notes))


def eighths(bars, count):
    return " | ".join([" ".join(["C4*1/2"] * count)] * bars)


def against(score):
    return [f for f in find_meters(columns_of(score)).facts if f.kind == FactKind.AGAINST_METER]


def grouping_of(score):
    return [(span.measure, span.grouping) for span in find_meters(columns_of(score)).spans]


@pytest.mark.parametrize(
    ("time", "grouping"),
    [
        ("4/4", (1, 1, 1, 1)), ("3/4", (1, 1, 1)), ("2/2", (1, 1)), ("6/8", (3, 3)), ("9/8", (3, 3, 3)),
        ("12/8", (3, 3, 3, 3)), ("6/4", (3, 3)), ("3/8", (3,)), ("3+2/8", (3, 2)), ("2+2+3/8", (2, 2, 3)),
    ],
)  # fmt: skip
def test_regular_and_printed_groupings_follow_common_theory(time, grouping):
    length = time_signature(time).length_quarters
    assert grouping_of(make_score(make_part(f"C4*{length}"), time=time)) == [(0, grouping)]


@pytest.mark.parametrize("grouping", [(2, 2, 3), (3, 2, 2), (2, 3, 2)])
def test_beams_state_the_grouping_of_seven(grouping):
    part = beamed(make_part(eighths(4, 7)), *[grouping] * 4)
    found = find_meters(columns_of(make_score(part, time="7/8"))).spans
    assert [span.grouping for span in found] == [grouping]
    assert found[0].source == "beams"
    assert found[0].confidence > 0.9


def test_the_grouping_turns_where_the_beams_turn_for_good():
    bars = [(2, 2, 3)] * 4 + [(3, 2, 2)] * 4
    score = make_score(beamed(make_part(eighths(8, 7)), *bars), time="7/8")
    assert grouping_of(score) == [(0, (2, 2, 3)), (4, (3, 2, 2))]
    assert [(fact.kind, fact.places) for fact in find_meters(columns_of(score)).facts] == [
        (FactKind.METER, ((0, 0),)),
        (FactKind.METER_CHANGES, ((4, 4),)),
    ]


def test_one_bar_beamed_otherwise_does_not_turn_the_grouping():
    bars = [(2, 2, 3)] * 4 + [(3, 2, 2)] + [(2, 2, 3)] * 4
    assert grouping_of(make_score(beamed(make_part(eighths(9, 7)), *bars), time="7/8")) == [(0, (2, 2, 3))]


def test_words_that_state_the_grouping_are_believed():
    part = beamed(make_part(eighths(4, 7)), *[(2, 2, 3)] * 4)
    score = replace(make_score(part, time="7/8"), tempos=(TempoMark(0, Fraction(0), "Swiftly (3 + 2 + 2)"),))
    found = find_meters(columns_of(score))
    assert (found.spans[0].grouping, found.spans[0].source) == ((3, 2, 2), "words")
    assert found.facts[0].numbers == ()


def test_without_beams_accents_speak():
    part = make_part(eighths(4, 7))
    notes = tuple(
        replace(n, articulations=("accent",))
        if n.onset_quarters in (0, Fraction(3, 2), Fraction(5, 2))
        else n
        for n in part.notes
    )
    found = find_meters(columns_of(make_score(replace(part, notes=notes), time="7/8"))).spans
    assert (found[0].grouping, found[0].source) == ((3, 2, 2), "accents")


def test_long_notes_show_two_plus_three_in_five_four():
    score = make_score(make_part(" | ".join(["C4*2 E4*3"] * 6)), time="5/4")
    assert grouping_of(score) == [(0, (2, 3))]


def test_a_page_that_shows_nothing_gets_the_usual_grouping_and_says_so():
    score = make_score(make_part(" | ".join([" ".join(["C4"] * 5)] * 4)), time="5/4")
    found = find_meters(columns_of(score))
    assert found.spans[0].source == "custom"
    assert found.spans[0].confidence < 0.5
    assert found.facts[0].certainty == found.spans[0].confidence


def test_pulses_of_seven_fall_on_its_groups_and_a_pickup_is_counted_from_its_end():
    part = beamed(make_part(eighths(2, 7)), (2, 2, 3), (2, 2, 3))
    score = make_score(part, time="7/8")
    assert find_meters(columns_of(score)).pulses[1] == (0, 2 * HALF_TICK, 4 * HALF_TICK)
    pickup = make_score(make_part("C4*1 | C4 C4 C4 C4"), time="4/4")
    first = replace(pickup.measures[0], implicit=True)
    pickup = replace(pickup, measures=(first, *pickup.measures[1:]))
    found = find_meters(columns_of(pickup))
    assert found.pulses == ((0,), tuple(n * 2 * HALF_TICK for n in range(4)))
    assert (found.facts[1].kind, found.facts[1].number("quarters")) == (FactKind.PICKUP, 1)


@pytest.mark.parametrize(
    ("time", "beats", "quarters"),
    [("4/4", 4, 1), ("2/2", 2, 2), ("6/8", 2, 1.5), ("12/8", 4, 1.5), ("6/4", 2, 3), ("3/8", 1, 1.5)],
)
def test_an_even_meter_has_its_beats_and_their_length(time, beats, quarters):
    length = time_signature(time).length_quarters
    [meter] = find_meters(columns_of(make_score(make_part(f"C4*{length}"), time=time))).facts
    assert (meter.kind, meter.numbers) == (FactKind.METER, named(beats=beats, quarters=quarters))


def test_every_change_of_meter_is_found():
    score = make_score(make_part("C4*4 | C4*3 | C4*4"))
    measures = list(score.measures)
    measures[1] = replace(measures[1], time=time_signature("3/4"), time_changes=True)
    found = find_meters(columns_of(replace(score, measures=tuple(measures))))
    assert [(span.measure, span.time) for span in found.spans] == [(0, "4/4"), (1, "3/4"), (2, "4/4")]
    assert found.facts[1].places == ((1, 1), (2, 2))


def test_a_hemiola_held_over_the_barline_is_found_and_a_rest_there_is_not():
    held = [make_part("C4*2 E4~*1".replace("E4~*1", "E4*1~") + " | E4*1 G4*2 | C4*3", name=n) for n in "AB"]
    assert against(make_score(*held, time="3/4")) == [
        Fact(FactKind.AGAINST_METER, places=((0, 1),), terms=("hemiola",))
    ]
    rested = [make_part("C4*2 E4 | r G4*2 | C4*3", name=n) for n in "AB"]
    assert against(make_score(*rested, time="3/4")) == []


def test_three_quarters_in_six_eight_are_a_hemiola():
    parts = [make_part("C4*3/2 D4*3/2 | C4 D4 E4 | C4*3", name=n) for n in "AB"]
    [found] = against(make_score(*parts, time="6/8"))
    assert (found.places, found.terms) == (((1, 1),), ("6/8 as 3/4",))


def test_free_time_has_no_pulses_to_speak_of():
    score = make_score(make_part("C4*4"))
    free = replace(score.measures[0], time=TimeSignature((), "free"))
    found = find_meters(columns_of(replace(score, measures=(free,))))
    assert (found.spans[0].time, found.spans[0].grouping, found.pulses) == ("free", (), ((0,),))


@pytest.mark.parametrize("units", range(2, 16))
def test_groupings_are_all_sums_of_twos_and_threes(units):
    found = groupings_of(units)
    assert all(sum(groups) == units and set(groups) <= {2, 3} for groups in found)
    assert len(set(found)) == len(found)


def test_no_measures_no_meter():
    assert find_meters(columns_of(Score("Empty", (), ()))).facts == ()
