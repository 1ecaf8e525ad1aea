"""What sections should know about their parts, in words."""

import pytest

from planner.core.ensemble import Section
from planner.core.fact import named
from planner.matching.casting import CastPart, How
from planner.matching.part_check import TOO_HIGH, TOO_LOW, Check, CheckKind, Fix, Severity
from planner.matching.problems import Advice, Found
from planner.wording.director.playability import (
    PROBLEMS,
    advice_lines,
    advice_sentence,
    check_note,
    fix_note,
)

NUMBERS = ("1", "2", "2a", "3", "4", "5", "6", "7")


@pytest.mark.parametrize(
    ("kind", "measures", "numbers", "terms", "sentence"),
    [
        (CheckKind.COMFORTABLE_RANGE, (0,), named(notes=1, level=1.0), (TOO_HIGH,),
         "Notes out of comfortable reach: 1 note too high in bar 1."),
        (CheckKind.COMFORTABLE_RANGE, (0, 3, 4), named(notes=3, level=1.5), (TOO_LOW,),
         "Notes out of comfortable reach: 3 notes too low in bars 1 and 3–4."),
        (CheckKind.TESSITURA, (), named(share=0.456, level=2.0), (),
         "Lies high throughout: 46% of the playing time in the top fifth of the comfortable range."),
        (CheckKind.TIME_HIGH, (1,), named(seconds=31.4), (),
         "High for long without a rest: 31 seconds, up to bar 2."),
        (CheckKind.BREATH, (3, 4, 5, 7), named(share=0.3, level=1.0, seconds=12.4, worst=3, breath=6.0), (),
         "No place to breathe: bars 3–5 and 7 "
         "(the longest 12 seconds from bar 3; a breath lasts about 6)."),
        (CheckKind.BREATH, (3, 4, 5), named(share=0.3, level=1.0, seconds=12.4, worst=3, breath=6.0), (),
         "No place to breathe: bars 3–5 (12 seconds; a breath lasts about 6)."),
        (CheckKind.PARTIALS, (1,), named(leaps=1, partials=2), (),
         "Wide leaps for the lip: 1 leap over more than 2 partials in bar 2."),
        (CheckKind.CLARINET_BREAK, (1,), named(times=2, level=1.0), (),
         "Quick crossings of the break: 2 in bar 2."),
        (CheckKind.VALVE_CHANGES, (1,), named(times=2, level=1.0), (),
         "Quick awkward valve changes: 2 in bar 2."),
        (CheckKind.SLIDE_MOVES, (0, 1), named(times=2, positions=4, level=1.0), (),
         "Quick long slide moves: 2 over 4 positions or more in bars 1–2."),
        (CheckKind.STRING_CROSSINGS, (1,), named(times=3, level=1.0), (),
         "Quick jumps over a string: 3 in bar 2."),
        (CheckKind.POSITIONS, (1,), named(notes=2, allowed=3, highest=5), (),
         "Above the usual positions: 2 notes above third position, up to fifth, in bar 2."),
        (CheckKind.TIMPANI_RETUNING, (3,), named(times=1, seconds=2.2, worst=3), ("Bb", "C"),
         "Retunings that four drums cannot avoid: 1 for bar 3, "
         "the quickest B♭ to C in 2 seconds before bar 3."),
        (CheckKind.PERCUSSION_CHANGES, (3,), named(times=1, seconds=0.62, worst=3), ("triangle", "cymbals"),
         "Quick changes of instrument: 1 in bar 3, "
         "the quickest triangle to cymbals in 0.6 seconds in bar 3."),
    ],
)  # fmt: skip
def test_what_was_found_with_the_printed_bars(kind, measures, numbers, terms, sentence):
    check = Check(kind, Severity.NOTE, Fix.LEAVE_OUT, measures, numbers, terms=terms)
    assert check_note(check, NUMBERS) == sentence


def test_notes_an_instrument_lacks_name_it():
    check = Check(CheckKind.FULL_RANGE, Severity.ERROR, Fix.LEAVE_OUT, (0, 1), named(notes=9),
                  instrument="trumpet-bflat", terms=(TOO_LOW,))  # fmt: skip
    assert check_note(check, NUMBERS) == (
        "Notes the instrument does not have: 9 notes too low for the B♭ Trumpet in bars 1–2."
    )


def test_beyond_eight_places_they_are_counted():
    numbers = tuple(str(at + 1) for at in range(40))
    check = Check(CheckKind.CLARINET_BREAK, Severity.NOTE, Fix.RIGHT_HAND_DOWN, tuple(range(0, 22, 2)),
                  named(times=11))  # fmt: skip
    assert check_note(check, numbers).endswith("11 in bars 1, 3, 5, 7, 9, 11, 13 and 15, and 3 more places.")


def test_every_kind_and_every_fix_has_its_words():
    given = named(notes=1, level=1, share=1, seconds=1, worst=0, leaps=1, partials=2, times=1, breath=1,
                  positions=4, allowed=1, highest=9)  # fmt: skip
    for kind in CheckKind:
        note = check_note(Check(kind, Severity.NOTE, Fix.CUE, (0,), given, terms=("a", "b")), NUMBERS)
        assert note.endswith("."), kind
    assert len(set(PROBLEMS.values())) == len(CheckKind)
    fixes = [fix_note(fix, "Horn") for fix in Fix]
    assert len(set(fixes)) == len(Fix)
    assert "Horn has them as cues and can play them in comfort." in fixes


def found(name, level, measures, how=How.OWN, part=""):
    check = Check(CheckKind.CLARINET_BREAK, Severity.NOTE, Fix.RIGHT_HAND_DOWN, measures,
                  named(times=len(measures)))  # fmt: skip
    return Found(Section(1, name, "clarinet-bflat", level=level), CastPart(1, part or name, how), check)


def test_sections_with_the_same_in_the_same_bars_stand_together():
    advice = Advice(Fix.RIGHT_HAND_DOWN, "", (
        found("Clarinet 1", 2.0, (0, 1)), found("Clarinet 3", 1.0, (4,), How.FOLDED, "Clarinet 2"),
        found("Clarinet 2", 1.5, (0, 1)),
    ))  # fmt: skip
    assert advice_lines(advice, NUMBERS) == (
        ("Clarinet 1 (level 2.0) and Clarinet 2 (level 1.5)", "2 in bars 1–2"),
        ("Clarinet 3 (level 1.0, reads Clarinet 2)", "1 in bar 4"),
    )
    assert advice_sentence(advice, NUMBERS) == (
        "Clarinet 1 (level 2.0) and Clarinet 2 (level 1.5): 2 in bars 1–2; "
        "Clarinet 3 (level 1.0, reads Clarinet 2): 1 in bar 4. Keep the right hand down before the crossing."
    )
