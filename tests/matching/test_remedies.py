"""Remedies for notes out of reach: each tried on whoever would play it."""

from dataclasses import replace

import pytest

from planner.core.instruments import get_instrument
from planner.core.pitch import Transposition
from planner.matching.part_check import Fix
from planner.matching.playability import range_checks
from planner.matching.remedies import Reader
from planner.study.difficulty.evidence import gather
from planner.study.notes.columns import columns_of
from tests.builders import make_part, make_score
from tests.study.difficulty.levels_help import facts_for

B_FLAT = Transposition(-1, -2)
LETTERS = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")


def advised(part, level, *others):
    """What is advised for the notes of a part out of comfort; others as part and level."""
    score = make_score(part, *(other for other, _ in others))
    columns = columns_of(score)
    own, *theirs = gather(columns, facts_for(score)).parts
    readers = [
        Reader(other.name, each, at)
        for each, (other, at) in zip(theirs, others, strict=True)
        if each is not None
    ]
    return [(check.fix, check.helper) for check in range_checks(own, level, readers)]


def flute(music):
    """At level 0.5 at ease from B♭4 to A5."""
    return make_part(music, name="Flute", instrument="flute")


def oboe(music, name="Oboe"):
    return make_part(music, name=name, instrument="oboe")


def cued(part, bar):
    return replace(part, notes=tuple(replace(n, is_cue=n.measure == bar) for n in part.notes))


def test_bars_that_fit_an_octave_away_as_a_whole_are_moved_as_a_whole():
    trumpet = make_part("C4*4 | G5 A5 G5 A5 | C4*4", instrument="trumpet-bflat", transposition=B_FLAT)
    assert advised(trumpet, 1.0) == [(Fix.OCTAVE_LOWER, "")]
    assert advised(flute("C5*4 | A4 A4 A4 A4 | C5*4"), 0.5) == [(Fix.OCTAVE_HIGHER, "")]


def test_a_few_notes_are_moved_alone_where_their_bars_cannot_be():
    assert advised(flute("C5 D5 E5 Bb5"), 0.5) == [(Fix.NOTES_OCTAVE_LOWER, "")]
    assert advised(flute("C5 D5 C5 A4"), 0.5) == [(Fix.NOTES_OCTAVE_HIGHER, "")]


def test_notes_too_high_and_too_low_each_have_their_remedy():
    assert advised(flute("C5 D5 E5 Bb5 | C5 D5 C5 A4"), 0.5) == [
        (Fix.NOTES_OCTAVE_LOWER, ""), (Fix.NOTES_OCTAVE_HIGHER, ""),
    ]  # fmt: skip


def test_an_octave_must_not_leave_the_range_at_the_other_end():
    """A beginner's tuba is at ease from B♭1 to C3: neither C3 nor A3 may be asked for to mend A1."""
    low = make_part("A1 Bb2 A1 Bb2 | A1 Bb2 A1 Bb2", name="Tuba", instrument="tuba", clef=("F", 4))
    assert advised(low, 1.0)[0][0] is not Fix.OCTAVE_HIGHER


def test_a_line_is_not_torn_into_shreds_or_into_leaps_beyond_an_octave():
    assert advised(flute("A5 Bb5 A5 Bb5 | C5*4"), 0.5) == [(Fix.LEAVE_OUT, "")], "every second note"
    assert advised(flute("D5 E5 F5 A4"), 0.5) == [(Fix.NOTES_OCTAVE_HIGHER, "")]
    assert advised(flute("C5 C5 C5 B5"), 0.5) == [(Fix.NOTES_OCTAVE_LOWER, "")]
    clarinet = make_part("E3 E3 E3 C5 | E3*4", instrument="clarinet-bflat", transposition=B_FLAT)
    assert advised(clarinet, 1.0) == [(Fix.NOTES_OCTAVE_LOWER, "")], "a leap that grows smaller"


OUT = "Bb4 A5 C6 D6"
"""Two notes too high for a beginner's flute; an octave down the bar leaves its range, and they tear it up."""


@pytest.mark.parametrize(
    ("level", "helped"), [(3.0, (Fix.OTHER_SECTION, "Oboe")), (0.5, (Fix.LEAVE_OUT, ""))]
)
def test_another_section_is_named_only_where_its_own_notes_lie_in_its_comfort(level, helped):
    """An oboe that has C6 and D6 too reaches them at level 3 and not at 0.5."""
    assert advised(flute(OUT), 0.5, (oboe(OUT), level)) == [helped]


def test_another_section_must_have_every_note_at_the_same_moment_octave_aside():
    assert advised(flute(OUT), 0.5, (oboe("r r C5 D5"), 2.0)) == [(Fix.OTHER_SECTION, "Oboe")]
    assert advised(flute(OUT), 0.5, (oboe("G4 r C5 E5"), 2.0)) == [(Fix.LEAVE_OUT, "")]
    assert advised(flute(OUT), 0.5, (oboe("G4 r r C5*1/2 D5*1/2"), 2.0)) == [(Fix.LEAVE_OUT, "")]


def test_a_cue_must_have_the_notes_in_comfort_of_who_would_play_it():
    held = "Bb4 A5 C6 D6"
    assert advised(flute(OUT), 0.5, (cued(oboe(f"{held} | C5*4"), 0), 3.0)) == [(Fix.CUE, "Oboe")]
    assert advised(flute(f"{OUT} | C5*4"), 0.5, (cued(oboe(f"{held} | C5*4"), 0), 0.5)) == [
        (Fix.LEAVE_OUT, "")
    ]
    assert advised(flute(f"{OUT} | C5*4"), 0.5, (cued(oboe("Bb4 A5 C5 E5 | C5*4"), 0), 3.0)) == [
        (Fix.GIVE_TO, "Oboe")
    ]


def test_a_section_that_rests_may_take_them_where_they_sound_in_its_comfort():
    rests = oboe("r r r r | C5*4")
    assert advised(flute(f"{OUT} | C5*4"), 0.5, (rests, 3.0)) == [(Fix.GIVE_TO, "Oboe")]
    assert advised(flute(f"{OUT} | C5*4"), 0.5, (rests, 0.5)) == [(Fix.LEAVE_OUT, "")]
    assert advised(flute(f"{OUT} | C5*4"), 0.5, (oboe("r r r C5 | C5*4"), 3.0)) == [(Fix.LEAVE_OUT, "")]


def test_a_transposing_section_is_asked_for_what_it_would_write():
    """Concert C6 and D6 are D6 and E6 for a clarinet: too high at level 2, in comfort at 4."""
    clarinet = make_part("r*4 | C5*4", name="Clarinet", instrument="clarinet-bflat", transposition=B_FLAT)
    low, high = (advised(flute(f"{OUT} | C5*4"), 0.5, (clarinet, level)) for level in (2.0, 4.0))
    assert (low, high) == ([(Fix.LEAVE_OUT, "")], [(Fix.GIVE_TO, "Clarinet")])


def test_singers_are_helped_by_singers_and_nobody_by_an_accompanist():
    soprano = make_part("C5 D5 A5 C6", name="Soprano", instrument="soprano")
    piano = make_part("C5 D5 A5 C6", name="Piano", instrument="piano")
    found = advised(soprano, 0.5, (flute("C5 D5 A5 C6"), 5.0), (piano, 5.0))
    assert all(helper == "" for _, helper in found)
    assert found


def test_the_nearest_of_kin_is_asked_first():
    """An oboe and a violin have the notes; a flute is helped by the other woodwind."""
    violin = make_part(OUT, name="Violin", instrument="violin")
    assert advised(flute(OUT), 0.5, (violin, 5.0), (oboe(OUT), 5.0)) == [(Fix.OTHER_SECTION, "Oboe")]


def test_an_octave_is_tried_before_another_instrument():
    trumpet = make_part(
        "C4*4 | G5*4 | C4*4", name="Trumpet", instrument="trumpet-bflat", transposition=B_FLAT
    )
    helper = make_part("r*4 | F5*4 | r*4", name="Flute", instrument="flute")
    assert advised(trumpet, 1.0, (helper, 5.0)) == [(Fix.OCTAVE_LOWER, "")]


@pytest.mark.parametrize("level", [0.5, 1.0, 2.0, 3.0, 5.0])
@pytest.mark.parametrize(
    "instrument", ["tuba", "bass-voice", "double-bass", "flute", "trumpet-bflat", "soprano"]
)
def test_an_octave_that_is_advised_is_in_comfort_note_for_note(instrument, level):
    """Every leap of an octave and less from the ends of the range: what is advised is worked out again."""
    row = get_instrument(instrument)
    low, high = (round(each) for each in row.comfortable(level))
    advice = []
    for start in range(low - 14, high + 14, 3):
        names = " ".join(f"{LETTERS[midi % 12]}{midi // 12 - 1}" for midi in (start, start + 4))
        part = make_part(f"{names} {names}", instrument=instrument, transposition=row.transposition)
        for fix, _ in advised(part, level):
            if fix in (Fix.OCTAVE_LOWER, Fix.OCTAVE_HIGHER):
                shift = -12 if fix is Fix.OCTAVE_LOWER else 12
                assert all(low - 0.5 <= m + shift <= high + 0.5 for m in (start, start + 4))
                advice.append(fix)
    assert advice


def test_many_notes_may_be_moved_alone_where_the_line_leaps_no_wider_for_it():
    """C4 D4 B5 A5 becomes C4 D4 B4 A4: half of the bar, and smoother than it was."""
    trumpet = make_part("C4 D4 B5 A5 | C4*4", instrument="trumpet-bflat", transposition=B_FLAT)
    assert advised(trumpet, 1.0) == [(Fix.NOTES_OCTAVE_LOWER, "")]


def test_a_string_player_is_given_a_fingering_where_nothing_else_helps():
    violin = make_part("G3 A5 D6 A5 D6 A5 D6 A5", name="Violin", instrument="violin")
    assert advised(violin, 1.0) == [(Fix.FINGERING, "")]


def test_each_passage_has_the_remedy_that_suits_it():
    """Bar 1 can go down as a whole; of bars 3 and 4 an oboe has the notes, and of bar 6 nobody."""
    music = f"C6*4 | C5*4 | {OUT} | {OUT} | C5*4 | {OUT} | C5*4 | C6*4"
    helper = f"r*4 | r*4 | {OUT} | {OUT} | r*4 | C5*4 | r*4 | r*4"
    score = make_score(flute(music), oboe(helper))
    columns = columns_of(score)
    own, other = gather(columns, facts_for(score)).parts
    found = {
        (check.fix, check.helper): check.measures
        for check in range_checks(own, 0.5, [Reader("Oboe", other, 3.0)])
    }
    assert found == {
        (Fix.OCTAVE_LOWER, ""): (0, 7), (Fix.OTHER_SECTION, "Oboe"): (2, 3), (Fix.LEAVE_OUT, ""): (5,),
    }  # fmt: skip
