"""Whether a section can play its part, against published figures and plain cases."""

import pytest

from planner.core.pitch import Transposition
from planner.matching.part_check import Severity
from planner.matching.playability import check_part
from planner.study.difficulty.evidence import gather
from planner.study.notes.columns import columns_of
from tests.builders import make_part, make_score
from tests.study.difficulty.levels_help import facts_for


def checks(music, level, instrument, bpm=100.0, **kwargs):
    score = make_score(make_part(music, instrument=instrument, **kwargs))
    columns, facts = columns_of(score), facts_for(score, bpm)
    evidence = gather(columns, facts)
    return {c.kind: c for c in check_part(evidence.parts[0], facts, level)}


B_FLAT = Transposition(-1, -2)


def test_a_note_the_instrument_lacks_is_an_error_and_a_high_one_a_warning():
    found = checks("C4 C5 G5 C6 | E3*4", 1.0, "trumpet-bflat", transposition=B_FLAT)
    assert found["full range"].severity is Severity.ERROR
    assert found["full range"].measures == (1,)
    assert found["comfortable range"].severity is Severity.WARNING
    assert found["comfortable range"].measures == (0,)
    better = checks("C4 C5 G5 C6 | F3*4", 6.0, "flugelhorn", transposition=B_FLAT)
    assert "comfortable range" not in better


def test_quick_crossings_of_the_clarinet_break_are_counted():
    found = checks("A4 B4 A4 B4 | G4 F4 E4 D4", 2.0, "clarinet-bflat", bpm=140.0, transposition=B_FLAT)
    assert found["clarinet break"].number("times") == 4
    assert found["clarinet break"].measures == (0, 1)
    low = checks("G4 A4 G4 F4", 2.0, "clarinet-bflat", bpm=140.0, transposition=B_FLAT)
    assert "clarinet break" not in low


@pytest.mark.parametrize(("level", "is_quick"), [(0.5, True), (2.0, False)])
def test_a_motion_is_quick_by_the_level(level, is_quick):
    """Quarters at 110 are 0.55 seconds: too quick for 0.5, at ease from 0.45 on for level 2."""
    music = "A4 B4 A4 B4"
    found = checks(music, level, "clarinet-bflat", bpm=110.0, transposition=B_FLAT)
    assert ("clarinet break" in found) == is_quick


def test_one_awkward_motion_or_one_in_fifty_is_not_worth_a_word():
    once = "G4 A4 B4*6"
    assert "clarinet break" not in checks(once, 0.5, "clarinet-bflat", bpm=120.0, transposition=B_FLAT)
    for others, is_rare in ((90, False), (100, True)):  # three of 94 notes and of 104
        rare = "A4 B4 A4 B4*9 | " + "G4 " * others
        found = checks(rare, 0.5, "clarinet-bflat", bpm=120.0, transposition=B_FLAT)
        assert ("clarinet break" not in found) == is_rare


def trombone(music, level=2.0, instrument="trombone"):
    return checks(music, level, instrument, bpm=144.0, clef=("F", 4)).get("slide moves")


def test_long_slide_moves_are_found_where_no_alternate_saves_them():
    """B♭2 is in first position alone, B2 in seventh (slide charts, common practice)."""
    found = trombone("Bb2 B2 Bb2 C3")
    assert (found.number("times"), found.fix) == (3, "F attachment")
    assert trombone("Bb3 B3 Bb3 C4") is None
    assert trombone("F3 C3 F3 C3") is None, "F3 is in sixth position too"


def test_a_bass_trombone_has_its_attachment_on():
    assert trombone("Bb2 B2 Bb2 C3", instrument="trombone-bass") is None


def test_what_no_attachment_saves_is_moved_early():
    """E2 lies in seventh, or in second with the attachment; low C is at its end, pedal B♭ in first alone."""
    assert trombone("Bb2 E2 Bb2 E2").fix == "F attachment"
    assert trombone("Bb1 C2 Bb1 C2", instrument="trombone-bass").fix == "move early"


def test_moves_across_a_long_rest_are_no_moves():
    assert trombone("Bb2 r r r | B2 r r r | Bb2*4") is None


def test_a_horn_leap_over_partials_is_noted():
    """C4 is the fourth partial of a written horn, C5 the eighth (harmonic series): three lie between."""
    found = checks("C4 C5 C4 D4", 3.0, "horn-f", transposition=Transposition(-4, -7))
    assert found["partials"].number("leaps") == 2
    assert "partials" not in checks("C4 G4 C4 D4", 3.0, "horn-f", transposition=Transposition(-4, -7))
    assert "partials" not in checks("C4 C5 C4 D4", 4.0, "horn-f", transposition=Transposition(-4, -7))


def test_notes_above_the_position_of_a_level_need_a_fingering():
    """At 4 violas reach A5 in comfort, and third position by the charts: G5 is in it, A5 in fourth."""
    found = checks("A5*2 G5*2 | A5*4", 4.0, "viola")
    assert found["positions"].measures == (0, 1)
    assert [found["positions"].number(name) for name in ("notes", "allowed", "highest")] == [2, 3, 4]
    assert "positions" not in checks("A5*2 G5*2 | A5*4", 5.0, "viola")
    high = checks("E6*4 | E6*4", 1.0, "violin")
    assert "comfortable range" in high
    assert "positions" not in high


def test_jumps_over_a_string_are_those_that_the_positions_of_the_level_cannot_avoid():
    """G3 and B4: two strings apart in first position, neighbors in third (method books)."""
    music = "G3 B4 G3 B4"
    assert checks(music, 1.0, "violin", bpm=140.0)["string crossings"].number("times") == 3
    assert "string crossings" not in checks(music, 2.0, "violin", bpm=140.0)
    assert "string crossings" not in checks("G3 A4 G3 A4", 1.0, "violin", bpm=140.0), "fourth finger"


def test_twenty_seconds_high_without_a_rest_are_long_and_a_shorter_time_is_not():
    """The top fifth of E3 to B♭4, eighteen semitones, begins above F♯4."""
    held, shorter, lower = (
        checks(f"{held} | E4*100", 1.0, "clarinet-bflat", bpm=60.0, transposition=B_FLAT)
        for held in ("G4*20", "G4*19", "F4*100")
    )
    assert held["time spent high"].number("seconds") == 20.0
    assert "time spent high" not in shorter
    assert "time spent high" not in lower


def test_an_instrument_without_pitches_has_no_range_to_leave():
    assert checks("C6 C2 C6 C2", 1.0, "snare-drum") == {}


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
