"""Every limit with its three answers: met, broken where, and not to be judged because of what."""

from dataclasses import replace
from fractions import Fraction

import pytest

from planner.core.fact import named
from planner.core.limit import Answer, Doubt, Limit, answer_of
from planner.core.pitch import Pitch, Transposition
from planner.core.score import KeySignature, Measure, Note, Part, TempoMark, TimeSignature
from planner.study.basics import basic_facts
from planner.study.difficulty.criteria_rules import OF_NOTES, RULES, hold, value_of_length
from planner.study.notes.columns import columns_of
from tests.builders import make_part, make_score
from tests.checks import some

B_FLAT = Transposition(-1, -2)
E_FLAT = Transposition(-5, -9)
QUARTER = Fraction(1)


def held(limit, value, score, **facts):
    """The results of one limit, and its answer."""
    columns = columns_of(score)
    found = hold(Limit(limit), value, columns, replace(basic_facts(columns), **facts))
    return answer_of([each.answer for each in found]), found


def melody(**kwargs):
    return make_part("C5 D5 E5 F5 | G5*2 C5*2", **kwargs)


def drum(music="C5 C5 C5 C5", **kwargs):
    """A part of unpitched heads."""
    part = make_part(music, name="Drum", **{"instrument": "snare-drum", **kwargs})
    notes = tuple(replace(note, pitch=None, unpitched=note.pitch) for note in part.notes)
    return replace(part, notes=notes, keys=())


def marked(score, bpm=None, *, words="", measure=0, high=None):
    mark = TempoMark(measure, Fraction(0), words, QUARTER if bpm else None, bpm, bpm_high=high)
    return replace(score, tempos=(*score.tempos, mark))


def unmetered(score, *, bars=None):
    free = TimeSignature((), "free")
    return replace(score, measures=tuple(
        replace(bar, time=free) if bars is None or bar.index in bars else bar for bar in score.measures
    ))  # fmt: skip


def rolled(part):
    return replace(part, notes=tuple(replace(note, ornaments=("tremolo-3",)) for note in part.notes))


TUNE = make_score(melody())
DRUM_ONLY = make_score(drum())
TRIPLET = replace(melody(), notes=tuple(replace(n, tuplet=(3, 2)) for n in melody().notes))
ODD = replace(melody(), notes=(Note(0, Fraction(0), Fraction(5, 7), Pitch.parse("C5")), *melody().notes[1:]))
BARE = make_score(replace(melody(), keys=()))
UNKNOWN = make_score(melody(name="Thing", instrument=""))
TIMPANI = {"instrument": "timpani", "name": "Timpani", "clef": ("F", 4)}
ALL_REST = make_score(make_part("r*4 | r*4"))
NO_BARS = replace(TUNE, measures=(), parts=())

# For each limit: its value, a score that keeps it, one that breaks it, one that leaves it open, and why.
THREE = {
    "measures": ([2, 4], TUNE, make_score(make_part("C5*4")), NO_BARS, Doubt.NO_BARS),
    "minutes": (
        2, marked(TUNE, 100), marked(make_score(make_part(" | ".join(["C5*4"] * 60))), 100),
        make_score(make_part(" | ".join(["C5*4"] * 60))), Doubt.NO_TEMPO,
    ),
    "bpm": ([88, 92], marked(TUNE, 90), marked(TUNE, 96), TUNE, Doubt.NO_TEMPO),
    "meters": (["4/4"], TUNE, make_score(make_part("C5*3"), time="3/4"), unmetered(TUNE), Doubt.NO_METER),
    "meter_changes": (0, TUNE, unmetered(TUNE, bars=(1,)), unmetered(TUNE), Doubt.NO_METER),
    "concert_keys": (["C major"], TUNE, make_score(melody(fifths=2)), DRUM_ONLY, Doubt.NO_PITCHES),
    "key_changes": (
        0, TUNE, make_score(replace(melody(), keys=(KeySignature(0, 0), KeySignature(1, 1)))), DRUM_ONLY,
        Doubt.NO_PITCHES,
    ),
    "concert_notes": (["C", "D", "E", "F", "G"], TUNE, make_score(make_part("C5*2 A5*2")), DRUM_ONLY,
                      Doubt.NO_PITCHES),
    "values": (["half", "quarter"], TUNE, make_score(make_part("C5*4")), make_score(ODD),
               Doubt.VALUES_UNKNOWN),
    "percussion_values": (
        ["quarter"], DRUM_ONLY, make_score(drum("C5*2 C5*2")),
        make_score(drum("C5*5/7 C5*23/7")), Doubt.VALUES_UNKNOWN,
    ),
    "eighths_in_repeated_pairs": (
        True, make_score(make_part("C5*1/2 C5*1/2 D5*3")), make_score(make_part("C5*1/2 D5*1/2 D5*3")),
        unmetered(make_score(make_part("C5*1/2 D5*1/2 D5*3"))), Doubt.NO_METER,
    ),
    "tuplets": (False, TUNE, make_score(TRIPLET), ALL_REST, Doubt.NO_NOTES),
    "rolls": (False, DRUM_ONLY, make_score(rolled(drum())), ALL_REST, Doubt.NO_NOTES),
    "timpani_pitches": (
        2, make_score(make_part("C3 G2 C3 G2", **TIMPANI)), make_score(make_part("C3 G2 D3 G2", **TIMPANI)),
        make_score(drum(instrument="timpani")), Doubt.NO_PITCHES,
    ),
    "range_semitones": (
        7, TUNE, make_score(make_part("C5*2 A5*2")), make_score(melody(instrument="violin")), Doubt.NO_WINDS,
    ),
    "written_flats": (3, TUNE, make_score(melody(fifths=-4)), DRUM_ONLY, Doubt.NO_PITCHES),
    "written_sharps": (6, make_score(melody(fifths=6)), make_score(melody(fifths=7)), DRUM_ONLY,
                       Doubt.NO_PITCHES),
    "ranges": ({"flute": ["C4", "G5"]}, TUNE, make_score(make_part("C5*2 A5*2")),
               make_score(melody(instrument="oboe")), Doubt.INSTRUMENTS_ABSENT),
}  # fmt: skip


def test_every_limit_has_its_three_answers_here():
    assert set(THREE) == set(RULES) == set(Limit)


@pytest.mark.parametrize("limit", THREE)
def test_a_limit_is_met_broken_or_left_open_with_its_reason(limit):
    value, met, broken, unclear, doubt = THREE[limit]
    assert held(limit, value, met)[0] is Answer.MET
    assert held(limit, value, broken)[0] is Answer.BROKEN
    answer, found = held(limit, value, unclear)
    assert answer is Answer.CANNOT_BE_JUDGED
    assert found[0].doubt is doubt


@pytest.mark.parametrize("limit", THREE)
def test_nothing_can_be_judged_without_bars_and_no_limit_of_notes_without_notes(limit):
    assert held(limit, THREE[limit][0], NO_BARS)[1][0].doubt is Doubt.NO_BARS
    silent = held(limit, THREE[limit][0], ALL_REST)[1]
    assert (silent[0].doubt is Doubt.NO_NOTES) == (Limit(limit) in OF_NOTES)


def test_what_is_broken_stays_broken_beside_something_open():
    score = make_score(make_part("C5*2 A5*2"), melody(name="Thing", instrument=""))
    answer, found = held("ranges", {"flute": ["C4", "G5"]}, score)
    assert answer is Answer.BROKEN
    assert [(each.part, each.answer) for each in found] == [
        ("Flute", Answer.BROKEN), ("Thing", Answer.CANNOT_BE_JUDGED),
    ]  # fmt: skip


def test_an_unknown_instrument_leaves_its_part_open_where_the_limit_depends_on_it():
    assert held("ranges", {"flute": ["C4", "G5"]}, UNKNOWN)[1][0].doubt is Doubt.INSTRUMENT_UNKNOWN
    assert held("range_semitones", 5, UNKNOWN)[1][0].doubt is Doubt.INSTRUMENT_UNKNOWN
    assert held("range_semitones", 7, UNKNOWN)[0] is Answer.MET, "narrow enough, whatever it is"


# Tempo.


def test_a_tempo_in_words_is_held_by_the_speeds_it_may_mean():
    """Tempo words of five published lists: Presto is from 144 up, Adagio to 76, Allegretto around 100."""
    presto, adagio = (marked(TUNE, words=words) for words in ("Presto", "Adagio"))
    assert held("bpm", [60, 108], presto)[0] is Answer.BROKEN
    assert held("bpm", [40, 108], adagio)[0] is Answer.MET
    answer, (found,) = held("bpm", [88, 104], marked(TUNE, words="Allegretto"))
    assert (answer, found.doubt, found.terms) == (
        Answer.CANNOT_BE_JUDGED, Doubt.TEMPO_IN_WORDS, ("Allegretto",),
    )  # fmt: skip
    assert found.number("slowest") < 104 < found.number("fastest")


def test_every_number_printed_on_the_way_is_held_too():
    slower = marked(marked(TUNE, 90), 60, measure=1)
    assert held("bpm", [88, 92], slower)[1][0].measures == (1,)
    assert held("bpm", [88, 92], marked(TUNE, 88, high=96))[0] is Answer.BROKEN
    assert held("bpm", [88, 96], marked(TUNE, 88, high=96))[0] is Answer.MET


def test_playing_time_is_judged_without_a_number_where_every_tempo_gives_the_same_answer():
    """A metronome goes from 40 to 208: two bars are over in 12 seconds, 200 last four minutes nearly."""
    assert held("minutes", 1, TUNE)[0] is Answer.MET
    assert held("minutes", 1, make_score(make_part(" | ".join(["C5*4"] * 200))))[0] is Answer.BROKEN
    walking = marked(make_score(make_part(" | ".join(["C5*4"] * 50))), words="Andante")
    answer, (found,) = held("minutes", 2, walking)
    assert (answer, found.doubt) == (Answer.CANNOT_BE_JUDGED, Doubt.TEMPO_IN_WORDS)
    assert found.number("fastest") < 2 < found.number("slowest")


# Bars and meters.


def test_a_pickup_and_half_a_split_bar_are_no_bars_of_their_own():
    score = make_score(make_part("C5*1 | C5*4 | C5*4"))
    first, *others = score.measures
    score = replace(score, measures=(replace(first, implicit=True), *others))
    assert held("measures", [2, 2], score)[0] is Answer.MET


def test_bars_without_a_meter_leave_it_open_beside_others():
    answer, found = held("meters", ["4/4"], unmetered(TUNE, bars=(1,)))
    assert (answer, found[0].measures) == (Answer.CANNOT_BE_JUDGED, (1,))
    assert held("meters", ["3/4"], unmetered(TUNE, bars=(1,)))[0] is Answer.BROKEN


def test_a_meter_that_the_page_hides_is_not_known():
    hidden = replace(TUNE, measures=tuple(replace(bar, time_changes=False) for bar in TUNE.measures))
    assert held("meters", ["4/4"], hidden)[1][0].doubt is Doubt.NO_METER


def test_pairs_of_eighths_are_counted_from_the_end_of_a_pickup():
    music = "C5*1/2 | D5*1/2 D5*1/2 E5*3"
    score = make_score(make_part(music))
    pickup = Measure(0, "0", Fraction(0), Fraction(1, 2), TUNE.measures[0].time, True, implicit=True)
    rest = replace(score.measures[1], start_quarters=Fraction(1, 2))
    (found,) = held("eighths_in_repeated_pairs", True, replace(score, measures=(pickup, rest)))[1]
    assert found.measures == (0,), "the pickup is alone, the pair after it is a pair"


# Note values.


@pytest.mark.parametrize(
    ("quarters", "value"),
    [("4", "whole"), ("3", "half"), ("7/4", "quarter"), ("1/2", "eighth"), ("3/8", "16th"), ("1/3", "")],
)
def test_a_length_is_a_plain_or_dotted_value_or_none(quarters, value):
    assert value_of_length(Fraction(quarters)) == value


def test_the_printed_value_goes_before_the_length():
    """Two notes in the time of three: printed as quarters, they sound longer."""
    long = tuple(replace(n, value="quarter", duration_quarters=Fraction(3, 2)) for n in melody().notes[:2])
    score = make_score(replace(melody(), notes=long))
    assert held("values", ["quarter"], score)[0] is Answer.MET


def test_a_part_of_an_unknown_instrument_without_pitches_is_percussion():
    score = make_score(melody(), drum("C5*1/4 C5*1/4 C5*7/2", instrument=""))
    assert held("values", ["quarter", "half"], score)[0] is Answer.MET
    assert held("percussion_values", ["quarter", "half"], score)[1][0].part == "Drum"


# Keys and signatures.


def in_keys(*fifths, home="", allowed=("C major",), **facts):
    """Results for parts with these written signatures: (fifths, transposition, instrument)."""
    parts = [
        melody(name=f"{at} {instrument}", fifths=signs, transposition=move, instrument=instrument)
        for at, (signs, move, instrument) in enumerate(fifths)
    ]
    return held("concert_keys", list(allowed), make_score(*parts), home_key=home, **facts)


CONCERT = Transposition()


def test_the_signature_that_is_broken_is_named():
    _, (found,) = in_keys((6, CONCERT, "flute"), home="C major")
    assert (found.keys, found.number("fifths")) == (("F# major",), 6)
    _, (found,) = in_keys((6, CONCERT, "flute"), home="F# major")
    assert (found.keys, found.numbers) == (("F# major",), named(home=1, fifths=6))


NAMES = ("Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#")


@pytest.mark.parametrize("signs", range(-7, 8))
def test_as_many_signs_as_are_printed_stay_so_many(signs):
    """Seven sharps are C sharp major, not five flats."""
    allowed = f"{NAMES[signs + 7]} major"
    assert in_keys((signs, CONCERT, "flute"), home=allowed, allowed=(allowed,))[0] is Answer.MET
    if signs:
        _, (found,) = in_keys((signs, CONCERT, "flute"), home="C major", keys=())
        assert (found.keys, found.number("fifths")) == ((allowed,), signs)


@pytest.mark.parametrize(
    ("signs", "move", "instrument", "concert"),
    [
        # How bands print concert keys for transposing instruments; common practice.
        (2, B_FLAT, "clarinet-bflat", "C major"), (0, B_FLAT, "trumpet-bflat", "Bb major"),
        (1, E_FLAT, "saxophone-alto", "Bb major"), (3, E_FLAT, "saxophone-alto", "C major"),
        (7, E_FLAT, "saxophone-alto", "E major"), (-5, B_FLAT, "clarinet-bflat", "Cb major"),
        (7, B_FLAT, "clarinet-bflat", "B major"), (-1, Transposition(-4, -7), "horn-f", "Bb major"),
        (1, Transposition(2, 3), "clarinet-eflat", "Bb major"),
        (2, Transposition(0, -2), "clarinet-bflat", "C major"),
    ],
)  # fmt: skip
def test_a_transposing_parts_signature_counts_as_it_sounds(signs, move, instrument, concert):
    """The last one states no staff steps, as careless files do."""
    assert in_keys((signs, move, instrument), home=concert, allowed=(concert,))[0] is Answer.MET
    assert in_keys((signs, move, instrument), home="G major", allowed=("G major",))[0] is Answer.BROKEN


def test_another_spelling_of_what_concert_parts_print_is_theirs():
    """Concert B major: a B flat clarinet reads D flat, C flat major by its transposition."""
    parts = (5, CONCERT, "flute"), (5, CONCERT, "oboe"), (-5, B_FLAT, "clarinet-bflat")
    assert in_keys(*parts, home="B major", allowed=("B major",))[0] is Answer.MET


def test_all_pitched_parts_are_looked_at_and_not_the_first_alone():
    """Three concert parts in C, and an alto saxophone left in C as well: it would sound in E flat."""
    parts = [
        (0, CONCERT, "flute"),
        (0, CONCERT, "oboe"),
        (0, CONCERT, "bassoon"),
        (0, E_FLAT, "saxophone-alto"),
    ]
    _, (found,) = in_keys(*parts, home="C major", keys=())
    assert (found.part, found.keys) == ("3 saxophone-alto", ("Eb major",))


def test_horns_trumpets_and_timpani_without_signatures_say_nothing_of_the_key():
    """Orchestral parts of these are printed without a signature; common practice."""
    horn = Transposition(-4, -7)
    parts = (2, CONCERT, "flute"), (0, horn, "horn-f"), (0, B_FLAT, "trumpet-bflat"), (0, CONCERT, "timpani")
    assert in_keys(*parts, home="D major", allowed=("D major",))[0] is Answer.MET
    assert in_keys((0, horn, "horn-f"), home="F major", allowed=("F major",))[0] is Answer.MET


def test_a_signature_beyond_seven_signs_is_counted_and_has_no_name():
    _, (found,) = held("written_sharps", 2, make_score(melody(fifths=8)))
    assert (found.keys, found.number("fifths")) == ((), 8)


def test_a_key_that_is_not_sure_is_open_unless_both_keys_of_the_signature_are_allowed():
    _, (found,) = in_keys((2, CONCERT, "flute"), allowed=("D major", "G major"))
    assert (found.doubt, found.keys) == (Doubt.KEY_UNCLEAR, ("D major", "B minor"))
    assert in_keys((-1, CONCERT, "flute"), allowed=("F major", "D minor"))[0] is Answer.MET
    assert in_keys((1, CONCERT, "flute"), allowed=("F major", "D minor"))[0] is Answer.BROKEN
    assert held("concert_keys", ["C major"], BARE, home_key="")[1][0].doubt is Doubt.KEY_UNCLEAR


def changing(*signs, transpositions=(), **kwargs):
    keys = tuple(KeySignature(at, fifths) for at, fifths in enumerate(signs))
    part = replace(melody(**kwargs), keys=keys)
    return replace(part, transpositions=transpositions or part.transpositions)


def test_parts_that_change_their_signature_in_one_bar_change_once():
    parts = changing(0, 1), changing(2, 3, name="Clarinet", instrument="clarinet-bflat", transposition=B_FLAT)
    _, (found,) = held("key_changes", 0, make_score(*parts))
    assert (found.numbers, found.measures) == (named(changes=1, most=0), (1,))


def test_a_clarinet_that_is_changed_for_another_changes_no_key():
    """Concert C: two sharps for the clarinet in B flat, three flats for the one in A."""
    moves = ((0, B_FLAT), (1, Transposition(-2, -3)))
    clarinet = changing(2, -3, name="Clarinet", instrument="clarinet-bflat", transpositions=moves)
    assert held("key_changes", 0, make_score(melody(), clarinet))[0] is Answer.MET


def test_a_change_that_the_first_part_lacks_is_counted():
    assert held("key_changes", 0, make_score(melody(), changing(0, 2, name="Oboe", instrument="oboe")))[
        0
    ] is (Answer.BROKEN)


# Ranges and timpani.


def test_ranges_are_those_that_the_player_reads_also_in_a_score_at_concert_pitch():
    """A B flat clarinet's low E, printed as D in a concert score."""
    limit = {"clarinet-bflat": ["E3", "C6"]}
    low, lower = (
        make_score(make_part(f"{name}*4", instrument="clarinet-bflat", name="Clarinet"))
        for name in ("D3", "C#3")
    )
    assert held("ranges", limit, low)[0] is Answer.MET
    assert held("ranges", limit, lower)[0] is Answer.BROKEN


def test_a_score_without_timpani_or_percussion_breaks_no_limit_about_them():
    for limit, value in some((("timpani_pitches", 2), ("rolls", False), ("percussion_values", ["half"]))):
        assert held(limit, value, TUNE)[0] is Answer.MET


def test_an_empty_part_is_passed_over():
    assert held("concert_keys", ["C major"], make_score(melody(), Part("P2", "Tacet")))[0] is Answer.MET
