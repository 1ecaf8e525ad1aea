"""Tempo as marked or implied, reading tempo, playing time."""

from dataclasses import replace
from fractions import Fraction

import pytest

from planner.core.fact import FactKind, named
from planner.core.profile import TempoTurn
from planner.core.score import TempoMark
from planner.core.units import METRONOME_MARKS
from planner.study.notes.columns import columns_of
from planner.study.time.meter import find_meters
from planner.study.time.speed_limits import density_of, notes_per_second
from planner.study.time.tempo import (
    find_tempo,
    measure_seconds,
    playing_seconds,
    reading_tempo,
    tempo_facts,
)
from planner.study.time.tempo_words import TEMPO_RANGES, tempo_word
from tests.builders import make_part, make_score

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
        tempo_facts(study_of(score)[1], reading_tempo(*study_of(score), [1.0]), 8.0, 8.0)[0] for score in scores
    ]
    sure = [fact.certainty for fact in found]
    assert sure == sorted(set(sure), reverse=True)
    assert sure[0] == 1.0


def test_where_the_tempo_turns_matters_more_than_where_it_begins():
    score = paced(QUARTERS, mark(beat_unit_quarters=Fraction(1), bpm=120.0), mark(1, text="Meno mosso"))
    columns, found = study_of(score)
    facts = {fact.kind: fact for fact in tempo_facts(found, reading_tempo(columns, found, [1.0]), 8.0, 8.0)}
    assert facts[FactKind.TEMPO_TURNS].weight > facts[FactKind.TEMPO].weight
