"""Whether a section can play its part, against published figures and plain cases."""

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

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
    found = checks("E6 F6 E6 F6", 3.0, "trumpet-bflat", transposition=B_FLAT)
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


def test_twenty_seconds_high_without_a_rest_are_long_and_a_shorter_time_is_not():
    """The top fifth of E3 to B♭4, eighteen semitones, begins above F♯4."""
    held, shorter, lower = (
        checks(f"{held} | E4*100", 1.0, "clarinet-bflat", bpm=60.0, transposition=B_FLAT)
        for held in ("G4*20", "G4*19", "F4*100")
    )
    assert held["time spent high"].number("seconds") == 20.0
    assert "time spent high" not in shorter
    assert "time spent high" not in lower


def test_notes_too_low_or_too_high_are_moved_the_octave_that_brings_all_of_them_home():
    """A beginner's flute is at ease from B♭4 to A5: A4 an octave up, and B♭5 an octave down, just fit."""
    low, high = (
        checks(music, 0.5, "flute")["comfortable range"] for music in ("A4 B4 C5 D5", "Bb5 B4 C5 D5")
    )
    assert (low.fix, low.number("notes")) == (Fix.OCTAVE_HIGHER, 1)
    assert (high.fix, high.number("notes")) == (Fix.OCTAVE_LOWER, 1)
    assert checks("A4 Bb5 C5 D5", 0.5, "flute")["comfortable range"].fix is Fix.GIVE_AWAY


def fix_with(other):
    """What is advised for a flute's G4 and B5 in the second bar, beside another part."""
    score = make_score(make_part("C5*4 | G4*2 B5*2", name="Flute"), other)
    columns, facts = columns_of(score), facts_for(score)
    evidence = gather(columns, facts)
    found = {c.kind: c for c in check_part(evidence.parts[0], facts, evidence, 0.5)}["comfortable range"]
    return found.fix, found.fix_part


def cued(part, bar):
    return replace(part, notes=tuple(replace(n, is_cue=n.measure == bar) for n in part.notes))


def test_notes_out_of_reach_are_left_to_whoever_has_them_in_any_octave_then_to_a_cue():
    assert fix_with(make_part("r*4 | G3*2 B3*2", name="Oboe")) == (Fix.OTHER_SECTION, "Oboe")
    assert fix_with(make_part("r*4 | G3*2 C4*2", name="Oboe")) == (Fix.GIVE_AWAY, "")
    assert fix_with(make_part("r*4 | r*2 G3*2", name="Oboe")) == (Fix.GIVE_AWAY, ""), "at another moment"
    assert fix_with(cued(make_part("C4*4 | C4*4", name="Oboe"), 1)) == (Fix.CUE, "Oboe")
    assert fix_with(cued(make_part("C4*4 | C4*4", name="Oboe"), 0)) == (Fix.GIVE_AWAY, "")


def test_an_instrument_without_pitches_has_no_range_to_leave():
    assert checks("C6 C2 C6 C2", 1.0, "snare-drum") == {}


# The lungs are full at first: five seconds at level 0.5, eight at 2.0; of a flute three quarters of it.
@pytest.mark.parametrize(
    ("instrument", "level", "beats", "is_long"),
    [
        ("clarinet-bflat", 0.5, "5", False), ("clarinet-bflat", 0.5, "21/4", True),
        ("clarinet-bflat", 2.0, "8", False), ("clarinet-bflat", 2.0, "33/4", True),
        ("flute", 2.0, "6", False), ("flute", 2.0, "25/4", True),
    ],
)  # fmt: skip
def test_a_breath_lasts_as_long_as_the_level_and_the_instrument_say(instrument, level, beats, is_long):
    found = checks(f"C5*{beats} | r*4", level, instrument, bpm=60.0)
    assert ("breath" in found) == is_long


def test_after_half_a_breath_a_phrase_may_be_half_as_long():
    """A rest of 0.65 seconds fills half of what 1.3 seconds would: five seconds of eight are too many."""
    bars = "C5*2 r*13/20 C5*5 | C5*4"
    found = checks(bars, 2.0, "clarinet-bflat", bpm=60.0)["breath"]
    assert [found.number(name) for name in ("stretches", "seconds", "worst")] == [1, 9.0, 0]
    assert "breath" not in checks("C5*2 r*13/10 C5*5 | r*4", 2.0, "clarinet-bflat", bpm=60.0)
    assert "breath" in checks("C5*2 r*13/20 C5*5 | r*4", 2.0, "clarinet-bflat", bpm=60.0)
    assert "breath" not in checks("C5*2 r*13/40 C5*4 | r*4", 2.0, "clarinet-bflat", bpm=60.0), (
        "half at the least"
    )


def clarinet(music):
    """At level 1 its comfort goes from E3 to B♭4; F♯4 and below are not high in it."""
    return checks(music, 1.0, "clarinet-bflat", bpm=60.0, transposition=B_FLAT)


def test_two_fifths_of_the_time_in_the_top_fifth_of_the_range_are_a_high_part():
    found = clarinet("r*4 | G4*1 F4*3 | G4*3 F4*3")["tessitura"]
    assert found.number("share") == pytest.approx(0.4)
    assert "tessitura" not in clarinet("r*4 | G4*1 F4*3 | G4*2 F4*4")


def test_time_spent_high_goes_on_over_short_rests_and_ends_with_a_beat_of_rest_or_a_low_note():
    """At 60 a beat is a second; twenty of them are long."""
    joined = clarinet("E4*90 | G4*8 A4*4 r*1/2 G4*8")["time spent high"]
    assert (joined.number("seconds"), joined.measures) == (20.0, (1,))
    for parted in ("E4*90 | G4*8 A4*4 r*1 G4*8", "E4*90 | G4*8 A4*4 E4*1/2 G4*8"):
        assert "time spent high" not in clarinet(parted)
