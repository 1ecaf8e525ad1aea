"""Meter and tempo in words."""

import pytest

from planner.core.fact import Fact, FactKind, named
from planner.core.glossary.reading import terms_in
from planner.core.glossary.terms import TermKind
from planner.core.profile import Expression, MeterSpan, Tempo, TempoSpan, TempoTurn
from planner.wording.study.sentences import sentence_of, statements_of
from planner.wording.study.time import lasting, printed_words
from planner.wording.study_json import study_to_dict
from tests.fakes import make_profile

FOUR, THREE, TWO = (1, 1, 1, 1), (1, 1, 1), (1, 1)


def in_meters(*meters, measures=40, **changes):
    """A profile in these meters, its bars numbered from 1."""
    numbers = tuple(str(n + 1) for n in range(measures))
    return make_profile(meters=meters, measures=measures, measure_numbers=numbers, **changes)


@pytest.mark.parametrize(
    ("span", "facts", "sentence"),
    [
        (
            MeterSpan(0, "4/4", FOUR),
            {"numbers": named(beats=4, quarters=1)},
            "4/4: four beats a bar, each a quarter note.",
        ),
        (
            MeterSpan(0, "2/2", TWO),
            {"numbers": named(beats=2, quarters=2), "terms": ("cut",)},
            "2/2 (cut time): two beats a bar, each a half note.",
        ),
        (
            MeterSpan(0, "6/8", (3, 3)),
            {"numbers": named(beats=2, quarters=1.5)},
            "6/8: two beats a bar, each a dotted quarter note.",
        ),
        (
            MeterSpan(0, "3/8", (3,)),
            {"numbers": named(beats=1, quarters=1.5)},
            "3/8: one beat a bar, a dotted quarter note.",
        ),
        (MeterSpan(0, "7/8", (2, 2, 3), 1.0, "beams"), {}, "7/8, felt 2+2+3 (as the beams show)."),
        (MeterSpan(0, "7/8", (3, 2, 2), 1.0, "words"), {}, "7/8, felt 3+2+2 (as the words say)."),
        (
            MeterSpan(0, "5/4", (3, 2), 0.2, "custom"),
            {},
            "5/4 (grouping not shown on the page; 3+2 is usual).",
        ),
        (MeterSpan(0, "3+2/8", (3, 2)), {}, "3+2/8."),
        (MeterSpan(0, "free", ()), {}, "Free time, without a meter."),
    ],
)
def test_the_meter_at_the_beginning(span, facts, sentence):
    assert sentence_of(Fact(FactKind.METER, places=((0, 0),), **facts), in_meters(span)) == sentence


@pytest.mark.parametrize(
    ("quarters", "length"),
    [(1, "one quarter"), (1.5, "three eighths"), (0.25, "one sixteenth"), (1 / 3, "part of a bar")],
)
def test_a_pickup(quarters, length):
    fact = Fact(FactKind.PICKUP, places=((0, 0),), numbers=named(quarters=quarters))
    assert sentence_of(fact, make_profile()) == f"A pickup of {length} comes first."


def changes_of(*meters, **facts):
    places = tuple((each.measure, each.measure) for each in meters[1:])
    return sentence_of(Fact(FactKind.METER_CHANGES, places=places), in_meters(*meters, **facts))


def test_each_change_of_meter_with_its_bar():
    said = changes_of(MeterSpan(0, "4/4", FOUR), MeterSpan(1, "3/4", THREE), MeterSpan(2, "4/4", FOUR))
    assert said == "Then 3/4 from bar 2 and 4/4 from bar 3."


def test_a_grouping_that_turns_within_its_meter():
    said = changes_of(MeterSpan(0, "7/8", (2, 2, 3), 1, "beams"), MeterSpan(4, "7/8", (3, 2, 2), 1, "beams"))
    assert said == "Then the grouping changes to 3+2+2 in bar 5."


def test_changes_that_the_page_does_not_print():
    hidden = MeterSpan(1, "9/8", (3, 3, 3), is_printed=False)
    said = changes_of(MeterSpan(0, "6/8", (3, 3)), hidden)
    assert said == "No new time signature is printed, but the bars change length: 9/8 from bar 2."


@pytest.mark.parametrize(
    ("span", "length"),
    [
        (MeterSpan(0, "4/4", FOUR, is_printed=False), "are as long as those of 4/4"),
        (MeterSpan(0, "free", (), is_printed=False), "have no even length"),
    ],
)
def test_a_beginning_without_a_time_signature(span, length):
    said = sentence_of(Fact(FactKind.METER, places=((0, 0),)), in_meters(span))
    assert said == f"No time signature is printed at the beginning; the bars {length}."


def test_a_part_with_a_meter_of_its_own():
    fact = Fact(FactKind.OWN_METER, "Oboe", places=((0, 3), (8, 8)), terms=("6/8", "9/8"))
    said = sentence_of(fact, in_meters(MeterSpan(0, "2/4", TWO)))
    assert said == "Your part has its own meter: 6/8 in bars 1–4 and 9/8 in bar 9, against 2/4."


def test_meters_that_change_by_turns_are_said_together():
    turns = [MeterSpan(n, "3/4", THREE) if n % 2 else MeterSpan(n, "4/4", FOUR) for n in range(8)]
    assert changes_of(*turns, measures=10) == "Then 3/4 and 4/4 by turns in bars 2–7 and 3/4 from bar 8."


def test_many_changes_are_said_by_meter():
    each = {0: MeterSpan(0, "4/4", FOUR), 2: MeterSpan(0, "2/4", TWO), 3: MeterSpan(0, "3/4", THREE)}
    meters = [MeterSpan(5 * n + at, span.time, span.grouping) for n in range(7) for at, span in each.items()]
    said = changes_of(*meters)
    assert said.startswith("The meter changes 20 times: 2/4 in bars 3, 8, 13")
    assert said.endswith("4/4 elsewhere.")


def test_a_passage_against_its_meter():
    fact = Fact(FactKind.AGAINST_METER, places=((0, 1),), terms=("hemiola",))
    said = sentence_of(fact, make_profile(measure_numbers=("1", "2")))
    assert said == "Bars 1–2: two bars of 3/4 move as three half notes (hemiola)."


def test_a_meter_is_stated_where_it_begins_and_a_passage_with_its_end():
    facts = (
        Fact(FactKind.METER, places=((0, 0),), numbers=named(beats=4, quarters=1)),
        Fact(FactKind.AGAINST_METER, places=((0, 1),), terms=("hemiola",)),
    )
    said = statements_of(make_profile(facts=facts, measure_numbers=("1", "2")))
    assert [(each.topic, each.measure, each.end_measure) for each in said] == [
        ("meter", 0, None),
        ("meter", 0, 1),
    ]


@pytest.mark.parametrize(
    ("tempo", "sentence"),
    [
        (Tempo(120.0, "quarter", 96, 120.0, 120.0, source="metronome"), "Quarter = 120 (metronome mark)."),
        (
            Tempo(112.0, "half", 96, 109, 168, source="words", words="Allegro molto", table_word="allegro"),
            "Half = 109 to 168 (“Allegro molto,” no metronome mark).",
        ),
        (
            Tempo(None, "quarter", 90, 90.5, 90.5, source="playback"),
            "Quarter = 90.5 (playback tempo in the file, not printed).",
        ),
        (
            Tempo(None, "dotted quarter", 100, 80, 120),
            "Dotted quarter = 80 to 120 (nothing printed, moderate assumed).",
        ),
    ],
)
def test_the_tempo_with_what_gives_it(tempo, sentence):
    profile = make_profile(tempo_bpm=tempo)
    assert sentence_of(Fact(FactKind.TEMPO), profile) == sentence
    assert study_to_dict(profile)["tempo_bpm"]["source"] in sentence


def test_where_the_tempo_turns():
    turns = (
        TempoTurn(1, 80.0, "quarter", "words", "Meno mosso"),
        TempoTurn(2, 66.0, "half", "metronome", "Largo"),
        TempoTurn(3, 72.5, "quarter", "playback"),
    )
    profile = in_meters(MeterSpan(0, "4/4", FOUR), tempo_turns=turns)
    assert sentence_of(Fact(FactKind.TEMPO_TURNS), profile) == (
        "The tempo changes: “Meno mosso” in bar 2; “Largo” half = 66 in bar 3; "
        "quarter = 72.5 (playback) in bar 4."
    )


def changing(*texts, turns=()):
    """A profile of forty bars in which these words ask for another speed, each in its bar."""
    uses = tuple(
        Expression(at, text, TermKind.TEMPO_CHANGE, terms_in(text), moves_tempo=True) for at, text in texts
    )
    numbers = tuple(str(bar + 1) for bar in range(40))
    return make_profile(tempo_turns=turns, expression=uses, measures=40, measure_numbers=numbers)


def changes(profile):
    return sentence_of(Fact(FactKind.TEMPO_TURNS), profile)


def test_slowings_and_what_another_staff_says_stand_in_the_list_in_their_order():
    turns = (TempoTurn(20, 90.0, "quarter", "words", "più allegro"),)
    profile = changing((30, "rall."), (9, "Etwas ruhiger"), (20, "schneller"), turns=turns)
    assert changes(profile) == (
        "The tempo changes: “Etwas ruhiger” in bar 10; “più allegro” in bar 21; “rall.” in bar 31."
    )


def test_the_words_of_the_beginning_change_nothing():
    assert changes(changing((0, "Etwas bewegter"), (4, "rit."))) == "The tempo changes: “rit.” in bar 5."


def test_two_languages_in_one_text_are_quoted_apart():
    turns = (TempoTurn(4, 90.0, "quarter", "words", "schneller più allegro"),)
    assert changes(changing(turns=turns)) == "The tempo changes: “schneller” / “più allegro” in bar 5."


def test_of_more_than_five_places_the_bars_are_named_and_of_very_many_they_are_counted():
    assert changes(changing(*((at, "rit.") for at in range(1, 7)))) == (
        "The tempo changes in bars 2, 3, 4, 5, 6 and 7."
    )
    assert changes(changing(*((at, "rit.") for at in range(1, 18)))) == "The tempo changes in 17 bars."


def test_notes_set_equal_are_told_with_the_new_one_first():
    turns = (
        TempoTurn(4, 120.0, "half", "words", "", "half", "quarter"),
        TempoTurn(8, 60.0, "quarter", "words", "L'istesso tempo", "quarter", "eighth"),
    )
    assert changes(changing(turns=turns)) == (
        "The tempo changes: in bar 5 a half note is as long as a quarter note was before; "
        "in bar 9 at “L'istesso tempo” a quarter note is as long as an eighth note was before."
    )


def test_of_many_turns_the_bars_alone_are_named():
    turns = tuple(TempoTurn(n, 60.0 + n, "quarter", "metronome") for n in range(12))
    said = sentence_of(Fact(FactKind.TEMPO_TURNS), in_meters(MeterSpan(0, "4/4", FOUR), tempo_turns=turns))
    assert said == "The tempo changes in bars 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11 and 12."


def test_the_reading_tempo_names_the_busy_part():
    profile = make_profile(tempo_bpm=Tempo(120.0, "quarter", 96, first_reading=84))
    free = Fact(FactKind.READING_TEMPO)
    assert sentence_of(free, profile) == (
        "Manageable for reading at quarter = 96; take the first reading at 84."
    )
    held = Fact(FactKind.READING_TEMPO, parts=("Flute",), numbers=named(notes_a_second=3.04))
    assert "quarter = 96, where Flute has 3.0 notes a second in its busy bars;" in sentence_of(held, profile)


def in_sections(*tempos):
    """A profile of five bars with these tempos, each from its bar on."""
    numbers = tuple(str(bar + 1) for bar in range(40))
    tempo = Tempo(120.0, "quarter", 96, first_reading=84)
    return make_profile(tempo_bpm=tempo, tempos=tempos, measures=40, measure_numbers=numbers)


def test_later_sections_have_their_own_first_reading():
    profile = in_sections(
        TempoSpan(0, 120.0, bpm=120.0, words="Allegro", first_reading=84),
        TempoSpan(10, 60.0, bpm=60.0, words="Lento.", first_reading=50),
        TempoSpan(20, 120.0, bpm=120.0, words="Tempo I", first_reading=84),
        TempoSpan(30, 45.0, bpm=30.0, unit="dotted quarter", first_reading=28),
    )
    assert sentence_of(Fact(FactKind.READING_TEMPO), profile) == (
        "Manageable for reading at quarter = 96; take the first reading at 84. "
        "First reading of later sections: “Lento” (bar 11) at quarter = 50, bar 31 at eighth = 84."
    )


def test_of_many_sections_the_longest_are_named_in_their_order():
    spans = [TempoSpan(at, 60.0 + at, bpm=60.0 + at, first_reading=50 + at) for at in (0, 4, 5, 12, 14, 30)]
    said = sentence_of(Fact(FactKind.READING_TEMPO), in_sections(*spans))
    assert said.endswith(
        "First reading of the longest later sections: bar 6 at quarter = 55, bar 15 at quarter = 64,"
        " bar 31 at quarter = 80."
    )


def test_a_tempo_that_comes_back_is_no_section_of_its_own():
    spans = [TempoSpan(at, 60.0, bpm=60.0, first_reading=50) for at in (0, 9)]
    assert sentence_of(Fact(FactKind.READING_TEMPO), in_sections(*spans)).endswith("reading at 84.")


def test_a_tempo_below_the_metronome_is_counted_in_shorter_beats():
    slow = Fact(FactKind.READING_TEMPO)
    profile = make_profile(tempo_bpm=Tempo(60.0, "quarter", 40, first_reading=34))
    assert sentence_of(slow, profile) == (
        "Manageable for reading at quarter = 40; take the first reading at eighth = 68."
    )
    profile = make_profile(tempo_bpm=Tempo(60.0, "quarter", 39, first_reading=34))
    assert sentence_of(slow, profile) == (
        "Manageable for reading at eighth = 78; take the first reading at 68."
    )


def test_the_playing_time_of_several_tempos():
    fact = Fact(FactKind.PLAYING_TIME, numbers=named(seconds=90.0, bpm=120.0, first_seconds=125.0))
    profile = in_sections(TempoSpan(0, 120.0), TempoSpan(9, 60.0))
    assert sentence_of(fact, profile) == (
        "Playing time with the roadmap: about 1 min 30 s at full tempo,"
        " 2 min 05 s at the first-reading tempos."
    )


@pytest.mark.parametrize(
    ("text", "quoted"),
    [("Moins vite.", "Moins vite"), ("poco rit.", "poco rit."), ("allegro----", "allegro"), ("", "")],
)
def test_tempo_words_are_quoted_without_what_follows_them(text, quoted):
    assert printed_words(text) == quoted


def test_changes_of_the_same_words_are_told_together():
    turns = tuple(
        TempoTurn(at, bpm, "quarter", "metronome", words)
        for at, bpm, words in ((1, 72.0, "Moins vite"), (3, 80.0, "a tempo"), (5, 72.0, "Moins vite."))
    )
    assert sentence_of(
        Fact(FactKind.TEMPO_TURNS), in_meters(MeterSpan(0, "4/4", FOUR), tempo_turns=turns)
    ) == ("The tempo changes: “Moins vite” quarter = 72 in bars 2 and 6; “a tempo” quarter = 80 in bar 4.")


def test_the_playing_time_at_each_tempo():
    profile = make_profile(tempo_bpm=Tempo(120.0, "quarter", 120, first_reading=108))
    fact = Fact(FactKind.PLAYING_TIME, numbers=named(seconds=90.0, bpm=120.0, first_seconds=100.0))
    assert sentence_of(fact, profile) == (
        "Playing time with the roadmap: about 1 min 30 s at 120, 1 min 40 s at 108."
    )


@pytest.mark.parametrize(("seconds", "words"), [(45, "45 s"), (59.6, "1 min 00 s"), (125.4, "2 min 05 s")])
def test_a_length_of_time(seconds, words):
    assert lasting(seconds) == words
