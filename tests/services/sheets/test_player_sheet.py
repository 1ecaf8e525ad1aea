"""What a player's sheet says: which lines stay, in which order, in whose key, and where it names bars."""

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest

from planner.core.difficulty import Challenge, ChallengeKind
from planner.core.fact import Fact, FactKind, named
from planner.core.glossary.reading import terms_in
from planner.core.glossary.terms import TermKind
from planner.core.key_notes import fifths_of_key, tonic_of_signature
from planner.core.profile import (
    DynamicUse,
    Expression,
    FormSection,
    Landmark,
    LandmarkKind,
    MelodySpan,
    MeterSpan,
    PartProfile,
    Pattern,
    PatternKind,
    Phrase,
    PrintedSignature,
    Roadmap,
    Spot,
    Tempo,
    TempoTurn,
    UnnumberedBar,
)
from planner.services.sheets.guide_excerpts import Drawer
from planner.services.sheets.player.again import again_lines
from planner.services.sheets.player.choose import MOST_WORDS, chosen, word_count
from planner.services.sheets.player.going_on import going_on_lines
from planner.services.sheets.player.head import sheet_start
from planner.services.sheets.player.key import key_lines, written_key
from planner.services.sheets.player.line import Block, Consequence, Line, ScaleMusic
from planner.services.sheets.player.manner import manner_lines
from planner.services.sheets.player.questions import MOST_WORDS as MOST_QUESTION_WORDS
from planner.services.sheets.player.questions import sheet_questions
from planner.services.sheets.player.sheet import sheet_lines
from planner.services.sheets.player.start import start_lines
from planner.services.sheets.player.tune import tune_lines
from planner.study.page.words import kind_of
from planner.wording.player_sheet import pattern_words
from planner.wording.questions import question_words
from tests.checks import some
from tests.fakes import make_profile
from tests.study.fact_checks import SAMPLES, sample
from tests.study.statement_checks import bars_named

LEAP, ENTRANCE = ChallengeKind.WIDE_LEAP, ChallengeKind.ENTRANCE_AFTER_REST
FIFTHS = {"C": 0, "G": 1, "D": 2, "A": 3, "E": 4, "B": 5, "F#": 6, "C#": 7,
          "F": -1, "Bb": -2, "Eb": -3, "Ab": -4, "Db": -5, "Gb": -6, "Cb": -7}  # fmt: skip
"""Signatures of the major keys. Source: common theory."""


@pytest.mark.parametrize(("tonic", "fifths"), FIFTHS.items())
def test_signatures_are_those_of_the_circle_of_fifths(tonic, fifths):
    assert fifths_of_key(f"{tonic} major") == fifths
    assert tonic_of_signature(fifths, "major") == tonic
    assert fifths_of_key(f"{tonic} minor") == fifths - 3


@pytest.mark.parametrize(
    ("semitones", "printed", "sounding", "written"),
    [
        (-2, 0, "Bb major", "C major"), (-9, 1, "Bb major", "G major"), (-7, -1, "Bb major", "F major"),
        (3, -5, "Bb major", "G major"), (-14, 4, "D minor", "E minor"), (0, -2, "G minor", "G minor"),
        (-2, -5, "B major", "C# major"), (-9, 6, "A major", "F# major"), (-12, 0, "C major", "C major"),
    ],
)  # fmt: skip
def test_a_player_has_the_key_as_it_is_written_for_the_instrument(semitones, printed, sounding, written):
    """Source of the transpositions: MusicXML 4.0 `transpose`; of the keys: common theory."""
    part = PartProfile("Part", "", semitones, 9, ("C4", "C5"), None, 2.0,
                       signatures=(PrintedSignature(0, 1, printed),))  # fmt: skip
    found = written_key(sounding, part)
    if (semitones, printed) == (-2, -5):
        assert found == "Db major", "spelled as the page has it"
    else:
        assert found == written


def line(text, consequence=Consequence.SPOILS, weight=0.5, block=Block.AGAIN, **changes):
    return Line(block, text, consequence, weight, **changes)


def test_what_stops_a_reading_stays_before_what_spoils_it_and_that_before_the_rest():
    lines = (
        line("light one", Consequence.NOTHING, 1.0), line("spoils it", weight=0.1),
        line("stops it", Consequence.STOPS, 0.1),
        line("kept always", Consequence.NOTHING, block=Block.KEY, is_kept=True),
    )  # fmt: skip
    assert [each.text for each in chosen(lines, dict.fromkeys(Consequence, 8))] == [
        "light one",
        "spoils it",
        "stops it",
        "kept always",
    ]
    assert [each.text for each in chosen(lines, dict.fromkeys(Consequence, 6))] == [
        "spoils it",
        "stops it",
        "kept always",
    ]
    assert [each.text for each in chosen(lines, dict.fromkeys(Consequence, 4))] == ["stops it", "kept always"]
    assert [each.text for each in chosen(lines, dict.fromkeys(Consequence, 1))] == ["kept always"]


def test_a_light_line_leaves_a_sheet_short_that_a_grave_one_may_fill():
    lines = (line("one two three", Consequence.STOPS), line("four five six", Consequence.NOTHING))
    room = {Consequence.STOPS: 9, Consequence.SPOILS: 6, Consequence.NOTHING: 5}
    assert [each.text for each in chosen(lines, room)] == ["one two three"]


def test_bar_numbers_are_no_words():
    assert word_count("Bars 5–8 and 12: look for F♯, then 3/4.") == 6


def test_a_block_has_no_more_lines_than_a_player_keeps_in_mind():
    lines = tuple(line(f"place {n}", block=Block.HARD, weight=n / 10) for n in range(6))
    assert [each.text for each in chosen(lines)] == ["place 3", "place 4", "place 5"]


def leap(bar, weight, notes=("C4", "C5"), kind=LEAP):
    numbers = named(bars=8, before=0) if kind is ENTRANCE else ()
    return Spot(bar, (Challenge(bar, kind, weight, notes=notes, numbers=numbers),), weight=weight)


def hard(*spots):
    part = PartProfile("Flute", "flute", 0, 60, None, None, 2.0, spots=spots)
    profile = make_profile(parts=(part,), measures=40, facts=())
    return [
        (each.music.tinted[0], each.text) for each in sheet_lines(profile, part) if each.block is Block.HARD
    ]


def test_the_hardest_bars_are_the_heaviest_in_the_order_of_the_page():
    found = hard(*(leap(bar, weight, ("C4", f"{'DEFG'[bar]}5")) for bar, weight in enumerate((4, 1, 3, 2))))
    assert [bar for bar, _ in found] == [0, 2], "two of one kind, as the third is met in the same way"


def test_an_entrance_after_a_long_rest_is_always_among_them():
    heavy = [leap(bar, 9 - bar, ("C4", f"{'DEFG'[bar]}5")) for bar in range(4)]
    assert [bar for bar, _ in hard(*heavy, leap(20, 0.1, kind=ENTRANCE))] == [0, 1, 20]


def test_the_same_leap_is_shown_once_and_the_second_of_a_kind_is_met_in_another_way():
    found = hard(leap(2, 3), leap(10, 2), leap(12, 2, ("D4", "D5")))
    assert [bar for bar, _ in found] == [2, 12]
    assert [text for _, text in found] == [
        "Bar 3: up an octave, C4 to C5. Hear both notes first.",
        "Bar 13: up an octave, D4 to D5. Finger one, then the other.",
    ]


def test_each_kind_comes_once_before_one_comes_twice():
    run = Spot(9, (Challenge(9, ChallengeKind.RUN, 0.6, 10, numbers=named(notes=8, quarters=0.5)),), 10, 0.6)
    alone = leap(30, 0.5, kind=ChallengeKind.EXPOSED_ENTRANCE)
    found = hard(leap(2, 3), leap(12, 2, ("D4", "D5")), run, alone)
    assert [bar for bar, _ in found] == [2, 9, 30]


def test_a_challenge_that_leads_no_spot_fills_the_sheet_and_what_other_lines_say_does_not():
    part = PartProfile("Flute", "flute", 0, 60, None, None, 2.0, spots=(leap(2, 3),))
    facts = tuple(
        Fact(FactKind.CHALLENGE, "Flute", ((bar, bar),), terms=(kind.value, *terms), numbers=numbers)
        for bar, kind, terms, numbers in (
            (20, ChallengeKind.REGISTER_CHANGE, (), named(semitones=-12.0)),
            (30, ChallengeKind.SUDDEN_DYNAMIC, ("p", "ff"), ()),
        )
    )
    profile = make_profile(parts=(part,), measures=40, facts=facts)
    lines = [each for each in sheet_lines(profile, part) if each.block is Block.HARD]
    assert [each.text for each in lines][1:] == [
        "Bar 21: much lower notes than before. Get ready one beat early."
    ]
    assert (lines[1].music.measure, lines[1].music.end_measure) == (19, 21), "a bar before, a bar after"


HEARD = (
    ((FactKind.FERMATAS, "", ((19, 19),)), "It comes right after a fermata (a long hold)."),
    ((FactKind.HAS_TUNE, "Oboe", ((10, 19),)), "Listen: Oboe plays just before you."),
    ((FactKind.HAS_TUNE, "Oboe", ((10, 15),)), "B is 3 bars before you."),
    ((FactKind.HAS_TUNE, "Flute", ((10, 19),)), "B is 3 bars before you."),
)


@pytest.mark.parametrize(("fact", "heard"), HEARD)
def test_after_a_long_rest_a_player_listens_for_what_is_certain(fact, heard):
    part = PartProfile("Flute", "flute", 0, 60, None, None, 2.0, spots=(leap(20, 1, kind=ENTRANCE),))
    others = [replace(part, name=name, spots=()) for name in ("Oboe", "Horn")]
    kind, who, places = fact
    rest = Fact(
        FactKind.COUNTED_RESTS, "Flute", ((5, 5), (20, 20)),
        numbers=(("bars", 2), ("beat", 1.0), ("bars", 8), ("beat", 2.5)),
    )  # fmt: skip
    profile = make_profile(
        parts=(part, *others), measures=40, facts=(Fact(kind, who, places), rest),
        form=(FormSection("A", 0, 16, "A"), FormSection("B", 17, 39, "B")), roadmap=Roadmap(tuple(range(40))),
    )  # fmt: skip
    (found,) = [each.text for each in sheet_lines(profile, part) if each.block is Block.HARD]
    assert found == f"Bar 21: enter on the & of beat 2 after 8 bars of rest. {heard}"
    alone = replace(profile, parts=(part, others[0]))
    assert "Listen" not in next(e.text for e in sheet_lines(alone, part) if e.block is Block.HARD)


def test_bars_that_come_back_equally_far_away_are_one_line_and_half_bars_are_none():
    whole = [((0, 5), (20, 25)), ((7, 12), (27, 32))]
    patterns = [Pattern(PatternKind.REPEAT, places, notes=20, fills_bars=True, moves=12) for places in whole]
    patterns.append(Pattern(PatternKind.REPEAT, ((14, 15), (34, 35)), notes=6))
    facts = tuple(
        Fact(FactKind.PATTERN, "Flute", each.places[:1], numbers=named(pattern=at))
        for at, each in enumerate(patterns)
    )
    part = PartProfile("Flute", "flute", 0, 60, None, None, 2.0, patterns=tuple(patterns))
    profile = make_profile(parts=(part,), measures=40, facts=facts)
    assert [each.text for each in sheet_lines(profile, part)] == [
        "Bars 1–6 and 8–13 come back in bars 21–26 and 28–33."
    ]


def test_notes_that_cannot_be_drawn_are_not_spoken_of():
    music = ScaleMusic(0, 0, ("C4", "D4"))
    each = Line(Block.KEY, "Your key: C major. Finger these silently.", Consequence.SPOILS, music=music,
                alone="Your key: C major.")  # fmt: skip
    assert Drawer(None, None, 100.0).drawn(each, 0).text == "Your key: C major."


def test_neighbors_in_the_score_are_not_asked_the_same_two_where_there_are_others():
    asked_the_same, choices = [], 0
    for path in some(SAMPLES[::5]):
        _, profile = sample(path.stem)
        pairs = []
        for at, part in enumerate(profile.parts):
            found = sheet_questions(profile, at, sheet_lines(profile, part))
            pairs.append({question_words(each, profile) for each in found})
            assert sum(map(word_count, pairs[-1])) <= MOST_QUESTION_WORDS
        choices += len(pairs)
        asked_the_same += [path.stem for one, two in pairwise(pairs) if one and one == two]
    assert choices > 40
    assert len(asked_the_same) <= choices / 10, asked_the_same


def test_a_part_without_pitches_is_not_told_of_keys():
    drum = PartProfile("Drums", "snare-drum", 0, 60, None, None, 1.0)
    facts = (Fact(FactKind.HOME_KEY, keys=("D minor",)),)
    profile = make_profile(parts=(drum,), facts=facts)
    assert list(key_lines(profile, drum)) == []
    pitched = replace(drum, written_range=("C4", "G4"))
    assert [each.text for each in key_lines(profile, pitched)] == ["Your key: D minor."]
    timpani = replace(pitched, instrument="timpani")
    assert list(key_lines(profile, timpani)) == [], "the line that tunes them says all"


def test_a_signature_alone_is_for_those_who_finger_it():
    voice = PartProfile(
        "Voice", "voice", 0, 60, ("C4", "G4"), ("C4", "G4"), 1.0, signatures=(PrintedSignature(0, 1, 3),)
    )
    alone = make_profile(parts=(voice,), facts=())
    assert list(key_lines(alone, voice)) == []
    flute = replace(voice, instrument="flute")
    assert [each.text for each in key_lines(alone, flute)] == ["Your signature: 3 sharps."]
    known = replace(alone, facts=(Fact(FactKind.HOME_KEY, keys=("A major",)),))
    [line] = key_lines(known, voice)
    assert line.text.startswith("Your key: A major, 3 sharps.")


def test_notes_to_finger_lie_in_the_part_and_a_beginner_has_five():
    signature = (PrintedSignature(0, 1, -2),)
    part = PartProfile("Tuba", "tuba", 0, 9, ("F1", "D3"), None, 3.0, signatures=signature)
    profile = make_profile(parts=(part,), facts=(Fact(FactKind.HOME_KEY, keys=("Bb major",)),))
    (home,) = key_lines(profile, part)
    assert home.music.notes == ("Bb1", "C2", "D2", "Eb2", "F2", "G2", "A2", "Bb2")
    easy = replace(part, level=1.0)
    assert next(iter(key_lines(profile, easy))).music.notes == ("Bb1", "C2", "D2", "Eb2", "F2")
    narrow = replace(part, written_range=("C2", "E2"))
    assert next(iter(key_lines(profile, narrow))).music is None
    other_signature = replace(part, signatures=(PrintedSignature(0, 1, 0),))
    assert next(iter(key_lines(profile, other_signature))).music is None, "key and page differ"


@pytest.mark.parametrize(
    ("meter", "grouping", "unit", "pickup", "text"),
    [
        ("4/4", (1, 1, 1, 1), "quarter", 0, "1 2 3 4"),
        ("3/4", (1, 1, 1), "quarter", 1, "1 2 3 | 1 2"),
        ("3/4", (1, 1, 1), "dotted half", 1, "1 2 3 | 1 2"),
        ("6/8", (3, 3), "dotted quarter", 0, "1 2"),
        ("6/8", (3, 3), "eighth", Fraction(1, 2), "1 2 3 4 5 6 | 1 2 3 4 5"),
        ("7/8", (2, 2, 3), "quarter", 0, "1 2 1 2 1 2 3"),
        ("4/4", (1, 1, 1, 1), "quarter", Fraction(1, 2), "1 2 3 4 | 1 2 3 4"),
        ("5/4", (3, 2), "quarter", 0, "1 2 3 1 2"),
        ("free", (), "quarter", 0, None),
    ],
)
def test_a_bar_is_counted_off_and_what_leads_to_a_pickup(meter, grouping, unit, pickup, text):
    """Source: common practice of counting off."""
    facts = (
        (Fact(FactKind.PICKUP, places=((0, 0),), numbers=named(quarters=float(pickup))),) if pickup else ()
    )
    span = (MeterSpan(0, meter, grouping),)
    found = sheet_start(make_profile(meters=span, facts=facts, tempo_bpm=Tempo(None, unit, 72))).count_off
    assert (found or None) == text


def lost(*landmarks, measures=60):
    """What a player is told who is lost, the landmarks as ``(bar, kind, name, bar of the entrance)``."""
    numbers = tuple(str(n + 1) for n in range(measures))
    plain = make_profile(measures=measures, measure_numbers=numbers, facts=())
    own = tuple(
        Landmark(at - 1, LandmarkKind(kind), name, enters - 1) for at, kind, name, enters in landmarks
    )
    part = replace(plain.parts[0], landmarks=own)
    return [each.text for each in going_on_lines(plain, part)]


@pytest.mark.parametrize(
    ("landmarks", "words"),
    [
        ([(9, "name", "B", 9)], "B (bar 9)"),
        ([(9, "name", "B", 9), (21, "name", "Trio", 23)], "B (bar 9) or Trio (21; you enter in 23)"),
        ([(9, "key", "", 9), (21, "key", "", 21), (31, "key", "", 31)], "bars 9, 21 or 31 (new keys)"),
        ([(9, "meter", "", 9), (21, "double bar", "", 22), (31, "tempo", "Presto", 31), (41, "rest", "", 41)],
         "bar 9 (new meter), 21 (double bar; you enter in 22), 31 (“Presto”) or 41 (after your rest)"),
        ([(9, "name", "A", 9), (15, "rest", "", 15)], "A (bar 9) or 15 (after your rest)"),
    ],
)  # fmt: skip
def test_players_who_are_lost_are_sent_to_what_shows_on_their_page(landmarks, words):
    assert lost(*landmarks) == [f"Lost? Come in at {words}."]


def test_names_alone_are_given_where_there_are_enough_and_they_are_spread_over_the_piece():
    names = [(bar, "name", letter, bar) for bar, letter in zip(range(5, 55, 5), "ABCDEFGHIJ", strict=True)]
    [text] = lost(*names, (52, "key", "", 52))
    assert text == "Lost? Come in at A (bar 5), C (15), E (25), F (30), H (40) or J (50)."
    assert lost((58, "name", "Z", 58)) == [], "just before the end nobody comes in again"
    assert lost() == []


def test_nobody_who_is_lost_is_sent_back_to_the_first_bar():
    numbers = ("0", *(str(n) for n in range(1, 60)))
    plain = make_profile(
        measures=60, measure_numbers=numbers, unnumbered=(UnnumberedBar(0, "pickup"),), facts=()
    )

    def sent_to(*measures):
        own = tuple(Landmark(at, LandmarkKind.REPEAT, "", at) for at in measures)
        return [each.text for each in going_on_lines(plain, replace(plain.parts[0], landmarks=own))]

    assert sent_to(1) == []
    assert sent_to(1, 9) == ["Lost? Come in at bar 9 (repeat sign)."]


def comebacks(places, moves, *, phrases=(), dynamics=()):
    found = Pattern(PatternKind.REPEAT, places, notes=20, fills_bars=True, moves=moves)
    numbers = tuple(str(n + 1) for n in range(60))
    plain = make_profile(measures=60, measure_numbers=numbers, facts=(
        Fact(FactKind.PATTERN, "Flute", places[:1], numbers=named(pattern=0)),
    ), phrases=tuple(Phrase(at, at + 3) for at in phrases))  # fmt: skip
    part = replace(plain.parts[0], patterns=(found,), dynamics=tuple(DynamicUse(*each) for each in dynamics))
    return [each.text for each in again_lines(replace(plain, parts=(part, *plain.parts[1:])), part)]


@pytest.mark.parametrize(
    ("places", "moves", "phrases", "text"),
    [
        (((4, 7), (20, 23)), 8, (4, 20), ["Bars 5–8 come back in bars 21–24."]),
        (((4, 7), (20, 23)), 3, (4, 20), []),
        (((4, 7), (20, 23)), 8, (4, 19), []),
        (((4, 7), (20, 23)), 8, (3, 20), []),
        (((4, 7), (20, 23), (30, 33)), 8, (4, 30), ["Bars 5–8 come back in bars 31–34."]),
        (((4, 11), (20, 27)), 8, (), ["Bars 5–12 come back in bars 21–28."]),
        (((4, 11), (20, 27)), 2, (), []),
        (((4, 5), (20, 21)), 8, (4, 20), []),
    ],
    ids=["a phrase", "held notes", "into a phrase", "from inside one", "where one begins", "long",
         "long and held", "two bars"],
)  # fmt: skip
def test_bars_come_back_that_move_and_begin_a_phrase(places, moves, phrases, text):
    assert comebacks(places, moves, phrases=phrases) == text


@pytest.mark.parametrize(
    ("dynamics", "end"),
    [
        ([(4, "p"), (20, "f")], ", now f"), ([(4, "p"), (20, "p")], ""), ([(20, "f")], ""),
        ([(4, "p"), (20, "sfz")], ""), ([(4, "p"), (20, "f"), (20, "p")], ""),
    ],
)  # fmt: skip
def test_bars_that_come_back_with_another_mark_are_told_with_it(dynamics, end):
    assert comebacks(((4, 11), (20, 27)), 16, dynamics=dynamics) == [
        f"Bars 5–12 come back in bars 21–28{end}."
    ]


def test_a_rhythm_is_learned_from_its_first_bar_unless_it_is_tapped():
    found = Pattern(PatternKind.RHYTHM, ((2, 3), (6, 6)), notes=3)
    fact = Fact(FactKind.PATTERN, "Flute", ((2, 3),), numbers=named(pattern=0))
    numbers = tuple(str(n + 1) for n in range(20))
    plain = make_profile(measures=20, measure_numbers=numbers, facts=(fact,))
    part = replace(plain.parts[0], patterns=(found,))
    profile = replace(plain, parts=(part, *plain.parts[1:]))
    [line] = again_lines(profile, part)
    assert line.text == "Learn the rhythm of bar 3 once; it comes again in bars 4 and 7."
    tap = Fact(FactKind.RHYTHM_TO_TAP, "Flute", ((6, 6),))
    assert list(again_lines(replace(profile, facts=(fact, tap)), part)) == []


def test_one_doubling_is_enough_and_it_makes_no_claim_of_the_tune():
    unison = Pattern(PatternKind.UNISON, ((5, 11),), with_parts=("Oboe",), octaves=(0,))
    elsewhere = replace(unison, places=((8, 27),))
    doubled = Fact(FactKind.DOUBLES_TUNE, "Flute", ((4, 11),), ("Oboe",))
    patterns = [
        Fact(FactKind.PATTERN, "Flute", each.places, numbers=named(pattern=at))
        for at, each in enumerate((unison, elsewhere))
    ]
    numbers = tuple(str(number) for number in range(1, 41))
    plain = make_profile(measure_numbers=numbers, facts=(doubled, *patterns))
    profile = replace(plain, parts=(replace(plain.parts[0], patterns=(unison, elsewhere)), *plain.parts[1:]))
    assert [each.text for each in sheet_lines(profile, profile.parts[0])] == [
        "You play the same notes as Oboe in bars 6–12."
    ]


@pytest.mark.parametrize(
    ("parts", "octaves", "words"),
    [
        (("Oboe",), (-1,), "as Oboe, an octave lower, in bars 6–12."),
        (("Oboe", "Horn"), (0, 1), "as Oboe and Horn, in unison or octaves, in bars 6–12."),
        (("A", "B", "C", "D"), (1, 1, 2, 2), "as A, B and two other parts, in octaves, in bars 6–12."),
    ],
)
def test_who_plays_the_same_notes_and_how_far_away(parts, octaves, words):
    found = Pattern(PatternKind.UNISON, ((5, 11),), with_parts=parts, octaves=octaves)
    profile = make_profile(measure_numbers=tuple(str(number) for number in range(1, 41)))
    assert pattern_words(found, profile) == f"You play the same notes {words}"


def tune_words(*facts, part="Flute", instrument="flute", melody=()):
    own = PartProfile(part, instrument, 0, 60, None, None, 2.0)
    phrases = (Phrase(0, 3), Phrase(4, 11), Phrase(12, 19), Phrase(20, 39))
    profile = make_profile(
        parts=(own,), measures=40, facts=facts, melody=melody, phrases=phrases,
        measure_numbers=tuple(str(number) for number in range(1, 41)),
    )  # fmt: skip
    return [each.text for each in tune_lines(profile, own)]


def led(share, part="Flute", leader="Oboe"):
    numbers = named(more=1, share=share)
    return Fact(FactKind.ACCOMPANIES, part, ((4, 9), (20, 25)), (leader,), numbers=numbers)


def test_who_leads_most_of_the_time_is_named_once_and_without_bars():
    assert tune_words(led(0.7)) == ["Oboe has the tune most of the time; you accompany."]
    assert tune_words(led(0.7), led(0.9, leader="Horn")) == [
        "Horn has the tune most of the time; you accompany."
    ]
    assert tune_words(led(0.6)) == [], "in scraps of it only"
    assert tune_words(led(0.9, "Timpani"), part="Timpani", instrument="timpani") == [], "a drum always does"
    through = Fact(FactKind.ACCOMPANIES, "Flute", parts=("Oboe",), terms=("throughout",))
    assert tune_words(through) == ["Oboe has the tune throughout; you accompany."]


@pytest.mark.parametrize(
    ("places", "words"),
    [
        (((4, 19),), ["You have the tune in bars 5–20."]),
        (((4, 17),), []),
        (((6, 11),), []),
        (((6, 11), (12, 19)), ["You have the tune in bars 13–20."]),
        (((22, 29),), ["You have the tune in bars 23–30."]),
    ],
    ids=["whole phrases", "cut at the end", "cut at the beginning", "one of two", "until another takes over"],
)
def test_a_tune_is_spoken_of_where_nothing_cuts_it_off(places, words):
    spans = ((0, "Oboe"), (4, "Flute"), (20, "Oboe"), (22, "Flute"), (30, "Oboe"))
    melody = tuple(MelodySpan(at, 0.0, who) for at, who in spans)
    assert tune_words(Fact(FactKind.HAS_TUNE, "Flute", places), melody=melody) == words


def test_who_has_the_tune_nearly_always_is_not_given_the_scraps_of_it():
    fact = Fact(FactKind.HAS_TUNE, "Flute", ((4, 13), (20, 33)))
    assert tune_words(fact, melody=(MelodySpan(2, 0.0, "Flute"),)) == ["You have the tune most of the time."]


@pytest.mark.parametrize(
    ("changes", "rest"),
    [
        ({}, "8 bars of rest"),
        ({"unnumbered": (UnnumberedBar(0, "pickup"),), "uncounted": (0,)}, "8 bars of rest"),
        ({"unnumbered": (UnnumberedBar(15, "rest"),), "uncounted": (15,)}, "a long rest"),
        ({"unnumbered": (UnnumberedBar(20, "upbeat"),), "uncounted": (20,)}, "a long rest"),
        ({"roadmap": Roadmap((*range(17), *range(12, 40)))}, "a long rest"),
        ({"roadmap": Roadmap((*range(30), *range(16, 40)))}, "a long rest"),
        ({"roadmap": Roadmap((*range(30), *range(20, 40)))}, "8 bars of rest"),
        ({"roadmap": Roadmap((*range(40), *range(30)))}, "8 bars of rest"),
    ],
    ids=[
        "plain",
        "a pickup long before",
        "a split bar in it",
        "on an unnumbered bar",
        "a repeat in it",
        "cut short the second time",
        "left out the second time",
        "whole both times",
    ],
)
def test_bars_of_rest_are_counted_only_where_nobody_can_doubt_how_many_they_are(changes, rest):
    part = PartProfile("Flute", "flute", 0, 60, None, None, 2.0, spots=(leap(20, 1, kind=ENTRANCE),))
    profile = make_profile(
        **{"parts": (part,), "measures": 40, "roadmap": Roadmap(tuple(range(40)))} | changes
    )
    (found,) = [each.text for each in sheet_lines(profile, part) if each.block is Block.HARD]
    assert found.endswith(f": enter after {rest}. Count every bar.")


def test_a_rest_with_a_short_bar_is_not_counted():
    challenge = Challenge(20, ENTRANCE, 1.0, numbers=named(bars=8, before=0, short=2))
    part = PartProfile("Flute", "flute", 0, 60, None, None, 2.0, spots=(Spot(20, (challenge,), weight=1.0),))
    profile = make_profile(parts=(part,), measures=40, roadmap=Roadmap(tuple(range(40))))
    (found,) = [each.text for each in sheet_lines(profile, part) if each.block is Block.HARD]
    assert found == "Bar 21: enter after a long rest. Count every bar."


@pytest.mark.parametrize(
    ("instrument", "moves", "level", "note", "is_high"),
    [
        ("horn-f", -7, 1.0, "G4", False), ("horn-f", -7, 1.0, "A4", True), ("horn-f", -7, 4.0, "A4", False),
        ("horn-f", 0, 1.0, "C4", False), ("trumpet-bflat", -2, 2.0, "G5", True),
        ("soprano", 0, None, "A5", False), ("flute", 0, 1.0, "C7", False),
    ],
    ids=["middle", "upper end", "easy later", "read in C", "above it", "no level", "no lips"],
)  # fmt: skip
def test_the_highest_note_is_spoken_of_where_it_is_high_at_the_level(instrument, moves, level, note, is_high):
    part = PartProfile("Own", instrument, moves, 60, None, None, level)
    fact = Fact(FactKind.HIGHEST_NOTE, "Own", ((12, 12),), notes=(note,))
    profile = make_profile(parts=(part,), measures=40, facts=(fact,))
    found = [each.text for each in sheet_lines(profile, part) if "highest note" in each.text]
    assert bool(found) == is_high


@pytest.mark.parametrize("instrument", ["piano", "marimba", "violin"])
def test_hands_that_may_be_busy_are_not_to_be_moved_early(instrument):
    """A hand may play up to the last sixteenth before: a look ahead is always possible."""
    part = PartProfile("Own", instrument, 0, 60, None, None, 2.0)
    spot = Spot(9, (Challenge(9, ChallengeKind.REGISTER_CHANGE, 0.6, numbers=named(semitones=12.0)),))
    part = replace(part, spots=(spot,))
    [text] = [each.text for each in sheet_lines(make_profile(parts=(part,), measures=40), part)]
    assert "Look first where your" in text
    assert "early" not in text


def bars_behind(profile, each):
    """Numbers of the bars that a line may name: of its facts, of what they count, of the sections."""
    found = {at for fact in each.facts for first, last in fact.places for at in range(first, last + 1)}
    for fact in each.facts:
        if fact.kind is FactKind.PATTERN:
            pattern = profile.part(fact.part).patterns[int(fact.number("pattern"))]
            found |= {at for first, last in pattern.places for at in range(first, last + 1)}
        elif fact.kind is FactKind.OUTSIDE_SIGNATURE:
            found |= {at for use in profile.part(fact.part).accidentals for at in use.measures}
            found |= {at for key in profile.sure_keys for at in (key.measure, key.end_measure)}
        elif fact.kind in (FactKind.ROADMAP, FactKind.METER_CHANGES, FactKind.TEMPO_TURNS, FactKind.SPOT,
                           FactKind.MARKS_LACKING):  # fmt: skip
            found |= set(range(profile.measures))
    return {profile.measure_numbers[at] for at in found}


def test_lines_name_no_bar_but_those_of_their_facts_and_no_sheet_has_too_many_words():
    checked = 0
    for path in some(SAMPLES[::4]):
        _, profile = sample(path.stem)
        for part in profile.parts:
            lines = sheet_lines(profile, part)
            assert sum(word_count(each.text) for each in lines) <= max(MOST_WORDS.values()) + 25, (
                "what is always kept"
            )
            for each in lines:
                named_bars = {number for number, _ in bars_named(each.text)}
                assert named_bars <= bars_behind(profile, each), each.text
                checked += len(named_bars)
    assert checked > 500


PIANO_TOO = replace(make_profile(), parts=(
    PartProfile("Voice", "voice", 0, 8, None, None, 2.0),
    PartProfile("Piano", "piano", 0, 8, None, None, 3.0),
), measures=40, measure_numbers=tuple(str(bar + 1) for bar in range(40)))  # fmt: skip


def word_lines(name, *uses):
    """What the sheet of a part says of words: each with its bar and the part whose fact names it."""
    used = tuple(Expression(at, text, kind_of(text), terms_in(text)) for at, text, _ in uses)
    facts = [
        Fact(FactKind.WORDS, part, ((at, at),), terms=(text,), numbers=named(more=0))
        for at, text, part in uses
    ]
    profile = replace(PIANO_TOO, expression=used, facts=tuple(facts))
    return [line.text for line in manner_lines(profile, profile.part(name))]


def test_words_of_another_staff_are_no_words_of_this_part():
    uses = ((3, "dolce", "Voice"), (7, "dolce", "Piano"), (8, "Etwas ruhiger", ""))
    assert word_lines("Piano", *uses) == [
        "“Etwas ruhiger” (bar 9): a little calmer.",
        "“dolce” (bar 8): sweet and gentle.",
    ]


def test_everyday_english_is_left_unexplained_and_the_trade_s_own_is_not():
    texts = ("Flowing", "Steady", "Striding", "stagger breath")
    assert word_lines("Voice", *((3, text, "Voice") for text in texts)) == [
        "“stagger breath” (bar 4): breathe at different times than your neighbors."
    ]


def test_what_others_do_where_a_part_is_silent_is_not_on_its_sheet():
    texts = ((20, "rit."), (35, "rit."))
    uses = tuple(Expression(at, text, kind_of(text), terms_in(text), moves_tempo=True) for at, text in texts)
    facts = (
        Fact(FactKind.TEMPO_TURNS),
        Fact(FactKind.FERMATAS, places=((10, 10), (20, 20), (39, 39))),
        Fact(FactKind.WORDS, places=((20, 20), (35, 35)), terms=("rit.", "rit."), numbers=named(more=0)),
    )
    turns = (TempoTurn(12, 80.0, "quarter", "metronome", ""), TempoTurn(36, 60.0, "quarter", "metronome", ""))
    profile = replace(PIANO_TOO, expression=uses, tempo_turns=turns, facts=facts)

    def texts_of(part):
        return [line.text for lines in (start_lines, manner_lines) for line in lines(profile, part)]

    everywhere = profile.parts[0]
    assert texts_of(everywhere) == [
        "The tempo changes: quarter = 80 in bar 13; “rit.” in bars 21 and 36; quarter = 60 in bar 37.",
        "Fermata (hold and watch): bars 11, 21 and 40.",
        "“rit.” (bars 21 and 36): getting slower.",
    ]
    assert texts_of(replace(everywhere, sounds=((0, 8), (14, 30)))) == [
        "The tempo changes: quarter = 80 in bar 13; “rit.” in bar 21.",
        "Fermata (hold and watch): bar 21.",
        "“rit.” (bar 21): getting slower.",
    ]


def test_a_singer_does_not_play():
    fact = Fact(FactKind.BARS_BEGIN_TIED, "Voice", ((3, 3),), numbers=named(in_all=1))
    profile = replace(PIANO_TOO, facts=(fact, replace(fact, part="Piano")))
    texts = [line.text for part in profile.parts for line in sheet_lines(profile, part)]
    assert texts == [
        "Bar 4 begins on a tied note: do not sing it again.",
        "Bar 4 begins on a tied note: do not play it again.",
    ]


def test_a_figure_that_comes_several_times_is_not_asked_about_on_a_sheet():
    figure = Pattern(PatternKind.SEQUENCE, ((4, 6),), notes=4, times=3, steps=(-1, -1))
    profile = replace(PIANO_TOO, parts=(replace(PIANO_TOO.parts[0], patterns=(figure,)),))
    assert sheet_questions(profile, 0, ()) == ()


def test_a_change_of_tempo_in_plain_english_is_in_the_list_of_changes():
    use = Expression(8, "slower", TermKind.TEMPO_CHANGE, terms_in("slower"), moves_tempo=True)
    facts = (
        Fact(FactKind.TEMPO_TURNS),
        Fact(FactKind.WORDS, places=((8, 8),), terms=("slower",), numbers=named(more=0)),
    )
    turns = (TempoTurn(8, 80.0, "quarter", "words", "slower"),)
    profile = replace(PIANO_TOO, expression=(use,), tempo_turns=turns, facts=facts)
    assert [line.text for line in start_lines(profile, profile.parts[0])] == [
        "The tempo changes: “slower” in bar 9."
    ]
