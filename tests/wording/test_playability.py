"""What a section should know about its part, in words."""

import pytest

from planner.core.fact import named
from planner.matching.part_check import Check, CheckKind, Fix, Severity
from planner.wording.director.playability import check_note, fix_note

NUMBERS = ("1", "2", "2a", "3", "4", "5", "6", "7")


@pytest.mark.parametrize(
    ("kind", "measures", "numbers", "sentence"),
    [
        (CheckKind.COMFORTABLE_RANGE, (0,), named(notes=1, level=1.0),
         "1 note lies outside what a level 1.0 player reaches in comfort: bar 1."),
        (CheckKind.COMFORTABLE_RANGE, (0, 2), named(notes=3, level=1.5),
         "3 notes lie outside what a level 1.5 player reaches in comfort: bar 1 and the bar after 2."),
        (CheckKind.TESSITURA, (), named(share=0.456, level=2.0),
         "46% of the playing time lies in the top fifth of what level 2.0 reaches."),
        (CheckKind.TIME_HIGH, (1,), named(seconds=31.4), "31 seconds high without a rest."),
        (CheckKind.BREATH, (1, 2), named(stretches=2, level=1.0, seconds=9.6, worst=2),
         "2 stretches longer than a breath at level 1.0, the longest 10 seconds from the bar after 2."),
        (CheckKind.BREATH, (1,), named(stretches=1, level=1.4, seconds=94.2, worst=1),
         "1 stretch longer than a breath at level 1.4: 94 seconds from bar 2."),
        (CheckKind.PARTIALS, (1,), named(leaps=1, partials=2), "1 leap over more than 2 partials."),
        (CheckKind.CLARINET_BREAK, (1,), named(times=1), "1 crossing of the break."),
        (CheckKind.VALVE_CHANGES, (1,), named(times=2), "2 awkward valve changes."),
        (CheckKind.SLIDE_MOVES, (1,), named(times=2, positions=4), "2 slide moves of 4 positions or more."),
        (CheckKind.STRING_CROSSINGS, (1,), named(times=3), "3 jumps over a string."),
        (CheckKind.POSITIONS, (1,), named(notes=2, allowed=3, highest=5),
         "2 notes above position 3, up to position 5."),
        (CheckKind.TIMPANI_RETUNING, (3,), named(times=1, seconds=2.2, worst=3),
         "1 retuning with four drums, the quickest 2 seconds before bar 3."),
    ],
)  # fmt: skip
def test_what_was_found_with_the_printed_bars(kind, measures, numbers, sentence):
    check = Check(kind, Severity.NOTE, Fix.GIVE_AWAY, measures, numbers)
    assert check_note(check, NUMBERS) == sentence


def test_notes_an_instrument_lacks_name_it_and_beyond_six_bars_are_counted():
    check = Check(CheckKind.FULL_RANGE, Severity.ERROR, Fix.GIVE_AWAY, tuple(range(8)), named(notes=9),
                  instrument="trumpet-bflat")  # fmt: skip
    assert check_note(check, NUMBERS) == (
        "9 notes lie outside the range of the B♭ Trumpet: bars 1, 2, 3, 4 and 5 and the bar after 2, "
        "and 2 more."
    )


def test_a_quick_change_of_percussion_names_both_instruments():
    check = Check(CheckKind.PERCUSSION_CHANGES, Severity.NOTE, Fix.TWO_PLAYERS, (3,),
                  named(times=1, seconds=0.62, worst=3), terms=("triangle", "cymbals"))  # fmt: skip
    assert check_note(check, NUMBERS) == (
        "1 quick change of instrument, e.g. triangle to cymbals in 0.6 seconds before bar 3."
    )


def test_every_kind_and_every_fix_has_its_words():
    given = named(notes=1, level=1, share=1, seconds=1, stretches=1, worst=0, leaps=1, partials=2, times=1,
                  positions=4, allowed=1, highest=2)  # fmt: skip
    for kind in CheckKind:
        note = check_note(Check(kind, Severity.NOTE, Fix.CUE, (0,), given, terms=("a", "b")), NUMBERS)
        assert note.endswith("."), kind
    fixes = [fix_note(Check(CheckKind.BREATH, Severity.NOTE, fix, fix_part="Horn")) for fix in Fix]
    assert len(set(fixes)) == len(Fix)
    assert "Horn has a cue here that covers it." in fixes
