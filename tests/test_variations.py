"""Each variation does to a score what its name says, and nothing else."""

import functools
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import music21
import pytest

from planner.adapters.scores.reader import read_score
from planner.core.instruments import get_instrument
from planner.core.pitch import Transposition
from planner.core.score import Hairpin, KeySignature, Note, OctaveLine, Part, TempoMark, TimeSignature
from planner.study.basics import basic_facts
from planner.study.notes.columns import columns_of
from tests import variations
from tests.builders import make_part, make_score
from tests.checks import some

SCORES = sorted((Path(__file__).parent / "scores").glob("*.musicxml"))
HALF = Fraction(1, 2)


@functools.cache
def score_of(path):
    return read_score(path)


@pytest.fixture(params=SCORES, ids=lambda path: path.stem)
def score(request):
    return score_of(request.param)


def notes_of(score):
    return [note for part in score.parts for note in part.notes]


def pitches(part):
    return [str(note.pitch) for note in part.notes if note.pitch]


# Cutting


def test_a_cut_score_ends_where_it_was_cut():
    part = make_part("C4*4~ | C4*4~ | C4*4")
    part = replace(
        part,
        hairpins=(Hairpin(0, Fraction(2), "crescendo", 2, Fraction(1)),),
        octave_lines=(OctaveLine(2, Fraction(0), 1, 2, Fraction(4)),),
        keys=(KeySignature(0, 0), KeySignature(2, 1)),
    )
    cut = variations.first_measures(make_score(part), 2)
    assert len(cut.measures) == 2
    assert [(n.measure, n.tie_to_next) for n in cut.parts[0].notes] == [(0, True), (1, False)]
    assert [(h.end_measure, h.end_onset_quarters) for h in cut.parts[0].hairpins] == [(1, Fraction(4))]
    assert cut.parts[0].octave_lines == ()
    assert cut.parts[0].keys == (KeySignature(0, 0),)


def test_a_score_that_is_short_enough_is_not_cut():
    score = make_score(make_part("C4*4 | C4*4"))
    assert variations.first_measures(score, 2) is score


# Tempo


def test_faster_doubles_every_number():
    marks = (
        TempoMark(0, Fraction(0), "Allegro", Fraction(1), 60.0, 60.0, bpm_high=72.0),
        TempoMark(1, Fraction(0), "rit."),
    )
    score = replace(make_score(make_part("C4*4 | C4*4")), tempos=marks)
    first, second = variations.faster(score).tempos
    assert (first.bpm, first.bpm_high, first.quarter_bpm) == (120.0, 144.0, 120.0)
    assert second == marks[1]


def test_words_become_numbers_that_mean_the_same_speed():
    score = make_score(make_part("C4 D4 E4 F4 | " * 15 + "C4 D4 E4 F4"))
    words = (TempoMark(0, Fraction(0), "Largo"), TempoMark(8, Fraction(0), "Allegro"))
    score = replace(score, tempos=words)
    assert not variations.has_numbers(score)
    timed = variations.with_metronome(score)
    assert variations.has_numbers(timed)
    assert [mark.measure for mark in timed.tempos] == [0, 8]
    before, after = (basic_facts(columns_of(each)).quarter_bpm for each in (score, timed))
    assert before == pytest.approx(after)


def test_twice_as_fast_is_heard_in_every_measure(score):
    timed = score if variations.has_numbers(score) else variations.with_metronome(score)
    slow, fast = (basic_facts(columns_of(s)).quarter_bpm for s in (timed, variations.faster(timed)))
    assert [2 * bpm for bpm in slow] == pytest.approx(list(fast))


def test_a_tempo_counted_in_another_note_is_the_same_speed():
    score = variations.at_tempo(make_score(make_part("C4*4 | C4*4")), 120)
    (mark,) = variations.counted_in(score, Fraction(2)).tempos
    assert (mark.beat_unit_quarters, mark.bpm, mark.quarter_bpm) == (2, 60.0, 120.0)
    words = (TempoMark(0, Fraction(0), "Allegro"),)
    assert variations.counted_in(replace(score, tempos=words), HALF).tempos == words


# Pitch


def test_a_fifth_up_is_what_another_library_makes_it():
    names = ["C4", "B3", "F#4", "Bb4", "E#5", "Cb5", "F##4", "Bbb2"]
    for up, interval in ((True, "P5"), (False, "-P5")):
        moved = variations.a_fifth(make_score(make_part(" ".join(names))), up=up)
        theirs = [music21.pitch.Pitch(n.replace("b", "-")).transpose(interval) for n in names]
        assert pitches(moved.parts[0]) == [p.nameWithOctave.replace("-", "b") for p in theirs]


def test_signatures_move_by_one_and_never_to_eight_signs():
    score = make_score(make_part("C4"), make_part("C4", fifths=-3, name="Horn"))
    assert [p.keys[0].fifths for p in variations.a_fifth(score).parts] == [1, -2]
    assert [p.keys[0].fifths for p in variations.a_fifth(score, up=False).parts] == [-1, -4]
    assert variations.a_fifth(make_score(make_part("C4", fifths=7))) is None
    assert variations.a_fifth(make_score(make_part("C4", fifths=-7)), up=False) is None


def test_printed_accidentals_are_those_of_the_new_pitches():
    part = make_part("B4 C5", fifths=-1)
    part = replace(part, notes=(replace(part.notes[0], accidental="natural"), part.notes[1]))
    (moved,) = variations.a_fifth(make_score(part)).parts
    assert [(str(n.pitch), n.accidental) for n in moved.notes] == [("F#5", "sharp"), ("G5", "")]


def test_a_fifth_up_and_down_again_is_the_same_music(score):
    up = variations.a_fifth(score)
    back = variations.a_fifth(up, up=False)
    assert [p.keys for p in back.parts] == [p.keys for p in score.parts]
    assert [replace(n, accidental="") for n in notes_of(back)] == [
        replace(n, accidental="") for n in notes_of(score)
    ]


def test_a_letter_is_raised_as_a_signature_says():
    for fifths in range(-7, 8):
        signature = music21.key.KeySignature(fifths)
        theirs = {p.step: int(p.alter) for p in signature.alteredPitches}
        assert {
            s: variations.alter_in(fifths, s) for s in "CDEFGAB" if variations.alter_in(fifths, s)
        } == theirs


def signed(part, signs):
    return replace(
        part, notes=tuple(replace(n, accidental=s) for n, s in zip(part.notes, signs, strict=True))
    )


def test_accidentals_are_struck_and_pitches_come_into_the_scale():
    part = signed(make_part("F#4 G#4 G4 Bb4", fifths=1), ["", "sharp", "natural", "flat"])
    (struck,) = variations.without_accidentals(make_score(part)).parts
    assert pitches(struck) == ["F#4", "G4", "G4", "B4"]
    assert [n.accidental for n in struck.notes] == ["", "", "", ""]


def test_every_second_place_keeps_its_accidental():
    part = signed(
        make_part("C#4 C4 D#4 F4 | G#4~ | G#4 E4"), ["sharp", "natural", "sharp", "", "sharp", "", ""]
    )
    (struck,) = variations.without_accidentals(make_score(part), 2).parts
    assert pitches(struck) == ["C4", "C4", "D#4", "F4", "G4", "G4", "E4"]
    assert [n.accidental for n in struck.notes] == ["", "", "sharp", "", "", "", ""]


def outside(part):
    """Notes outside their signature, and notes with a printed sign."""
    return [
        note
        for note in part.notes
        if note.pitch is not None
        and (note.accidental or note.pitch.alter != variations.alter_in(
            variations.signature_at(part, note.measure, note.onset_quarters, note.staff), note.pitch.step
        ))
    ]  # fmt: skip


def test_without_accidentals_no_note_is_outside_its_key(score):
    assert [outside(part) for part in variations.without_accidentals(score).parts] == [
        [] for _ in score.parts
    ]
    with_signs = score_of(Path(__file__).parent / "scores" / "accidentals.musicxml")
    assert any(outside(part) for part in with_signs.parts)


# Note values


def test_doubled_values_are_written_twice_as_long():
    part = make_part("C4 D4*1/2 E4*1/2 r*2 | C4*4")
    values = ["quarter", "eighth", "eighth", "half", "whole"]
    beams = [(), ("begin",), ("end",), (), ()]
    notes = [replace(n, value=v, beams=b) for n, v, b in zip(part.notes, values, beams, strict=True)]
    score = variations.at_tempo(make_score(replace(part, notes=tuple(notes))), 60)
    double = variations.in_other_values(score, Fraction(2))
    assert [str(m.time) for m in double.measures] == ["4/2", "4/2"]
    assert [(m.start_quarters, m.length_quarters) for m in double.measures] == [(0, 8), (8, 8)]
    assert [n.value for n in double.parts[0].notes] == ["half", "quarter", "quarter", "whole", "breve"]
    assert [n.beams for n in double.parts[0].notes] == [()] * 5
    assert [n.onset_quarters for n in double.parts[0].notes] == [0, 2, 3, 4, 0]
    (mark,) = double.tempos
    assert (mark.beat_unit_quarters, mark.bpm, mark.quarter_bpm) == (2, 60, 120)
    half = variations.in_other_values(score, HALF)
    assert [str(m.time) for m in half.measures] == ["4/8", "4/8"]
    assert [n.beams for n in half.parts[0].notes][1:3] == [("begin", "begin"), ("end", "end")]


def seconds_of(score):
    """When each note begins and how long it lasts."""
    columns = columns_of(score)
    tempo = basic_facts(columns).quarter_bpm
    starts, at = [], 0.0
    for measure, bpm in zip(score.measures, tempo, strict=True):
        starts.append(at)
        at += float(measure.length_quarters) * 60 / bpm
    return [
        (starts[n.measure] + float(n.onset_quarters) * 60 / tempo[n.measure],
         float(n.duration_quarters) * 60 / tempo[n.measure])
        for n in notes_of(score)
    ]  # fmt: skip


@pytest.mark.parametrize("factor", [Fraction(2), HALF])
@pytest.mark.parametrize(
    "name", ["divisi", "directions", "grace_notes", "lyrics", "pickup_bar", "nested_tuplets"]
)
def test_other_values_take_the_same_time(name, factor):
    score = variations.with_metronome(score_of(Path(__file__).parent / "scores" / f"{name}.musicxml"))
    other = variations.in_other_values(score, factor)
    assert seconds_of(other) == [pytest.approx(pair) for pair in some(seconds_of(score))]


def test_doubled_and_halved_is_as_before():
    score = make_score(make_part("C4*1/2 D4*3/2 E4*2 | C4*1/3 D4*1/3 E4*1/3 C4*3"), time="4/4")
    back = variations.in_other_values(variations.in_other_values(score, Fraction(2)), HALF)
    assert back == score


@pytest.mark.parametrize(
    ("time", "double", "halve"),
    [("4/4", True, True), ("6/8", True, False), ("2/2", False, True), ("3/16", True, False)],
)
def test_only_meters_that_stay_usual_are_written_anew(time, double, halve):
    score = make_score(make_part("C4"), time=time)
    assert (variations.can_double(score), variations.can_halve(score)) == (double, halve)


def test_a_meter_in_groups_keeps_them():
    score = make_score(make_part("C4*1/2 " * 5), time="3+2/8")
    assert str(variations.in_other_values(score, Fraction(2)).measures[0].time) == "3+2/4"


# Parts


def test_a_double_plays_the_same_notes_and_is_named_apart():
    score = make_score(make_part("C4 D4"), make_part("C3 D3", name="Cello", instrument="cello"))
    double = variations.with_double(score, 0, -1)
    assert double.parts[:2] == score.parts
    assert pitches(double.parts[2]) == ["C3", "D3"]
    assert double.parts[2].instrument == "flute"
    assert len({part.name for part in double.parts}) == len({part.id for part in double.parts}) == 3


def test_parts_alone_and_in_reverse():
    score = make_score(make_part("C4"), make_part("C3", name="Cello"), make_part("C2", name="Bass"))
    assert [p.name for p in variations.alone(score, 1).parts] == ["Cello"]
    assert [p.name for p in variations.in_reverse_order(score).parts] == ["Bass", "Cello", "Flute"]


def test_what_is_added_leaves_every_note_as_it_was(score):
    for changed in (variations.renamed(score), variations.with_silent_part(score)):
        assert [p.notes for p in changed.parts[: len(score.parts)]] == [p.notes for p in score.parts]
    sung = variations.with_lyrics(score)
    assert [replace(n, lyric="") for n in notes_of(sung)] == [replace(n, lyric="") for n in notes_of(score)]
    assert all(n.lyric for n in notes_of(sung) if n.is_struck)
    named = [p.name for p in variations.renamed(score).parts]
    assert len(set(named)) == len(named)
    assert not set(named) & {p.name for p in score.parts}


def test_rests_in_halves_rest_as_long(score):
    halves = variations.rests_in_halves(score)

    def rested(each):
        return sum(n.duration_quarters for n in notes_of(each) if n.is_rest)

    assert rested(halves) == rested(score)
    assert [n for n in notes_of(halves) if not n.is_rest] == [n for n in notes_of(score) if not n.is_rest]


def test_music_twice_in_a_row_is_the_same_bars_again(score):
    twice = variations.twice_in_a_row(score)
    count = len(score.measures)
    assert len(twice.measures) == 2 * count
    assert [m.index for m in twice.measures] == list(range(2 * count))
    ends = [m.start_quarters + m.length_quarters for m in twice.measures[:-1]]
    assert [m.start_quarters for m in twice.measures[1:]] == ends
    for part, both in zip(some(score.parts), twice.parts, strict=True):
        again = [replace(n, measure=n.measure - count) for n in both.notes[len(part.notes) :]]
        assert again == list(both.notes[: len(part.notes)]) == list(part.notes)
        assert [k.fifths for k in both.keys] == 2 * [k.fifths for k in part.keys]


def test_flags_for_beams(score):
    flags = variations.without_beams(score)
    assert [n.beams for n in notes_of(flags)] == [() for _ in notes_of(score)]
    assert [n.value for n in notes_of(flags)] == [n.value for n in notes_of(score)]


# Single notes

PART = make_part("C4 D4 E4 r | C4+E4 F4~ F4 G4")


def test_only_plain_notes_are_changed():
    assert [pitches(PART)[at] for at in (0, 1, 2)] == ["C4", "D4", "E4"]
    plain = variations.plain_notes(PART)
    assert [str(PART.notes[at].pitch) for at in plain] == ["C4", "D4", "E4", "G4"]


def others(part, at):
    return [note for place, note in enumerate(part.notes) if place != at]


def test_one_note_is_changed_and_no_other():
    for made, pitch, sign in (
        (variations.octave_up(PART, 1), "D5", ""),
        (variations.accidental_put(PART, 1), "D#4", "sharp"),
        (variations.extreme_put(PART, 1, high=True), None, None),
        (variations.extreme_put(PART, 1, high=False), None, None),
    ):
        assert others(made, 1) == others(PART, 1)
        assert made.notes[1] != PART.notes[1]
        if pitch is not None:
            assert (str(made.notes[1].pitch), made.notes[1].accidental) == (pitch, sign)


def test_a_raised_letter_is_lowered():
    part = make_part("F#4 G4", fifths=1)
    made = variations.accidental_put(part, 0)
    assert (str(made.notes[0].pitch), made.notes[0].accidental) == ("F4", "natural")


def test_extremes_are_those_of_the_instrument_as_the_part_is_written():
    part = make_part("C4 D4", instrument="trumpet-bflat", transposition=Transposition(-1, -2))
    own = get_instrument("trumpet-bflat").full
    assert variations.extreme_put(part, 0, high=True).notes[0].pitch == own.high
    concert = replace(part, transpositions=())
    high = variations.extreme_put(concert, 0, high=True).notes[0].pitch
    assert high.midi == own.high.midi - 2
    assert variations.extreme_put(replace(part, instrument=""), 0, high=True) is None


@pytest.mark.parametrize(("count", "value"), [(2, "eighth"), (3, "eighth"), (4, "16th")])
def test_a_split_note_fills_its_own_time(count, value):
    part = replace(PART, notes=tuple(replace(n, value="quarter") for n in PART.notes))
    made = variations.split_in(part, 1, count)
    new = [n for n in made.notes if n.measure == 0 and str(n.pitch) == "D4"]
    assert [n.onset_quarters for n in new] == [1 + Fraction(k, count) for k in range(count)]
    assert {n.duration_quarters for n in new} == {Fraction(1, count)}
    assert {n.value for n in new} == {value}
    assert {n.tuplet for n in new} == {(3, 2) if count == 3 else None}
    assert [n for n in made.notes if n not in new] == others(part, 1)


def test_a_rest_is_put_in_the_place_of_a_note():
    made = variations.rest_put(PART, 1)
    assert made.notes[1] == Note(0, Fraction(1), Fraction(1), is_rest=True)
    assert others(made, 1) == others(PART, 1)


def test_a_part_is_put_in_its_place():
    score = make_score(make_part("C4"), make_part("D4", name="Oboe"))
    new = Part("x", "New")
    assert [p.name for p in variations.with_part(score, 1, new).parts] == ["Flute", "New"]


def test_a_meter_without_a_number_stays_free():
    free = TimeSignature((), "free")
    score = make_score(make_part("C4*5"))
    score = replace(score, measures=tuple(replace(m, time=free) for m in score.measures))
    assert variations.in_other_values(score, Fraction(2)).measures[0].time == free
