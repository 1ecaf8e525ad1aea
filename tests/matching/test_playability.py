"""Whether a section can play its part, against published figures and plain cases."""

from fractions import Fraction

import numpy as np

from planner.core.pitch import Pitch, Transposition
from planner.matching.breath import breaths
from planner.matching.hands import positions_needed, retunings
from planner.matching.part_check import Fix, Severity
from planner.matching.playability import check_part
from planner.study.difficulty.evidence import gather
from planner.study.notes.columns import columns_of
from tests.builders import make_part, make_score
from tests.study.difficulty.levels_help import facts_for


def midi(*names):
    return [int(Pitch.parse(name).midi) for name in names]


def checks(music, level, instrument, bpm=100.0, **kwargs):
    score = make_score(make_part(music, instrument=instrument, **kwargs))
    columns, facts = columns_of(score), facts_for(score, bpm)
    evidence = gather(columns, facts)
    return {c.kind: c for c in check_part(evidence.parts[0], facts, evidence, level)}


B_FLAT = Transposition(-1, -2)


def test_a_note_the_instrument_lacks_is_an_error_and_a_high_one_a_warning():
    found = checks("C4 C5 G5 C6 | E3*4", 1.0, "trumpet-bflat", transposition=B_FLAT)
    assert found["full range"].severity is Severity.ERROR
    assert found["full range"].measures == (1,)
    assert found["comfortable range"].severity is Severity.WARNING
    assert found["comfortable range"].measures == (0,)
    better = checks("C4 C5 G5 C6 | F3*4", 6.0, "flugelhorn", transposition=B_FLAT)
    assert "comfortable range" not in better


def test_an_octave_is_offered_when_it_mends_the_range():
    found = checks("C6 D6 C6 D6", 1.0, "trumpet-bflat", transposition=B_FLAT)
    assert found["full range"].fix is Fix.OCTAVE_LOWER


def test_crossings_of_the_clarinet_break_are_counted():
    found = checks("A4 B4 A4 B4 | G4 F4 E4 D4", 2.0, "clarinet-bflat", transposition=B_FLAT)
    assert found["clarinet break"].number("times") == 4
    assert found["clarinet break"].measures == (0, 1)
    assert "clarinet break" not in checks("G4 A4 G4 F4", 2.0, "clarinet-bflat", transposition=B_FLAT)


def test_long_slide_moves_are_found():
    # B-flat 3 in first position, B 2 in seventh: six positions (common practice).
    found = checks("Bb3 B2 Bb3 C4", 4.0, "trombone", clef=("F", 4))
    assert found["slide moves"].number("times") == 2
    assert "slide moves" not in checks("Bb3 C4 D4 C4", 4.0, "trombone", clef=("F", 4))


def test_moves_across_a_long_rest_are_no_moves():
    assert "slide moves" not in checks("Bb3 r r r | B2 r r r | Bb3*4", 4.0, "trombone", clef=("F", 4))


def test_a_horn_leap_over_partials_is_noted():
    """C4 is the fourth partial of a written horn, C5 the eighth (harmonic series): three lie between."""
    found = checks("C4 C5 C4 D4", 3.0, "horn-f", transposition=Transposition(-4, -7))
    assert found["partials"].number("leaps") == 2
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
