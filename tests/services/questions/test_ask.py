"""Which questions are asked of a piece, and which are not because they have no one answer."""

from dataclasses import replace

import pytest

from planner.core.fact import Fact, FactKind, named
from planner.core.profile import (
    AccidentalKind,
    AccidentalUse,
    Articulation,
    Cadence,
    DynamicUse,
    HarmonySpan,
    KeyRelation,
    KeySpan,
    MeterSpan,
    PartProfile,
    Pattern,
    PatternKind,
    PrintedSignature,
    Roadmap,
    RoadmapTurn,
    Tempo,
)
from planner.core.room_question import Ask, AskLevel
from planner.services.questions.ask import questions_for
from planner.services.questions.for_room import questions_in_words, room_questions
from planner.wording.questions import answer_words, question_words
from tests.fakes import make_profile

FLUTE = PartProfile(
    "Flute", "flute", 0, 8, ("F4", "F5"), ("F4", "F5"), 2.5, signatures=(PrintedSignature(0, 1, -2),)
)
CLARINET = replace(
    FLUTE, name="Clarinet", transposition_semitones=-2, signatures=(PrintedSignature(0, 1, 0),)
)


def piece(*parts, facts=(), **changes):
    numbers = tuple(str(at + 1) for at in range(16))
    plain = {"measures": 16, "measure_numbers": numbers, "parts": parts or (FLUTE,), "facts": tuple(facts)}
    return make_profile(**(plain | changes))


def asked(profile, kind, part=None):
    """Question and answer in words of a kind."""
    return [
        (question_words(each, profile), answer_words(each, profile))
        for each in questions_for(profile, part)
        if each.kind is kind
    ]


METER = Fact(FactKind.METER, places=((0, 0),), numbers=named(beats=4, quarters=1.0))


def test_the_meter_is_asked_where_the_tempo_counts_its_beat():
    [(question, answer)] = asked(piece(facts=[METER]), Ask.METER)
    assert answer == "4/4: four beats a bar, each a quarter note."
    assert question.endswith("and which note gets the beat?")
    assert not asked(piece(facts=[METER], tempo_bpm=Tempo(60.0, "half", 54)), Ask.METER)
    assert not asked(piece(facts=[METER, Fact(FactKind.OWN_METER, "Flute")]), Ask.METER)


def test_where_the_meter_changes_is_asked_of_printed_signatures_alone():
    changes = (MeterSpan(0, "4/4", (1,) * 4), MeterSpan(4, "3/4", (1,) * 3), MeterSpan(6, "4/4", (1,) * 4))
    [(_, answer)] = asked(piece(meters=changes), Ask.METER_CHANGES)
    assert answer == "To 3/4 in bar 5 and to 4/4 in bar 7."
    hidden = (*changes[:2], replace(changes[2], is_printed=False))
    assert not asked(piece(meters=hidden), Ask.METER_CHANGES)


@pytest.mark.parametrize(
    ("spans", "count"),
    [
        ([(0, (2, 2, 3), "beams", 0.9)], 1),
        ([(0, (2, 2, 3), "custom", 0.2)], 0),
        ([(0, (2, 2, 3), "beams", 0.9), (8, (3, 2, 2), "beams", 0.9)], 0),
        ([(0, (2, 2, 3), "beams", 0.4)], 0),
    ],
)
def test_a_grouping_is_asked_where_the_page_shows_one_and_the_same(spans, count):
    meters = tuple(MeterSpan(at, "7/8", groups, sure, source) for at, groups, source, sure in spans)
    assert len(asked(piece(meters=meters), Ask.GROUPING)) == count


def test_the_order_of_play_is_asked_where_all_pages_say_the_same():
    order = Roadmap((0, 1, 0, 1, *range(2, 16)), (RoadmapTurn(2, "repeat", 0, (2,)),))
    facts = [Fact(FactKind.ROADMAP, numbers=named(written=16, played=18))]
    assert len(asked(piece(facts=facts, roadmap=order), Ask.ROADMAP)) == 1
    lacking = Fact(FactKind.MARKS_LACKING, "Flute")
    assert not asked(piece(facts=[*facts, lacking], roadmap=order), Ask.ROADMAP)
    assert not asked(piece(facts=facts, roadmap=replace(order, with_repeats=(0, 1))), Ask.ROADMAP)


IN_HOME = {
    "keys": (KeySpan(0, "Bb major"),),
    "harmony": (HarmonySpan(15, 0.0, "tonic", "Bb", "major"),),
    "cadences": (Cadence(15, 0.0, "authentic", "Bb major"),),
}


def test_the_key_is_asked_where_signatures_and_the_last_chord_agree():
    facts = [Fact(FactKind.HOME_KEY, keys=("Bb major",))]
    profile = piece(FLUTE, CLARINET, facts=facts, **IN_HOME)
    assert asked(profile, Ask.HOME_KEY) == [("What is the concert key?", "B♭ major.")]
    other = replace(CLARINET, signatures=(PrintedSignature(0, 1, 1),))
    assert not asked(replace(profile, parts=(FLUTE, other)), Ask.HOME_KEY)
    assert not asked(replace(profile, harmony=(HarmonySpan(15, 0.0, "tonic", "G", "minor"),)), Ask.HOME_KEY)
    assert not asked(replace(profile, cadences=()), Ask.HOME_KEY)


def test_the_return_of_the_opening_is_asked_where_the_tune_returns_there_first():
    back = Fact(FactKind.OPENING_RETURNS, places=((8, 11),))
    tune = Fact(FactKind.TUNE_RETURNS, places=((0, 7), (8, 15)))
    assert [answer for _, answer in asked(piece(facts=[back, tune]), Ask.OPENING_RETURNS)] == [
        "In bars 9–12."
    ]
    assert not asked(piece(facts=[back]), Ask.OPENING_RETURNS)
    earlier = replace(tune, places=((0, 3), (4, 7)))
    assert not asked(piece(facts=[back, tune, earlier]), Ask.OPENING_RETURNS)


AWAY = {
    "cadences": (Cadence(11, 0.0, "authentic", "F major"),),
    "keys": (KeySpan(0, "Bb major"), KeySpan(8, "F major", KeyRelation.DOMINANT), KeySpan(12, "Bb major")),
}
TO_F = Fact(
    FactKind.AWAY_FROM_HOME, places=((8, 11),), keys=("F major",), terms=("dominant",), numbers=named(more=0)
)


def with_e(part, pitch, *measures):
    use = AccidentalUse(measures[0], pitch, AccidentalKind.FIRST, len(measures), measures)
    return replace(part, accidentals=(use,))


def test_where_it_leaves_the_key_is_asked_with_the_note_that_tells():
    profile = piece(with_e(FLUTE, "E", 8, 10), CLARINET, facts=[TO_F], **AWAY)
    [(_, answer)] = asked(profile, Ask.LEAVES_KEY)
    where, note = (
        "In bars 9–11 it goes to concert F major, the dominant.",
        "Concert E♮ tells, its leading tone.",
    )
    assert answer == f"{where} {note}"
    assert not asked(replace(profile, cadences=()), Ask.LEAVES_KEY)
    transposed = replace(profile, parts=(FLUTE, with_e(CLARINET, "F#", 8, 9)))
    assert len(asked(transposed, Ask.LEAVES_KEY)) == 1


@pytest.mark.parametrize("measures", [(9,), (2, 9, 10)])
def test_a_note_tells_nothing_in_passing_or_after_it_was_heard_before(measures):
    profile = piece(with_e(FLUTE, "E", *measures), facts=[TO_F], **AWAY)
    assert not asked(profile, Ask.LEAVES_KEY)


def test_a_part_is_asked_which_of_its_notes_tells():
    fact = Fact(FactKind.KEY_ACCIDENTALS, "Clarinet", ((8, 10),), notes=("F#",), keys=("G major", "F major"),
                numbers=named(times=2, leading=0))  # fmt: skip
    profile = piece(FLUTE, with_e(CLARINET, "F#", 8, 10), facts=[TO_F, fact], **AWAY)
    [(_, answer)] = asked(profile, Ask.TELLS_KEY, part=1)
    assert answer == "F♯, first in bars 9–11: it is the leading tone of G major (concert F major)."
    touched = replace(fact, terms=("touched",))
    assert not asked(replace(profile, facts=(TO_F, touched)), Ask.TELLS_KEY, part=1)
    home = replace(fact, keys=("C major", "Bb major"))
    assert not asked(replace(profile, facts=(TO_F, home)), Ask.TELLS_KEY, part=1)


def test_hemiolas_are_asked_together():
    facts = [Fact(FactKind.AGAINST_METER, places=((at, at + 1),), terms=("hemiola",)) for at in (4, 12)]
    assert asked(piece(facts=facts), Ask.AGAINST_METER) == [
        ("Where do two bars of 3/4 move as three half notes?", "Bars 5–6 and 13–14 (a hemiola).")
    ]


def test_the_last_cadence_is_asked_where_a_dominant_seventh_goes_home():
    harmony = (
        HarmonySpan(14, 0.0, "dominant", "F", "dominant seventh"),
        HarmonySpan(15, 0.0, "tonic", "Bb", "major"),
    )
    fact = Fact(FactKind.CADENCE, places=((15, 15),), keys=("Bb major",), terms=("authentic",))
    root = Fact(FactKind.CHORD_MEMBER, "Flute", ((15, 15),), notes=("Bb4",), terms=("root",))
    profile = piece(facts=[fact, root], harmony=harmony)
    assert not asked(replace(profile, facts=(fact, replace(root, terms=("fifth",)))), Ask.LAST_CADENCE)
    assert [answer for _, answer in asked(profile, Ask.LAST_CADENCE)] == [
        "An authentic cadence: dominant to tonic in B♭ major."
    ]
    plain = replace(harmony[0], quality="major")
    assert not asked(replace(profile, harmony=(plain, harmony[1])), Ask.LAST_CADENCE)


def test_a_held_note_is_asked_of_the_bass_alone():
    fact = Fact(FactKind.PEDAL_POINT, places=((4, 7),), parts=("Tuba",), notes=("F2",))
    tuba = replace(FLUTE, name="Tuba", sounding_range=("F2", "F3"))
    [(_, answer)] = asked(piece(FLUTE, tuba, facts=[fact]), Ask.PEDAL_POINT)
    assert answer == "Bars 5–8, F2: Tuba."
    assert not asked(piece(FLUTE, tuba, facts=[replace(fact, parts=("Flute",))]), Ask.PEDAL_POINT)


def test_changes_between_movements_are_none_on_the_way():
    changes = (MeterSpan(0, "4/4", (1,) * 4), MeterSpan(8, "3/4", (1,) * 3))
    numbers = tuple(str(at % 8 + 1) for at in range(16))
    assert asked(piece(meters=changes), Ask.METER_CHANGES)
    assert not asked(piece(meters=changes, measure_numbers=numbers), Ask.METER_CHANGES)


@pytest.mark.parametrize(
    ("part", "kind", "answer"),
    [
        ({}, Ask.SIGNATURE, "2 flats: B♭ and E♭."),
        ({"values": ("quarter", "eighth", "eighth triplet")}, Ask.SHORTEST_VALUE, "An eighth-note triplet."),
        ({"values": ("quarter", "eighth duplet")}, Ask.SHORTEST_VALUE, None),
        ({"values": ("quarter",)}, Ask.SHORTEST_VALUE, None),
        (
            {"dynamics": (DynamicUse(0, "p"), DynamicUse(4, "f"), DynamicUse(8, "p"))},
            Ask.LOUDEST,
            "f, in bar 5.",
        ),
        (
            {"dynamics": (DynamicUse(0, "p"), DynamicUse(4, "f"), DynamicUse(8, "f"))},
            Ask.SOFTEST,
            "p, in bar 1.",
        ),
        ({"dynamics": (DynamicUse(0, "p"), DynamicUse(4, "f"), DynamicUse(8, "sfz"))}, Ask.LOUDEST, None),
        ({"dynamics": (DynamicUse(0, "p"),)}, Ask.LOUDEST, None),
        ({"dynamics": (DynamicUse(4, "ff", sudden_from="p"),)}, Ask.SUDDEN, "From p to ff in bar 5."),
        (
            {"articulations": (Articulation("accent", 9, 2), Articulation("staccato", 4, 0))},
            Ask.ARTICULATION,
            "Accent, nine times, first in bar 3.",
        ),
        (
            {"articulations": (Articulation("accent", 9, 2), Articulation("staccato", 8, 0))},
            Ask.ARTICULATION,
            None,
        ),
        (
            {"accidentals": (AccidentalUse(2, "F#", AccidentalKind.FIRST, 2, (2, 5)),)},
            Ask.OUTSIDE_SIGNATURE,
            "F♯ first in bar 3.",
        ),
        (
            {
                "accidentals": tuple(
                    AccidentalUse(2, name, AccidentalKind.FIRST, 1, (2,))
                    for name in ("F#", "C#", "G#", "D#", "A#")
                )
            },
            Ask.OUTSIDE_SIGNATURE,
            None,
        ),
        (
            {"accidentals": (AccidentalUse(2, "F#", AccidentalKind.AGAIN, 2, (2, 5)),)},
            Ask.STILL_ALTERED,
            "F♯ in bars 3 and 6.",
        ),
        (
            {"accidentals": (AccidentalUse(2, "E#", AccidentalKind.ENHARMONIC, 1, (2,), "F"),)},
            Ask.SPELLING,
            "F♮.",
        ),
        (
            {"patterns": (Pattern(PatternKind.REPEAT, ((0, 3), (8, 11)), notes=9, fills_bars=True),)},
            Ask.REPEAT,
            "Bars 1–4.",
        ),
        (
            {"patterns": (Pattern(PatternKind.REPEAT, ((0, 3), (4, 7)), notes=9, fills_bars=True),)},
            Ask.REPEAT,
            None,
        ),
        (
            {"patterns": (Pattern(PatternKind.SEQUENCE, ((4, 6),), notes=4, times=3, steps=(-1, -1)),)},
            Ask.SEQUENCE,
            "A step lower each time.",
        ),
        (
            {"patterns": (Pattern(PatternKind.SEQUENCE, ((4, 6),), notes=4, times=3, steps=(-1, -2)),)},
            Ask.SEQUENCE,
            None,
        ),
    ],
)
def test_what_a_part_is_asked(part, kind, answer):
    found = asked(piece(replace(FLUTE, **part)), kind, part=0)
    assert [words for _, words in found] == ([] if answer is None else [answer])


def test_a_long_rest_is_asked_where_play_goes_straight_through_it():
    rest = Fact(FactKind.COUNTED_RESTS, "Flute", ((8, 8),), numbers=named(bars=8, beat=1.0))
    straight = piece(FLUTE, facts=[rest], roadmap=Roadmap(tuple(range(16))))
    assert asked(straight, Ask.LONG_REST, part=0) == [
        ("How many bars of rest do you count before bar 9?", "8 bars.")
    ]
    back = replace(straight, roadmap=Roadmap((*range(4), *range(16))))
    assert not asked(back, Ask.LONG_REST, part=0)
    assert not asked(replace(straight, uncounted=(4,)), Ask.LONG_REST, part=0)


BEGINNINGS = (
    (Ask.WIDEST_LEAP, Fact(FactKind.WIDEST_LEAP, "Flute", ((8, 8),), notes=("E4", "C5")),
     "Where is your widest leap, and from which note to which?", "E4 to C5, in bar 9."),
    (Ask.ENTERS_ON, Fact(FactKind.BARS_BEGIN_SILENT, "Flute", ((8, 8),), numbers=named(beat=2.5)),
     "In bar 9, on which beat do you come in?", "The & of beat 2."),
    (Ask.ON_BEATS, Fact(FactKind.SAME_BEATS, "Flute", ((2, 5),), numbers=(("beat", 2.0), ("beat", 4.0))),
     "On which beats do you play in bars 3–6?", "Beats 2 and 4."),
    (Ask.BEGIN_TIED, Fact(FactKind.BARS_BEGIN_TIED, "Flute", ((2, 2), (5, 5)), numbers=named(in_all=2)),
     "Which bars begin on a tied note?", "Bars 3 and 6."),
    (Ask.BEGIN_TIED, Fact(FactKind.BARS_BEGIN_TIED, "Flute", ((2, 2),), numbers=named(in_all=2)), None, None),
    (Ask.HELD_FOR, Fact(FactKind.HELD_NOTE, "Flute", ((6, 7),), numbers=named(beats=6, beat_quarters=1.0)),
     "How many beats do you hold the note in bar 7?", "Six beats."),
    (Ask.HELD_FOR, Fact(FactKind.HELD_NOTE, "Flute", ((6, 6),), numbers=named(beats=4, beat_quarters=1.0)),
     None, None),
    (Ask.COUNTS,
     Fact(FactKind.RHYTHM_TO_COUNT, "Flute", ((3, 3),),
          numbers=(("onset_quarters", 0.0), ("onset_quarters", 1.5), ("pulse_quarters", 0.0),
                   ("pulse_quarters", 1.0), ("bar_quarters", 2.0))),
     "How do you count bar 4?", "1 (2) &."),
)  # fmt: skip


@pytest.mark.parametrize(("kind", "fact", "question", "answer"), BEGINNINGS)
def test_what_a_bar_begins_with_is_asked_where_the_answer_is_whole(kind, fact, question, answer):
    expected = [] if question is None else [(question, answer)]
    assert asked(piece(FLUTE, facts=[fact]), kind, part=0) == expected


def test_how_long_a_note_is_held_is_not_asked_under_a_fermata():
    held = Fact(FactKind.HELD_NOTE, "Flute", ((6, 7),), numbers=named(beats=6, beat_quarters=1.0))

    def is_asked(measure):
        fermata = Fact(FactKind.FERMATAS, places=((measure, measure),))
        return bool(asked(piece(FLUTE, facts=[held, fermata]), Ask.HELD_FOR, part=0))

    assert [is_asked(at) for at in (5, 6, 7, 8)] == [True, False, False, True]


def test_a_singer_is_asked_where_to_sing():
    fact = Fact(FactKind.SAME_BEATS, "Flute", ((2, 5),), numbers=(("beat", 2.0), ("beat", 4.0)))
    singer = replace(FLUTE, instrument="voice")
    assert asked(piece(singer, facts=[fact]), Ask.ON_BEATS, part=0) == [
        ("On which beats do you sing in bars 3–6?", "Beats 2 and 4.")
    ]


def test_they_come_by_level_and_can_be_had_of_one_level():
    profile = piece(FLUTE, CLARINET, facts=[METER, TO_F], **AWAY)
    profile = replace(profile, parts=(with_e(FLUTE, "E", 8, 10), CLARINET))
    levels = [list(AskLevel).index(each.level) for each in questions_for(profile)]
    assert levels == sorted(levels)
    hard = questions_in_words(profile, level=AskLevel.HARD)
    assert [each.level for each in hard] == ["hard"]
    assert [group.part for group in room_questions(profile)] == ["", "Flute", "Clarinet"]


def test_nothing_is_asked_of_a_piece_on_paper_or_a_silent_part():
    assert questions_for(piece(measures=0)) == ()
    assert questions_for(piece(replace(FLUTE, notes=0)), 0) == ()
