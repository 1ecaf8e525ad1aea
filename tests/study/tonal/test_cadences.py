"""Closes: where phrases end, in the bar where the last chord arrives, with bass and melody agreeing."""

from dataclasses import replace

import pytest

from planner.core.profile import Cadence
from planner.study.form.phrase_ends import FEATURES, ends_of
from planner.study.notes.columns import columns_of
from planner.study.notes.sonority import sonority_of
from planner.study.tonal.cadences import find_arrivals
from planner.study.tonal.chords import CHORDS, KEYS, key_index
from planner.study.tonal.harmony import find_harmony
from planner.study.tonal.keys import find_keys, path_of
from tests.builders import make_part, make_score

PARTS = ("Flute", "Clarinet", "Oboe", "Tuba")
HYMN = (
    "G5 G5 A5 B5 | C6 B5 A5*2 | B5 A5 G5 F#5 | G5*4 | B5 B5 C6 D6 | E6 D6 C6*2 | B5 A5 G5 F#5 | G5*4",
    "D5 D5 D5 D5 | E5 D5 D5*2 | D5 E5 D5 D5 | D5*4 | D5 G5 G5 G5 | G5 G5 G5*2 | G5 E5 D5 D5 | D5*4",
    "B4 B4 A4 G4 | G4 G4 F#4*2 | G4 C5 B4 A4 | B4*4 | G4 D5 E5 D5 | C5 B4 E5*2 | D5 C5 B4 A4 | B4*4",
    "G3 G3 F#3 G3 | C3 G3 D3*2 | G3 C3 D3 D3 | G3*4 | G3 G3 E3 B3 | C3 G3 C3*2 | G3 C3 D3 D3 | G3*4",
)
"""Two phrases; their third bars have the six-four and the dominant of G major, their fourth the tonic."""


def score_of(*lines, lyrics=None, fermatas=()):
    parts = [make_part(line, name=name) for line, name in zip(lines, PARTS, strict=False)]
    if lyrics:
        notes = tuple(replace(n, lyric=t) for n, t in zip(parts[0].notes, lyrics, strict=True))
        parts[0] = replace(parts[0], notes=notes)
    if fermatas:
        parts = [
            replace(
                part,
                notes=tuple(
                    replace(n, has_fermata=True) if (n.measure, float(n.onset_quarters)) in fermatas else n
                    for n in part.notes
                ),
            )
            for part in parts
        ]
    return make_score(*parts)


def closes(score):
    columns = columns_of(score)
    return [
        (c.measure, c.offset_quarters, c.kind, c.key)
        for c in find_harmony(columns, find_keys(columns)).cadences
    ]


def test_a_close_arrives_in_the_bar_of_its_last_chord_and_nothing_closes_on_the_six_four():
    found = closes(score_of(*HYMN))
    assert {(3, 0.0, "authentic", "G major"), (7, 0.0, "authentic", "G major")} <= set(found)
    assert not {measure for measure, *_ in found} & {2, 6}


def test_a_fermata_on_the_dominant_is_a_half_close():
    found = closes(score_of(*HYMN, fermatas={(1, 2.0)}))
    assert (1, 2.0, "half", "G major") in found


def test_a_fermata_after_subdominant_and_tonic_is_a_plagal_close():
    lines = [
        line + " | " + end
        for line, end in zip(HYMN, ("G5*2 G5*2", "E5*2 D5*2", "C5*2 B4*2", "C3*2 G3*2"), strict=True)
    ]
    assert closes(score_of(*lines, fermatas={(8, 2.0)}))[-1] == (8, 2.0, "plagal", "G major")


def longer(*endings):
    return [f"{line} | {ending}" for line, ending in zip(HYMN, endings, strict=True)]


def test_a_last_chord_struck_again_is_no_close_and_the_real_arrival_stays():
    found = closes(score_of(*longer("G5*4 | G5*4", "D5*4 | D5*4", "B4*4 | B4*4", "G3*4 | G3*4")))
    assert [close for close in found if close[0] >= 6] == [(7, 0.0, "authentic", "G major")]


def test_the_subdominant_over_the_tonic_only_draws_the_close_out():
    found = closes(score_of(*longer("G5*2 G5*2", "E5*2 D5*2", "C5*2 B4*2", "G3*2 G3*2")))
    assert [close for close in found if close[0] >= 6] == [(7, 0.0, "authentic", "G major")]


def test_a_piece_that_ends_on_its_tonic_does_not_end_on_the_dominant_of_another_key():
    columns = columns_of(score_of(*longer("G5*2 G5*2", "E5*2 D5*2", "C5*2 B4*2", "C3*2 G3*2")))
    path, measure = path_of(columns), sonority_of(columns).measure
    key, chord = path.key.copy(), path.chord.copy()
    other, home = key_index("C major"), key_index("G major")
    key[measure == 8] = other
    names = [each.figure for each in CHORDS[KEYS[other].is_minor]]
    chord[measure == 8] = [names.index("I"), names.index("V")]
    assert find_arrivals(columns, key, chord)[-1].cadence == Cadence(8, 2.0, "half", "C major")
    last = find_arrivals(columns, key, chord, KEYS[home])[-1].cadence
    assert last == Cadence(8, 2.0, "plagal", "G major")


def test_a_bare_octave_on_the_dominant_under_a_fermata_is_a_half_close():
    bars = [line.split(" | ") for line in HYMN]
    for line, octave in zip(bars, ("D5", "D5", "D4", "D3"), strict=True):
        line[1] = f"{line[1].rsplit(' ', 1)[0]} {octave}*2"
    found = closes(score_of(*(" | ".join(line) for line in bars), fermatas={(1, 2.0)}))
    assert (1, 2.0, "half", "G major") in found


def test_a_melody_that_does_not_agree_makes_no_close():
    melody = HYMN[0].replace("G5*4 | B5 B5", "A5*4 | B5 B5")
    assert (3, 0.0, "authentic", "G major") in closes(score_of(*HYMN))
    assert 3 not in {measure for measure, *_ in closes(score_of(melody, *HYMN[1:]))}


def feature(score, name, measure, offset=0.0):
    columns = columns_of(score)
    sonority = sonority_of(columns)
    [at] = [
        at
        for at in range(len(sonority))
        if sonority.measure[at] == measure and sonority.offset[at] == offset * 10080
    ]
    return ends_of(columns).features[at, FEATURES.index(name)]


WORDS = (
    *("O", "come", "and", "see", "the", "day,", "how", "bright", "it", "shines", "a-", "far;"),
    *("The", "mor-", "ning", "and", "the", "sun,", "they", "are,", "they", "are", "now"),
)


def test_the_text_shows_where_a_line_ends_and_that_a_word_goes_on():
    score = score_of(*HYMN, lyrics=[*WORDS, *["la"] * (len(score_of(*HYMN).parts[0].notes) - len(WORDS))])
    assert feature(score, "comma", 1, 1.0) == 1
    assert feature(score, "full_stop", 3) == 1
    assert feature(score, "capital", 3) == 1
    assert feature(score, "inside_word", 2, 3.0) == 1
    assert feature(score_of(*HYMN), "texted", 3) == 0


@pytest.mark.parametrize("measure", [3, 7])
def test_a_phrase_ends_more_clearly_where_the_music_rests(measure):
    columns = columns_of(score_of(*HYMN))
    sonority, strength = sonority_of(columns), ends_of(columns).strength
    assert strength[sonority.measure == measure].max() > strength[sonority.measure == measure - 1].max()
