"""Technique by instrument, against published difficulties and plain cases."""

from fractions import Fraction

import pytest

from planner.core.pitch import Pitch, Transposition
from planner.matching.playability import check_part
from planner.matching.playability_breath import breaths
from planner.matching.playability_hands import positions_needed, retunings
from planner.study.difficulty.evidence import gather
from planner.study.lines.technique import valve_cost, valves_for
from planner.study.notes.columns import columns_of
from tests.builders import make_part, make_score
from tests.study.difficulty.levels_help import facts_for

import numpy as np  # isort: skip


def midi(*names):
    return [int(Pitch.parse(name).midi) for name in names]


# Huron, talk at the Ohio State University 2001, slide 13: sums of its table over written scales up.
@pytest.mark.parametrize(
    ("scale", "cost"),
    [
        ("C4 D4 E4 F4 G4 A4 B4 C5", 15.8),
        ("D4 E4 F#4 G4 A4 B4 C#5 D5", 17.1),
        ("E4 F#4 G#4 A4 B4 C#5 D#5 E5", 21.9),
    ],
)
def test_valve_costs_of_scales_are_those_of_the_published_table(scale, cost):
    assert valve_cost(midi(*scale.split())) == pytest.approx(cost, abs=0.01)


def test_fingerings_are_the_standard_ones():
    """Source: any fingering chart for the trumpet."""
    expected = {
        "F#3": "123",
        "C4": "0",
        "C#4": "123",
        "D4": "13",
        "Bb4": "1",
        "A4": "12",
        "F#5": "2",
        "C6": "0",
    }
    assert {name: valves_for(midi(name)[0]) for name in expected} == expected


def test_notes_outside_the_chart_have_no_fingering():
    assert valves_for(30) == ""
    assert valves_for(110) == ""


def checks(music, level, instrument, bpm=100.0, **kwargs):
    score = make_score(make_part(music, instrument=instrument, **kwargs))
    columns, facts = columns_of(score), facts_for(score, bpm)
    evidence = gather(columns, facts)
    return {c.name: c for c in check_part(evidence.parts[0], columns, facts, evidence, level)}


B_FLAT = Transposition(-1, -2)


def test_a_note_the_instrument_lacks_is_an_error_and_a_high_one_a_warning():
    found = checks("C4 C5 G5 C6 | E3*4", 1.0, "trumpet-bflat", transposition=B_FLAT)
    assert found["full range"].severity == "error"
    assert found["full range"].measures == (1,)
    assert found["comfortable range"].severity == "warning"
    assert found["comfortable range"].measures == (0,)
    better = checks("C4 C5 G5 C6 | F3*4", 6.0, "flugelhorn", transposition=B_FLAT)
    assert "comfortable range" not in better


def test_an_octave_is_offered_when_it_mends_the_range():
    found = checks("C6 D6 C6 D6", 1.0, "trumpet-bflat", transposition=B_FLAT)
    assert "octave lower" in found["full range"].mend


def test_crossings_of_the_clarinet_break_are_counted():
    found = checks("A4 B4 A4 B4 | G4 F4 E4 D4", 2.0, "clarinet-bflat", transposition=B_FLAT)
    assert found["clarinet break"].sentence.startswith("4 crossings")
    assert found["clarinet break"].measures == (0, 1)
    assert "clarinet break" not in checks("G4 A4 G4 F4", 2.0, "clarinet-bflat", transposition=B_FLAT)


def test_long_slide_moves_are_found():
    # B-flat 3 in first position, B 2 in seventh: six positions (common practice).
    found = checks("Bb3 B2 Bb3 C4", 4.0, "trombone", clef=("F", 4))
    assert found["slide moves"].sentence.startswith("2 slide moves")
    assert "slide moves" not in checks("Bb3 C4 D4 C4", 4.0, "trombone", clef=("F", 4))


def test_a_horn_leap_over_partials_is_noted():
    """C4 is the fourth partial of a written horn, C5 the eighth (harmonic series): three lie between."""
    found = checks("C4 C5 C4 D4", 3.0, "horn-f", transposition=Transposition(-4, -7))
    assert found["partials"].sentence.startswith("2 leaps")
    assert "partials" not in checks("C4 G4 C4 D4", 3.0, "horn-f", transposition=Transposition(-4, -7))


def test_string_positions_of_a_violin():
    # First position ends at B5 on the E string, third at D6 (string method books, common practice).
    assert positions_needed("violin", np.array(midi("B5", "D6", "E5", "G3"))).tolist() == [1, 3, 1, 1]
    assert "positions" in checks("E6*2 D6*2", 1.0, "violin")
    assert "positions" not in checks("B5*2 A5*2", 1.0, "violin")


def test_a_rest_over_a_quarter_of_a_second_refills():
    """Huron & Berec 2009, Empirical Musicology Review 4(3)."""

    def stretches(rest, bpm):
        score = make_score(make_part(f"C5*3 D5*{1 - rest} r*{rest} | E5*4"))
        columns, facts = columns_of(score), facts_for(score, bpm)
        return len(breaths(gather(columns, facts).parts[0], facts))

    assert stretches(Fraction(1, 2), 100.0) == 2
    assert stretches(Fraction(1, 4), 100.0) == 1


def test_a_phrase_longer_than_a_breath_is_a_warning_for_beginners_only():
    music = " | ".join(["C5*4"] * 6)
    assert "breath" in checks(music, 0.5, "clarinet-bflat", bpm=120)
    assert "breath" not in checks(music, 6.0, "clarinet-bflat", bpm=120)


def test_five_pitches_need_a_retuning_and_four_do_not():
    four = np.array(midi("G2", "C3", "D3", "G3"))
    assert retunings(four, 4) == []
    assert len(retunings(np.append(four, midi("F#3")), 4)) == 1


def test_a_timpani_part_that_repeats_two_pitches_needs_none():
    found = checks("C3 G2 C3 G2 | C3 G2 C3 G2", 2.0, "timpani", clef=("F", 4))
    assert "timpani retuning" not in found
