"""The altered notes of a part on its sheet: all of them in the bars that are named, sentence by sentence."""

from dataclasses import replace

import pytest

from planner.core.fact import Fact, FactKind
from planner.core.profile import (
    AccidentalKind,
    AccidentalUse,
    KeySpan,
    PartProfile,
    PrintedSignature,
    Roadmap,
    SureKey,
)
from planner.core.room_question import Ask
from planner.services.questions.ask import questions_for
from planner.services.sheets.player.altered import densest_places, few_altered
from planner.services.sheets.player.choose import chosen
from planner.services.sheets.player.key import key_lines, opening_key
from planner.services.sheets.player.line import Block, Consequence, Line
from planner.services.sheets.player.questions import sheet_questions
from planner.wording.questions import answer_words
from tests.fakes import make_profile

BARS = tuple(str(number) for number in range(1, 61))
HOME = Fact(FactKind.HOME_KEY, keys=("C major",))


def altered(name, *measures, kind=AccidentalKind.FIRST):
    return AccidentalUse(measures[0], name, kind, len(measures), measures)


def part_with(*uses, fifths=0, **values):
    signatures = (PrintedSignature(0, 1, fifths),)
    part = PartProfile("Flute", "flute", 0, 60, ("C4", "C6"), ("C4", "C6"), 3.0, signatures=signatures)
    return replace(part, accidentals=uses, **values)


def lines(part, *facts, sure=(), keys=("C major",)):
    outside = [Fact(FactKind.OUTSIDE_SIGNATURE, "Flute", notes=("F#",))] if part.accidentals else []
    spans = tuple(KeySpan(8 * at, key) for at, key in enumerate(keys))
    profile = make_profile(
        parts=(part,),
        measures=60,
        measure_numbers=BARS,
        facts=(*facts, *outside),
        keys=spans,
        sure_keys=sure,
        roadmap=Roadmap(tuple(range(60))),
    )
    return [line.fuller or line.text for line in key_lines(profile, part)]


def test_few_notes_are_all_named_with_all_their_bars():
    part = part_with(altered("F#", 2, 3, 9), altered("Bb", 12), altered("F", 9, kind=AccidentalKind.BACK))
    assert lines(part)[1:] == [
        "Not in the signature: F♯ (back to F♮ in bar 10) in bars 3–4 and 10; B♭ in bar 13."
    ]


def test_notes_of_the_same_bars_stand_together():
    part = part_with(altered("F#", 9), altered("G#", 9), altered("Bb", 12))
    assert lines(part)[1:] == ["Not in the signature: F♯ and G♯ in bar 10; B♭ in bar 13."]


def test_a_note_of_many_bars_is_counted():
    bars = (3, 9, 15, 21, 27, 33)
    [few], [many] = (lines(part_with(altered("G#", *each)))[1:] for each in (bars, (*bars, 39)))
    assert few == "Not in the signature: G♯ in bars 4, 10, 16, 22, 28 and 34."
    assert many == "Not in the signature: G♯ in 7 bars from bar 4 on."


CROWDED = (
    altered("F#", 4, 5, 20), altered("C#", 4, 20), altered("G#", 5), altered("Bb", 30), altered("Eb", 31),
    altered("Ab", 30, 31), altered("F##", 40), altered("F#", 40, kind=AccidentalKind.BACK),
)  # fmt: skip


def test_of_many_the_densest_places_are_named_each_with_all_its_notes():
    part = part_with(*CROWDED)
    assert few_altered(part) == ()
    assert lines(part)[1:] == [
        "Bars 5–6: look for F♯, C♯ and G♯.",
        "Bar 21: look for F♯ and C♯.",
        "Bars 31–32: look for B♭, A♭ and E♭.",
    ]
    turned = [altered(name, 4, 5) for name in ("C#", "G#")] + [
        altered("Eb", 50),
        altered("Bb", 40),
        altered("A#", 20),
    ]
    back = altered("C", 5, kind=AccidentalKind.BACK), altered("G", 4, 5, kind=AccidentalKind.BACK)
    each_time = "Bars 5–6: look for C♯ (back to C♮ in bar 6) and G♯ (back to G♮ each time)."
    assert each_time in lines(part_with(*turned, *back))
    assert "Bar 41: look for F double sharp (back to F♯)." in lines(part_with(*CROWDED[4:], *CROWDED[:1]))


def test_places_with_the_same_notes_are_one():
    uses = [altered(name, 4, 5, 24, 25) for name in ("F#", "C#", "G#")] + [
        altered("Bb", 40),
        altered("Eb", 50),
    ]
    place = densest_places(part_with(*uses))[0]
    assert place.places == ((4, 5), (24, 25))
    assert {note.measures for note in place.notes} == {(4, 5, 24, 25)}


def test_a_sure_key_is_named_with_every_note_of_its_stretch_and_said_once():
    sure = (SureKey("G major", 8, 19),)
    part = part_with(altered("F#", 8, 12, 19))
    assert lines(part, HOME, sure=sure)[1:] == ["Bars 9–20 are in G major: look for F♯."]
    other = part_with(altered("F#", 8, 12, 19), altered("Bb", 40))
    assert lines(other, HOME, sure=sure)[1:] == [
        "Bars 9–20 are in G major: look for F♯.",
        "Not in the signature: F♯ in bars 9, 13 and 20; B♭ in bar 41.",
    ]
    foreign = part_with(altered("F#", 8), altered("Bb", 12))
    assert "G major" not in " ".join(lines(foreign, HOME, sure=sure)), "the part's page has another note"


def test_a_transposing_player_reads_the_key_as_written():
    part = part_with(altered("C#", 8, 12), fifths=1, transposition_semitones=-7)
    assert lines(part, sure=(SureKey("G major", 8, 19),))[1:] == ["Bars 9–20 are in D major: look for C♯."]


@pytest.mark.parametrize(
    ("key", "keys", "fifths", "terms", "text"),
    [
        ("D major", ("D major", "A major", "D major"), 2, (), "Your key: D major, 2 sharps: F♯ and C♯."),
        ("D major", ("A major", "D major"), 2, (), "Your signature: 2 sharps: F♯ and C♯."),
        ("D major", ("D major", "B minor"), 2, (), "Your signature: 2 sharps: F♯ and C♯."),
        ("G major", ("G minor", "G major"), -2, (), "Your signature: 2 flats: B♭ and E♭."),
        ("D minor", ("D minor",), 0, ("Dorian",), "Your signature: no sharps or flats."),
        ("Db major", ("Db major",), -5, (), "Your key: D♭ major, 5 flats: all but C and F."),
        ("Cb major", ("Cb major",), -7, (), "Your key: C♭ major, 7 flats: every note."),
    ],
)
def test_a_key_is_named_where_signature_beginning_and_end_agree(key, keys, fifths, terms, text):
    found = lines(part_with(fifths=fifths), Fact(FactKind.HOME_KEY, keys=(key,), terms=terms), keys=keys)
    assert found[0].startswith(text)


@pytest.mark.parametrize(
    ("signatures", "order", "named"),
    [
        (((0, -3), (16, -4)), (), True),
        (((0, -3), (8, -4)), (), True),
        (((0, -3),), (), False),
        (((0, -3),), (*range(60), *range(8)), True),
    ],
)
def test_a_march_is_named_by_what_is_before_its_trio_and_a_da_capo_by_its_end(signatures, order, named):
    """A march goes into its trio's key with a new signature (common practice)."""
    signs = tuple(PrintedSignature(at, 1, fifths) for at, fifths in signatures)
    part = part_with(signatures=signs)
    profile = make_profile(
        parts=(part,), measures=60, measure_numbers=BARS, roadmap=Roadmap(order or tuple(range(60))),
        facts=(Fact(FactKind.HOME_KEY, keys=("Ab major",)),),
        keys=(KeySpan(0, "Eb major"), KeySpan(16 if len(signatures) < 2 else signatures[1][0], "Ab major")),
    )  # fmt: skip
    assert opening_key(profile, part) == ("Eb major" if named else "")


def test_the_notes_of_a_signature_are_named_where_there_is_room():
    part = part_with(fifths=-1)
    (line,) = key_lines(make_profile(parts=(part,), facts=()), part)
    assert (line.text, line.fuller) == ("Your signature: 1 flat.", "Your signature: 1 flat: B♭.")
    assert [each.text for each in chosen((line,), dict.fromkeys(Consequence, 4))] == [line.fuller]
    assert [each.text for each in chosen((line,), dict.fromkeys(Consequence, 3))] == [line.text]


def test_a_signature_is_named_where_no_key_is_known():
    assert lines(part_with(fifths=-1)) == ["Your signature: 1 flat: B♭."]


def test_a_sheet_asks_for_another_key_only_where_it_is_sure():
    uses = altered("F#", 8, 12, 19)
    part = part_with(uses)
    tells = Fact(
        FactKind.KEY_ACCIDENTALS, "Flute", ((8, 19),), notes=("F#",), keys=("G major",),
        numbers=(("times", 3), ("leading", 0)),
    )  # fmt: skip
    profile = make_profile(
        parts=(part,), measures=60, measure_numbers=BARS, facts=(tells,), home_key="C major",
        keys=(KeySpan(0, "C major"), KeySpan(8, "G major")),
    )  # fmt: skip
    sure = replace(profile, sure_keys=(SureKey("G major", 8, 19),))
    outside = next(each for each in questions_for(sure, 0) if each.kind is Ask.OUTSIDE_SIGNATURE)
    said = (Line(Block.KEY, answer_words(outside, sure), Consequence.SPOILS),)
    asked = [[each.kind for each in sheet_questions(one, 0, said)] for one in (profile, sure)]
    assert asked == [[], [Ask.TELLS_KEY]]
