"""Tempo as marked or implied, reading tempo, playing time."""

from dataclasses import replace
from fractions import Fraction

import pytest

from planner.core.fact import FactKind, named
from planner.core.profile import TempoTurn
from planner.core.score import TempoMark, TimeSignature
from planner.core.units import METRONOME_MARKS
from planner.study.notes.columns import columns_of
from planner.study.time.meter import find_meters
from planner.study.time.speed_limits import density_of, notes_per_second
from planner.study.time.tempo import (
    find_reading,
    find_tempo,
    measure_seconds,
    playing_seconds,
    reading_tempo,
    tempo_facts,
)
from planner.study.time.tempo_words import TEMPO_RANGES, tempo_word
from tests.builders import make_part, make_score
from tests.study.time.test_tempo_changes import BACK, FIRST, LOOSE, SHARES

QUARTERS = " | ".join(["C4 D4 E4 F4"] * 4)


def mark(measure=0, **facts):
    return TempoMark(measure, Fraction(0), **facts)


def study_of(score):
    columns = columns_of(score)
    return columns, find_tempo(columns, find_meters(columns).spans)


def paced(music, *marks, time="4/4"):
    return replace(make_score(make_part(music), time=time), tempos=marks)


# Source: metronome.guide tables as published by kenclassical.blogspot.com and instrument.bible.
@pytest.mark.parametrize(
    ("word", "inside"),
    [("grave", 30), ("largo", 50), ("adagio", 70), ("andante", 90), ("moderato", 112), ("allegro", 132),
     ("vivace", 170), ("presto", 184), ("prestissimo", 204)],
)  # fmt: skip
def test_a_word_allows_what_published_tables_give_it(word, inside):
    low, high = TEMPO_RANGES[word]
    assert low <= inside <= high


def test_words_in_four_languages_are_placed():
    assert [tempo_word(text).word for text in ("Allegro vivace", "Sehr langsam", "très vif", "Slowly")] == [
        "allegro", "langsam", "vif", "slowly"
    ]  # fmt: skip
    assert tempo_word("dolce") is None


def test_a_metronome_mark_is_the_tempo():
    _, found = study_of(paced(QUARTERS, mark(beat_unit_quarters=Fraction(3, 2), bpm=80.0), time="4/4"))
    assert (found.tempo.marked, found.tempo.unit, found.tempo.source) == (
        80,
        "dotted quarter",
        "metronome",
    )
    assert found.quarter_bpm == (120.0,) * 4


def test_a_word_gives_a_range_and_a_playback_tempo_inside_it_is_believed():
    _, found = study_of(paced(QUARTERS, mark(text="Allegro")))
    assert (found.tempo.low, found.tempo.high) == TEMPO_RANGES["allegro"]
    assert found.tempo.marked in METRONOME_MARKS
    assert (found.tempo.source, found.tempo.words, found.tempo.table_word) == ("words", "Allegro", "allegro")
    _, believed = study_of(paced(QUARTERS, mark(text="Allegro", quarter_bpm=144.0)))
    assert believed.tempo.marked == 144
    _, doubted = study_of(paced(QUARTERS, mark(text="Allegro", quarter_bpm=60.0)))
    assert doubted.tempo.marked == found.tempo.marked


def test_in_six_eight_a_word_counts_dotted_quarters():
    _, found = study_of(paced(" | ".join(["C4*3/2 D4*3/2"] * 4), mark(text="Allegretto"), time="6/8"))
    assert found.tempo.unit == "dotted quarter"


@pytest.mark.parametrize(
    ("time", "bar", "printed"),
    [("3/2", "C4*2 D4*2 E4*2", 110), ("6/4", "C4 D4 E4 F4 G4 A4", 170), ("2/2", "C4*2 D4*2", 120)],
)
def test_an_assumed_tempo_is_near_the_number_of_another_edition(time, bar, printed):
    """Quarters a minute of hymns in the Open Hymnal (abc/: Rossetti, Toplady, Duke Street)."""
    _, found = study_of(paced(" | ".join([bar] * 16), time=time))
    assert found.tempo.source == "assumed"
    assert found.quarter_bpm[0] == pytest.approx(printed, rel=0.2)


def test_with_nothing_printed_the_tempo_is_assumed():
    _, found = study_of(paced(QUARTERS))
    assert (found.tempo.marked, found.tempo.source) == (None, "assumed")
    assert (found.tempo.low, found.tempo.reading, found.tempo.high) == (80.0, 100, 120.0)


def test_a_misprinted_tempo_is_not_believed():
    _, found = study_of(paced(QUARTERS, mark(beat_unit_quarters=Fraction(1), bpm=9000.0)))
    assert found.tempo.marked is None


def test_tempo_turns_hold_from_their_bar_on_and_a_tempo_brings_it_back():
    score = paced(
        QUARTERS,
        mark(beat_unit_quarters=Fraction(1), bpm=100.0),
        mark(1, text="Meno mosso"),
        mark(2, text="Tempo I"),
        mark(3, text="rit."),
    )
    _, found = study_of(score)
    assert found.quarter_bpm == (100.0, 80.0, 100.0, 100.0)
    assert found.turns == (
        TempoTurn(1, 80.0, "quarter", "words", "Meno mosso"),
        TempoTurn(2, 100.0, "quarter", "words", "Tempo I"),
    )


@pytest.mark.parametrize(
    ("facts", "source", "unit", "bpm"),
    [
        ({"beat_unit_quarters": Fraction(1, 2), "bpm": 120.0}, "metronome", "eighth", 120.0),
        ({"beat_unit_quarters": Fraction(5, 4), "bpm": 40.0}, "metronome", "quarter", 50.0),
    ],
)
def test_a_turn_tells_a_printed_number_from_one_in_the_file_alone(facts, source, unit, bpm):
    _, found = study_of(paced(QUARTERS, mark(beat_unit_quarters=Fraction(1), bpm=100.0), mark(1, **facts)))
    assert found.turns == (TempoTurn(1, bpm, unit, source),)


def test_playing_time_follows_the_roadmap_and_each_bars_tempo():
    columns, found = study_of(
        paced(
            QUARTERS,
            mark(beat_unit_quarters=Fraction(1), bpm=120.0),
            mark(2, beat_unit_quarters=Fraction(1), bpm=60.0),
        )
    )
    assert playing_seconds(columns, (0, 1, 2, 3), found.quarter_bpm) == 12
    assert playing_seconds(columns, (0, 1, 0, 1, 2, 3), found.quarter_bpm) == 16
    assert playing_seconds(columns, (), found.quarter_bpm) == 0


def test_playing_time_is_kept_to_a_tenth_of_a_second():
    """Four quarters at 90 take two seconds and two thirds."""
    columns, found = study_of(paced(QUARTERS, mark(beat_unit_quarters=Fraction(1), bpm=90.0)))
    assert playing_seconds(columns, (0,), found.quarter_bpm) == 2.7


@pytest.mark.parametrize(
    ("words", "bpm"),
    [
        ("Doppio movimento", 200.0), ("Half-time", 50.0), ("Più mosso", 120.0), ("Meno mosso", 80.0),
        ("un poco più mosso", 110.0), ("poco meno mosso", 90.0), ("etwas langsamer", 90.0), ("dolce", 100.0),
    ],
)  # fmt: skip
def test_words_that_only_compare_move_the_tempo_by_their_share(words, bpm):
    _, found = study_of(paced(QUARTERS, mark(beat_unit_quarters=Fraction(1), bpm=100.0), mark(1, text=words)))
    assert found.quarter_bpm[1] == pytest.approx(bpm)


@pytest.mark.parametrize(
    ("quarters", "unit"),
    [
        (Fraction(4), "whole"), (Fraction(3), "dotted half"), (Fraction(2), "half"),
        (Fraction(3, 2), "dotted quarter"), (Fraction(1), "quarter"), (Fraction(3, 4), "dotted eighth"),
        (Fraction(1, 2), "eighth"), (Fraction(1, 4), "sixteenth"),
    ],
)  # fmt: skip
def test_a_metronome_mark_counts_in_the_value_it_prints(quarters, unit):
    _, found = study_of(paced(QUARTERS, mark(beat_unit_quarters=quarters, bpm=60.0)))
    assert (found.tempo.marked, found.tempo.unit) == (60.0, unit)
    assert found.quarter_bpm[0] == 60.0 * quarters


def test_the_busiest_tenth_counts_bars_of_a_single_note_too():
    """At 60 four notes in a bar are one a second, one is a quarter: nine tenths of the way, 0.925."""
    columns, found = study_of(paced("C4 D4 E4 F4 | G4*4", mark(beat_unit_quarters=Fraction(1), bpm=60.0)))
    rates = density_of(columns.parts[0], 2).busy(measure_seconds(columns, found.quarter_bpm))
    assert rates == pytest.approx((0.925, 0.925))


def reading_of(music, level, bpm=120.0):
    columns, found = study_of(paced(music, mark(beat_unit_quarters=Fraction(1), bpm=bpm)))
    return reading_tempo(columns, found, [level])


def test_sixteenths_are_read_more_slowly_than_quarters_and_a_better_reader_reads_faster():
    sixteenths = " | ".join([" ".join(["C4*1/4 D4*1/4"] * 8)] * 4)
    slow, well = reading_of(sixteenths, 1.0), reading_of(sixteenths, 5.0)
    assert slow.tempo.reading < well.tempo.reading < 120
    assert reading_of(QUARTERS, 1.0).tempo.reading == 120


def test_the_busy_part_is_named_with_its_rate():
    found = reading_of(" | ".join([" ".join(["C4*1/4 D4*1/4"] * 8)] * 4), 5.0)
    assert found.busiest == "Flute"
    assert found.notes_a_second == pytest.approx(4 * found.tempo.reading / 60)
    assert found.notes_a_second <= notes_per_second(5.0)


def test_repeated_notes_are_read_faster_than_moving_ones():
    moving = reading_of(" | ".join([" ".join(["C4*1/4 D4*1/4"] * 8)] * 4), 2.0)
    repeated = reading_of(" | ".join([" ".join(["C4*1/4"] * 16)] * 4), 2.0)
    assert repeated.tempo.reading > moving.tempo.reading


# Source: Furneaux and Land (1999): four notes for professionals, two for amateurs, 0.7 s at a fast tempo.
def test_the_span_of_amateurs_and_professionals_is_as_published():
    assert notes_per_second(0.5) * 0.7 == pytest.approx(2)
    assert notes_per_second(6.0) * 0.7 == pytest.approx(4)


@pytest.mark.parametrize("bpm", [30.0, 44.0, 96.0, 120.0, 208.0, 300.0])
@pytest.mark.parametrize("level", [None, 0.5, 3.0, 6.0])
def test_reading_tempos_never_rise_above_the_marked_one_and_stay_on_the_metronome(bpm, level):
    tempo = reading_of(QUARTERS, level, bpm).tempo
    assert tempo.first_reading <= tempo.reading <= bpm
    if bpm >= 80:
        assert {tempo.reading, tempo.first_reading} <= set(METRONOME_MARKS)
        assert METRONOME_MARKS.index(tempo.reading) - METRONOME_MARKS.index(tempo.first_reading) == 3


def test_the_facts_of_a_tempo():
    columns, found = study_of(paced(QUARTERS, mark(beat_unit_quarters=Fraction(1), bpm=120.0)))
    facts = {f.kind: f for f in tempo_facts(found, reading_tempo(columns, found, [1.0]), 90.0, 100.0)}
    assert list(facts) == [FactKind.TEMPO, FactKind.READING_TEMPO, FactKind.PLAYING_TIME]
    assert facts[FactKind.READING_TEMPO].parts == ()
    weights = [fact.weight for fact in facts.values()]
    assert weights == sorted(weights, reverse=True)
    assert facts[FactKind.PLAYING_TIME].numbers == named(seconds=90.0, bpm=120.0, first_seconds=100.0)


def test_the_part_that_holds_the_reading_down_is_in_the_fact():
    sixteenths = " | ".join([" ".join(["C4*1/4 D4*1/4"] * 8)] * 4)
    columns, found = study_of(paced(sixteenths, mark(beat_unit_quarters=Fraction(1), bpm=120.0)))
    read_at = reading_tempo(columns, found, [1.0])
    reading = tempo_facts(found, read_at, 8.0, 8.0)[1]
    assert (reading.kind, reading.parts) == (FactKind.READING_TEMPO, ("Flute",))
    assert reading.number("notes_a_second") == read_at.notes_a_second


def test_a_printed_number_is_surest_then_a_word_then_what_is_only_played_then_nothing():
    marks = (mark(beat_unit_quarters=Fraction(1), bpm=120.0), mark(text="Allegro"), mark(quarter_bpm=120.0))
    scores = [*(paced(QUARTERS, each) for each in marks), paced(QUARTERS)]
    found = [
        tempo_facts(study_of(score)[1], reading_tempo(*study_of(score), [1.0]), 8.0, 8.0)[0]
        for score in scores
    ]
    sure = [fact.certainty for fact in found]
    assert sure == sorted(set(sure), reverse=True)
    assert sure[0] == 1.0


def test_where_the_tempo_turns_matters_more_than_where_it_begins():
    score = paced(QUARTERS, mark(beat_unit_quarters=Fraction(1), bpm=120.0), mark(1, text="Meno mosso"))
    columns, found = study_of(score)
    facts = {fact.kind: fact for fact in tempo_facts(found, reading_tempo(columns, found, [1.0]), 8.0, 8.0)}
    assert facts[FactKind.TEMPO_TURNS].weight > facts[FactKind.TEMPO].weight


# The course of a piece: what comes back, what is only shaping, what is a section.

QUARTER = Fraction(1)
LONG = " | ".join(["C4 D4 E4 F4"] * 40)


def speeds_of(*marks, music=LONG, time="4/4"):
    """Quarters a minute of each bar."""
    return study_of(paced(music, *marks, time=time))[1].quarter_bpm


def number(measure, bpm, **facts):
    return mark(measure, beat_unit_quarters=QUARTER, bpm=float(bpm), **facts)


OPENING = number(0, 100, text="Andante")


@pytest.mark.parametrize("slowing", LOOSE)
def test_a_tempo_brings_back_what_was_before_every_loosening(slowing):
    found = speeds_of(OPENING, mark(3, text=slowing), mark(5, text="a tempo"))
    assert found == (100.0,) * 40


@pytest.mark.parametrize("back", BACK)
def test_every_word_for_it_brings_the_tempo_back(back):
    found = speeds_of(OPENING, mark(3, text="meno mosso"), mark(6, text="rall."), mark(20, text=back))
    assert (found[2], found[3], found[20]) == (100.0, 80.0, 80.0)
    found = speeds_of(OPENING, mark(3, text="meno mosso"), mark(20, text=back))
    assert (found[3], found[19], found[20]) == (80.0, 80.0, 100.0)


@pytest.mark.parametrize(("words", "share"), SHARES.items())
def test_a_tempo_brings_back_what_was_before_every_comparison(words, share):
    found = speeds_of(OPENING, mark(3, text=words), mark(20, text="a tempo"))
    assert found[3] == pytest.approx(100 * share)
    assert found[20] == 100.0


@pytest.mark.parametrize("first", FIRST)
def test_every_word_for_it_brings_the_first_tempo_back(first):
    found = speeds_of(OPENING, number(8, 140, text="Vivace"), mark(20, text="rit."), mark(30, text=first))
    assert (found[0], found[8], found[30]) == (100.0, 140.0, 100.0)


def test_a_tempo_after_a_few_bars_of_another_tempo_leaves_it_again():
    short = speeds_of(OPENING, mark(10, text="Lento"), mark(18, text="a tempo"))
    long = speeds_of(OPENING, mark(10, text="Lento"), mark(19, text="a tempo"))
    assert short[10] == long[10] < 70
    assert short[18] == 100.0
    assert long[19] == long[10]


def test_a_second_a_tempo_changes_nothing():
    found = speeds_of(
        OPENING, mark(3, text="meno mosso"), mark(5, text="a tempo"), mark(9, text="rit."),
        mark(10, text="a tempo"), mark(11, text="a tempo"),
    )  # fmt: skip
    assert found[5:] == (100.0,) * 35


def test_among_the_tempos_a_piece_has_had_playback_tells_which_comes_back():
    def back(played):
        return speeds_of(
            OPENING, mark(3, text="più mosso"), mark(5, text="rit."),
            mark(6, text="a tempo", quarter_bpm=played),
        )[6]  # fmt: skip

    assert back(None) == 120.0
    assert back(100.0) == 100.0
    assert back(104.0) == 100.0
    assert back(70.0) == 120.0


def test_the_second_tempo_comes_back_and_without_one_nothing_does():
    found = speeds_of(
        OPENING, number(4, 60, text="Lento"), mark(8, text="Tempo I"), mark(20, text="Tempo II")
    )
    assert (found[8], found[20]) == (100.0, 60.0)
    assert speeds_of(OPENING, mark(8, text="Tempo II")) == (100.0,) * 40


def test_the_same_tempo_keeps_the_beat_when_its_length_changes():
    bars = ["C4 D4"] * 4 + ["C4*3/2 D4*3/2"] * 4
    score = make_score(make_part(" | ".join(bars)), time="2/4")
    later = (replace(each, time=TimeSignature((((6,), 8),))) for each in score.measures[4:])
    marks = (OPENING, mark(4, text="L'istesso tempo"))
    score = replace(score, measures=(*score.measures[:4], *later), tempos=marks)
    assert study_of(score)[1].quarter_bpm == (100.0,) * 4 + (150.0,) * 4


@pytest.mark.parametrize(
    ("text", "played", "bpm"),
    [("", None, 200.0), ("", 200.0, 200.0), ("", 50.0, 50.0), ("♩ = ♩ prec.", None, 50.0)],
)
def test_two_notes_set_equal(text, played, bpm):
    """A quarter before is as long as a half now; the other way round where the page or playback says so."""
    equal = mark(4, text=text, beat_unit_quarters=QUARTER, equal_quarters=Fraction(2), quarter_bpm=played)
    assert speeds_of(OPENING, equal)[4] == bpm


def test_numbers_that_step_down_in_a_bar_or_two_each_are_a_ritardando():
    found = speeds_of(OPENING, *(number(at, 100 - 5 * at) for at in (10, 11, 13)), mark(14, text="a tempo"))
    assert found == (100.0,) * 40


def test_a_number_that_stays_is_a_tempo():
    assert speeds_of(OPENING, mark(9, text="rit."), number(10, 60))[10] == 60.0
    assert speeds_of(OPENING, number(10, 60), number(12, 120))[10:13] == (60.0, 60.0, 120.0)


@pytest.mark.parametrize(("until", "bpm"), [(13, 100.0), (14, 60.0)])
def test_a_number_in_a_slowing_counts_when_it_holds_for_four_bars(until, bpm):
    assert (
        speeds_of(OPENING, mark(9, text="rit."), number(10, 60), number(until, 90, text="Allegro"))[10] == bpm
    )


def test_a_playback_ritardando_is_no_list_of_tempos():
    played = [mark(at, quarter_bpm=100.0 - 3 * at) for at in range(10, 20)]
    assert speeds_of(OPENING, *played) == (100.0,) * 40
    assert speeds_of(OPENING, mark(10, text="rit.", quarter_bpm=60.0)) == (100.0,) * 40


@pytest.mark.parametrize(
    ("heading", "bar", "played", "bpm"),
    [("Trio", 10, 80.0, 80.0), ("Trio", 32, 80.0, 80.0), ("Trio", 33, 80.0, 100.0),
     ("Trio", 10, 108.0, 100.0), ("", 10, 80.0, 100.0)],
)  # fmt: skip
def test_a_playback_tempo_is_one_under_a_heading_that_holds_for_eight_bars(heading, bar, played, bpm):
    assert speeds_of(OPENING, mark(bar, text=heading, quarter_bpm=played))[bar] == bpm


def test_moods_in_the_course_of_a_piece_are_no_tempos():
    assert speeds_of(OPENING, mark(10, text="tranquillo"), mark(14, text="largamente")) == (100.0,) * 40
    assert speeds_of(OPENING, mark(10, text="Tranquillo", quarter_bpm=70.0))[10] == 70.0
    _, found = study_of(paced(LONG, mark(text="Tranquillo")))
    assert (found.tempo.source, found.tempo.low, found.tempo.high) == ("words", 60, 84)


def test_the_number_wins_over_the_word_at_the_same_place_in_whatever_mark():
    for marks in (
        (mark(text="Largo"), number(0, 132)),
        (number(0, 132), mark(text="Largo")),
        (mark(text="Largo"), TempoMark(0, Fraction(2), "", QUARTER, 132.0)),
    ):
        _, found = study_of(paced(LONG, *marks))
        assert (found.tempo.marked, found.tempo.source, found.tempo.words) == (132.0, "metronome", "Largo")


def test_a_number_over_the_first_full_bar_belongs_to_the_words_over_the_pickup():
    score = paced("G4 | " + LONG, mark(text="Largo"), number(1, 132))
    assert study_of(score)[1].tempo.marked != 132.0
    pickup = replace(score.measures[0], implicit=True)
    score = replace(score, measures=(pickup, *score.measures[1:]))
    assert study_of(score)[1].tempo.marked == 132.0


def test_the_tempo_of_a_later_section_is_not_that_of_the_opening():
    _, found = study_of(paced(LONG, number(20, 60, text="Lento")))
    assert (found.tempo.marked, found.tempo.source) == (None, "assumed")
    assert found.quarter_bpm[19:21] == (100.0, 60.0)


def test_what_another_part_says_a_bar_later_is_not_done_twice():
    found = speeds_of(
        OPENING, mark(10, text="più mosso"), mark(11, text="più mosso"), mark(12, text="più mosso")
    )
    assert found[10:13] == (120.0, 120.0, 144.0)


SIXTEENTHS = " | ".join([" ".join(["C4*1/4 D4*1/4 E4*1/4 F4*1/4"] * 4)] * 8)


def test_without_a_number_nothing_is_faster_than_its_densest_bars_can_be_played():
    """Twelve notes a second on a flute are sixteenths at 180; seven on a trombone are sixteenths at 105."""

    def presto(instrument):
        part = make_part(SIXTEENTHS, name=instrument[0], instrument=instrument[1])
        return study_of(replace(make_score(part), tempos=(mark(text="Prestissimo"),)))[1].quarter_bpm[0]

    assert presto(("Flute", "flute")) == 176.0
    assert presto(("Trombone", "trombone")) <= 105.0
    assert speeds_of(number(0, 200, text="Presto"), music=SIXTEENTHS)[0] == 200.0


@pytest.mark.parametrize(
    ("text", "played", "time", "unit", "bpm"),
    [
        ("Allegro", None, "2/2", "half", 84.0),
        ("Adagio", 36.0, "4/4", "eighth", 72.0),
        ("Adagio", 66.0, "4/4", "quarter", 66.0),
        ("Andante", 63.0, "6/8", "eighth", 126.0),
    ],
)
def test_the_beat_of_a_word_is_the_one_that_notes_and_playback_make(text, played, time, unit, bpm):
    sixteenths = ["C4*1/4 D4*1/4 E4*1/4 F4*1/4"] * 4
    bar = " ".join(sixteenths if time[0] != "6" else sixteenths[:3]).replace("C4*1/4", "C4*1/4")
    _, found = study_of(paced(" | ".join([bar] * 8), mark(text=text, quarter_bpm=played), time=time))
    assert (found.tempo.unit, found.tempo.marked) == (unit, bpm)


@pytest.mark.parametrize(
    ("played", "unit", "quarters"),
    [(None, "dotted quarter", 100.0), (60.0, "eighth", 60.0), (120.0, "dotted quarter", 120.0)],
)
def test_three_eight_without_a_printed_beat_is_counted_in_three_or_quick_in_one(played, unit, quarters):
    """Common practice: the beat of a tempo fills the bar; three eighths are never counted in quarters."""
    marks = (mark(quarter_bpm=played),) if played else ()
    _, found = study_of(paced(" | ".join(["C4*1/2 D4*1/2 E4*1/2"] * 8), *marks, time="3/8"))
    assert found.tempo.unit == unit
    assert found.quarter_bpm[0] == pytest.approx(quarters, abs=0.01)


def test_a_quick_three_four_of_quarters_goes_in_one():
    """Scherzos of Beethoven's symphonies print a dotted half from 96 to 116."""
    _, found = study_of(paced(" | ".join(["C4 D4 E4"] * 16), mark(text="Allegro"), time="3/4"))
    assert (found.tempo.unit, found.tempo.low, found.tempo.high) == ("dotted half", 70.0, 108.0)
    _, found = study_of(paced(" | ".join(["C4*1/2 D4*1/2 E4 F4"] * 16), mark(text="Allegro"), time="3/4"))
    assert found.tempo.unit == "dotted half"
    _, found = study_of(
        paced(" | ".join(["C4*1/2 D4*1/2 E4*1/2 F4*1/2 G4"] * 16), mark(text="Allegro"), time="3/4")
    )
    assert found.tempo.unit == "quarter"


def test_every_section_has_its_own_first_reading_and_what_comes_back_has_the_same():
    music = " | ".join(["C4 D4 E4 F4"] * 8 + [SIXTEENTHS] + ["C4 D4 E4 F4"] * 8)
    score = paced(music, number(0, 100), number(8, 90, text="Allegro"), mark(16, text="Tempo I"))
    found = reading_tempo(*study_of(score), [1.0])
    assert [(span.measure, span.quarter_bpm, span.first_reading) for span in found.spans] == [
        (0, 100.0, 88), (8, 90.0, 40), (16, 100.0, 88)
    ]  # fmt: skip
    assert found.busiest == ""
    assert found.slower[:9] == pytest.approx([100 / 88] * 8 + [90 / 40])


def test_the_first_reading_is_below_what_the_densest_bars_allow_however_slow():
    thirty_seconds = " | ".join([" ".join(["C4*1/8 D4*1/8"] * 16)] * 4)
    found = reading_of(thirty_seconds, 0.5)
    assert found.tempo.first_reading <= notes_per_second(0.5) * 60 / 8


@pytest.mark.parametrize(
    ("instrument", "share"), [("piano", 1.0), ("flute", 1.0), ("trombone", (7 / 12) ** 0.5), ("", 1.0)]
)
def test_slow_speaking_instruments_read_fewer_notes_a_second(instrument, share):
    assert notes_per_second(3.0, instrument) == pytest.approx(share * notes_per_second(3.0))


def test_the_seconds_of_the_first_reading_follow_each_section():
    columns, found = study_of(paced(LONG, number(0, 100), number(20, 50, text="Lento")))
    reading = find_reading(columns, found, tuple(range(40)), [None])
    firsts = [span.first_reading for span in reading.spans]
    assert firsts == [88, 44]
    assert reading.first_seconds == pytest.approx(80 * 60 / 88 + 80 * 60 / 44, abs=0.1)
    assert reading.seconds == pytest.approx(80 * 60 / 100 + 80 * 60 / 50, abs=0.1)


@pytest.mark.parametrize(("played", "bpm"), [(109.9, 100.0), (111.0, 111.0), (90.1, 100.0), (89.0, 89.0)])
def test_a_playback_tempo_under_a_heading_counts_from_a_tenth_away(played, bpm):
    assert speeds_of(OPENING, mark(10, text="Trio", quarter_bpm=played))[10] == bpm


@pytest.mark.parametrize(("played", "bpm"), [(104.0, 100.0), (104.5, 120.0), (96.2, 100.0), (95.5, 120.0)])
def test_playback_names_a_tempo_within_a_twenty_fifth(played, bpm):
    marks = (mark(3, text="più mosso"), mark(5, text="rit."), mark(6, text="a tempo", quarter_bpm=played))
    assert speeds_of(OPENING, *marks)[6] == bpm


@pytest.mark.parametrize(
    ("places", "bpm"),
    [((10, 12, 14), 100.0), ((10, 11), 100.0), ((10, 12), 100.0), ((10, 13, 15), 90.0), ((10,), 90.0)],
)
def test_steps_are_shaping_when_three_speeds_lie_two_bars_apart_at_most(places, bpm):
    """The first step counts from the speed before it."""
    steps = [number(at, 90 - 10 * index) for index, at in enumerate(places)]
    assert speeds_of(OPENING, *steps, mark(places[-1] + 1, text="a tempo"))[10] == bpm


def test_steps_to_and_fro_are_tempos():
    found = speeds_of(OPENING, number(10, 90), number(11, 100), number(12, 90))
    assert found[10:13] == (90.0, 100.0, 90.0)


@pytest.mark.parametrize(("notes", "unit"), [(4, "dotted half"), (5, "quarter")])
def test_in_one_up_to_four_notes_in_a_bar_of_three(notes, unit):
    bar = " ".join([f"C4*{Fraction(3, notes)}", f"D4*{Fraction(3, notes)}"] * 3).split()[:notes]
    _, found = study_of(paced(" | ".join([" ".join(bar)] * 16), mark(text="Allegro"), time="3/4"))
    assert found.tempo.unit == unit


@pytest.mark.parametrize(("played", "believed"), [(126.0, True), (93.0, True), (92.0, False), (194.0, False)])
def test_playback_may_leave_the_range_of_the_word_by_fifteen_hundredths(played, believed):
    _, found = study_of(paced(QUARTERS, mark(text="Allegro", quarter_bpm=played)))
    assert (found.tempo.marked == played) is believed


@pytest.mark.parametrize(("bpm", "is_sane"), [(9.9, False), (10.0, True), (800.0, True), (801.0, False)])
def test_numbers_outside_ten_to_eight_hundred_quarters_are_misprints(bpm, is_sane):
    _, found = study_of(paced(QUARTERS, number(0, bpm)))
    assert (found.tempo.source == "metronome") is is_sane


def test_a_second_number_at_one_place_is_not_taken():
    _, found = study_of(paced(QUARTERS, number(0, 80, text="Lento"), number(0, 120)))
    assert found.tempo.marked == 80.0


def test_a_range_of_numbers_is_kept_and_its_slower_end_is_the_tempo():
    _, found = study_of(paced(QUARTERS, number(0, 60, bpm_high=66.0)))
    assert (found.tempo.marked, found.tempo.low, found.tempo.high) == (60.0, 60.0, 66.0)


def stepped(*numbers):
    """Numbers without words, each a quarter after the one before, in bar 11."""
    return [replace(number(10, bpm), onset_quarters=Fraction(at)) for at, bpm in enumerate(numbers)]


def test_of_several_numbers_in_a_bar_the_last_may_be_a_tempo():
    assert speeds_of(OPENING, *stepped(90, 80, 70))[10:12] == (70.0, 70.0)
    assert speeds_of(OPENING, *stepped(90, 80, 70), number(12, 100))[10:13] == (100.0,) * 3


def test_numbers_that_come_back_to_the_tempo_leave_it_as_it_was():
    _, found = study_of(paced(LONG, OPENING, *stepped(90, 80, 98)))
    assert (found.quarter_bpm, found.turns) == ((100.0,) * 40, ())
    """What the words allow is taken for the opening, not its playback: the number means that all the same."""
    _, found = study_of(paced(LONG, mark(text="Allegro", quarter_bpm=65.0), *stepped(59, 62, 65)))
    assert found.turns == ()
