from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.core.fact import FactKind
from planner.core.pitch import Pitch, Transposition
from planner.core.profile import PatternKind
from planner.study.form.exact_repeats import common_prefixes, maximal_repeats, suffix_array, tandem_runs
from planner.study.form.patterns import find_patterns
from planner.study.notes.columns import columns_of
from tests.builders import make_part, make_score

STRINGS = st.lists(st.integers(0, 3), max_size=40)


@given(STRINGS)
def test_the_suffix_array_sorts_all_suffixes(text):
    order = suffix_array(np.array(text, dtype=np.int64)).tolist()
    assert order == sorted(range(len(text)), key=lambda at: text[at:])


@given(STRINGS)
def test_common_prefixes_are_those_of_neighbours(text):
    symbols = np.array(text, dtype=np.int64)
    order = suffix_array(symbols)
    shared = common_prefixes(symbols, order)
    for at in range(1, len(text)):
        one, two = text[order[at - 1] :], text[order[at] :]
        same = 0
        while same < min(len(one), len(two)) and one[same] == two[same]:
            same += 1
        assert shared[at] == same


def brute_repeats(text, least):
    """Every stretch that occurs twice and cannot grow on either side in all its places."""
    found = {}
    for length in range(least, len(text)):
        for start in range(len(text) - length + 1):
            found.setdefault(tuple(text[start : start + length]), []).append(start)
    kept = set()
    for stretch, starts in found.items():
        before = {text[s - 1] if s else None for s in starts}
        after = {text[s + len(stretch)] if s + len(stretch) < len(text) else None for s in starts}
        if len(starts) < 2 or len(before) < 2 or len(after) < 2:
            continue
        apart = []
        for start in starts:
            if not apart or start >= apart[-1] + len(stretch):
                apart.append(start)
        if len(apart) > 1:
            kept.add((len(stretch), tuple(apart)))
    return kept


@settings(max_examples=300, deadline=None)
@given(STRINGS)
def test_maximal_repeats_are_those_of_brute_force(text):
    found = {(r.length, r.starts) for r in maximal_repeats(np.array(text, dtype=np.int64), least=2)}
    assert found == brute_repeats(text, 2)


@settings(max_examples=300, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 4), st.integers(0, 1)), max_size=24), st.integers(1, 5))
def test_tandem_runs_are_those_of_brute_force(notes, period):
    values = np.array([v for v, _ in notes], dtype=np.int64)
    rhythm = np.array([r for _, r in notes], dtype=np.int64)
    expected = set()
    for begin in range(len(notes)):
        for end in range(begin + period, len(notes) - period + 1):
            steps = {int(values[at + period] - values[at]) for at in range(begin, end)}
            same = all(rhythm[at + period] == rhythm[at] for at in range(begin, end))
            if same and len(steps) == 1:
                expected.add((begin, end - begin, steps.pop()))
    longest = {
        (b, n, s)
        for b, n, s in expected
        if not any(
            (b2 <= b and b2 + n2 >= b + n and s2 == s and (b2, n2) != (b, n)) for b2, n2, s2 in expected
        )
    }
    assert {
        (r.start, r.length, r.step) for r in tandem_runs(values, rhythm, period) if r.period == period
    } == longest


def patterns_of(*parts, **kwargs):
    return find_patterns(columns_of(make_score(*parts, **kwargs)))


def kinds(patterns):
    return [p.kind for p in patterns]


TUNE = "C5 E5 D5*1/2 F5*1/2 E5 | D5 G4 A4*2"
OTHER = "B4 A4*1/2 G4*1/2 F4 D4 | E4 G4*1/2 B4*1/2 C5*2"


def test_a_tune_that_comes_again_is_found_with_its_bars():
    study = patterns_of(make_part(" | ".join([TUNE, OTHER, TUNE])))
    repeats = [p for p in study.by_part[0] if p.kind == "repeat"]
    assert [p.places for p in repeats] == [((0, 1), (4, 5))]
    assert (repeats[0].notes, repeats[0].fills_bars, repeats[0].steps) == (8, True, ())


def test_one_wrong_note_breaks_the_repeat():
    spoiled = TUNE.replace("E5 D5*1/2", "E5 Db5*1/2")
    study = patterns_of(make_part(" | ".join([TUNE, OTHER, spoiled])))
    assert not [p for p in study.by_part[0] if p.kind == "repeat"]


def repeats_of(part):
    study = find_patterns(columns_of(make_score(part)))
    return [p for p in study.by_part[0] if p.kind == "repeat" and not p.steps]


def with_note(part, measure, **changes):
    """The part with one more note: a copy of the first of a measure with some values changed."""
    notes = list(part.notes)
    at = next(at for at, note in enumerate(notes) if note.measure == measure)
    notes.insert(at, replace(notes[at], **changes))
    return replace(part, notes=tuple(notes))


AGAIN = " | ".join([TUNE, OTHER, TUNE, OTHER])


def test_bars_with_a_grace_note_more_are_not_the_same():
    part = make_part(AGAIN)
    assert [p.places for p in repeats_of(part)] == [((0, 3), (4, 7))]
    graced = with_note(part, 4, is_grace=True, duration_quarters=Fraction(0))
    assert [p.places for p in repeats_of(graced)] == [((1, 3), (5, 7))]
    both = with_note(graced, 0, is_grace=True, duration_quarters=Fraction(0))
    assert [p.places for p in repeats_of(both)] == [((0, 3), (4, 7))]
    other = with_note(graced, 0, is_grace=True, duration_quarters=Fraction(0), pitch=Pitch.parse("A4"))
    assert [p.places for p in repeats_of(other)] == [((1, 3), (5, 7))]


def test_bars_with_another_note_under_the_tune_are_not_the_same():
    stopped = with_note(make_part(AGAIN), 4, pitch=Pitch.parse("E4"), in_chord=True)
    assert [p.places for p in repeats_of(stopped)] == [((1, 3), (5, 7))]
    shorter = with_note(
        with_note(make_part(AGAIN), 4, pitch=Pitch.parse("E4"), in_chord=True),
        0, pitch=Pitch.parse("E4"), in_chord=True, duration_quarters=Fraction(1, 2),
    )  # fmt: skip
    assert [p.places for p in repeats_of(shorter)] == [((1, 3), (5, 7))]


def test_a_bar_entered_on_a_tied_note_is_not_the_same_as_one_entered_on_a_rest():
    tune = "r*1 E5 D5*1/2 F5*1/2 E5 | D5 G4 A4*2 | B4 A4 G4 F4"
    music = f"{tune} | C5 B4 A4 C5~ | {tune.replace('r*1', 'C5', 1)} | G4*4"
    assert [p.places for p in repeats_of(make_part(music))] == [((1, 2), (5, 6))]


def test_the_same_pitches_with_other_names_are_not_the_same():
    respelled = AGAIN.replace("B4 A4*1/2", "A#4 A4*1/2", 1).replace("B4 A4*1/2", "Bb4 A4*1/2", 1)
    found = repeats_of(make_part(respelled))
    assert [p.places for p in found if p.fills_bars] == [((0, 1), (4, 5))]
    assert [(p.places, p.notes) for p in found if not p.fills_bars] == [(((2, 3), (6, 7)), 8)]


def test_an_ostinato_with_a_grace_note_once_is_none_there():
    bars = " | ".join(["C4 G4 E4 G4"] * 6)
    graced = with_note(make_part(bars), 1, is_grace=True, duration_quarters=Fraction(0))
    found = [p for p in patterns_of(graced).by_part[0] if p.kind == "ostinato"]
    assert [p.places for p in found] == [((2, 5),)]


def test_a_sequence_of_a_keyboard_part_is_on_its_staff():
    legs = "C4 E4 D4 F4 | D4 F4 E4 G4 | E4 G4 F4 A4 | F4 A4 G4 B4"
    right = make_part("C6*1/2 G5*1/2 C6*3 | E6*4 | r*1 D6 D6*2 | C6*4", name="Piano")
    left = tuple(replace(note, staff=2) for note in make_part(legs).notes)
    order = sorted((*right.notes, *left), key=lambda note: (note.measure, note.onset_quarters, note.staff))
    found = patterns_of(replace(right, notes=tuple(order), staves=2)).by_part[0]
    assert [(p.places, p.notes, p.staff) for p in found if p.kind == "sequence"] == [(((0, 3),), 4, 2)]


def test_a_planted_sequence_is_found_with_its_interval_and_legs():
    legs = "C4 E4 D4 F4 | D4 F4 E4 G4 | E4 G4 F4 A4 | F4 A4 G4 B4"
    found = [p for p in patterns_of(make_part(legs)).by_part[0] if p.kind == "sequence"]
    assert len(found) == 1
    assert found[0].places == ((0, 3),)
    assert (found[0].notes, found[0].times, found[0].steps) == (4, 4, (1,))
    assert found[0].covers == 1.0


THIRDS = "G4*3/2 A4*1/2 F4*2 | E4*3/2 F4*1/2 D4*2 | C4*3/2 D4*1/2 B3*2"


@pytest.mark.parametrize(
    ("legs", "notes", "times", "steps"),
    [
        (THIRDS, 3, 3, (-2,)),
        ("C4 D4*1/2 E4*1/2 F4 E4 | D4 E4*1/2 F4*1/2 G4 F4", 5, 2, (1,)),
    ],
)  # fmt: skip
def test_a_sequence_has_its_figure_its_times_and_its_step(legs, notes, times, steps):
    found = [p for p in patterns_of(make_part(legs + " | C5*4")).by_part[0] if p.kind == "sequence"]
    assert [(p.notes, p.times, p.steps) for p in found] == [(notes, times, steps)]


def test_a_tune_that_comes_again_higher_is_a_shape_with_its_step():
    higher = "E5 G5 F5*1/2 A5*1/2 G5 | F5 B4 C5*2"
    study = patterns_of(make_part(" | ".join([TUNE, OTHER, higher])))
    shapes = [p for p in study.by_part[0] if p.kind == "repeat"]
    assert [(p.places, p.notes, p.steps, p.fills_bars) for p in shapes] == [(((0, 1), (4, 5)), 8, (2,), True)]


def test_a_scale_is_no_sequence():
    assert patterns_of(make_part("C4 D4 E4 F4 | G4 A4 B4 C5")).by_part[0] == ()


def test_an_ostinato_is_found_with_its_figure_and_how_often_it_comes():
    study = patterns_of(make_part("C4 G4 E4 G4 | C4 G4 E4 G4 | C4 G4 E4 G4 | C4 G4 E4 G4"))
    found = [p for p in study.by_part[0] if p.kind == "ostinato"]
    assert [(p.places, p.notes, p.times) for p in found] == [(((0, 3),), 4, 4)]


def test_a_rhythm_that_fills_bars_is_found_even_on_other_pitches():
    music = "C4*3/2 D4*1/2 E4*2 | G4*3/2 E4*1/2 A4*2 | B3*3/2 C4*1/2 F4*2 | C4*4 | D4*3/2 F4*1/2 A3*2"
    found = [p for p in patterns_of(make_part(music)).by_part[0] if p.kind == "rhythm"]
    assert [(p.places, p.notes) for p in found] == [(((0, 2), (4, 4)), 3)]


def test_a_doubled_tune_is_found_for_both_who_play_it():
    bass = make_part("C3*4 | G2*4 | G2*4 | C3*4", name="Tuba", clef=("F", 4))
    flute, oboe = make_part(f"{TUNE} | {OTHER}", name="Flute"), make_part(f"{TUNE} | {OTHER}", name="Oboe")
    study = patterns_of(flute, oboe, bass)
    assert [p.with_parts for p in study.by_part[0] if p.kind == "unison"] == [("Oboe",)]
    doubled = [p for p in study.by_part[1] if p.kind == "unison"]
    assert [(p.with_parts, p.places, p.has_top_line) for p in doubled] == [(("Flute",), ((0, 3),), True)]
    assert not [p for p in study.by_part[2] if p.kind == "unison"]


def test_a_part_with_an_extra_note_doubles_nothing_there():
    oboe = make_part(f"{TUNE} | {OTHER}".replace("A4*2 |", "A4 B4 |"), name="Oboe")
    study = patterns_of(make_part(f"{TUNE} | {OTHER}", name="Flute"), oboe)
    places = [p.places[0] for p in study.by_part[0] if p.kind == "unison"]
    assert places == [(2, 3)]


def test_a_long_rest_parts_a_doubled_stretch():
    music = f"{TUNE} | {OTHER} | r*4 | r*4 | r*4 | {TUNE} | {OTHER}"
    study = patterns_of(make_part(music, name="Flute"), make_part(music, name="Oboe"))
    assert study.by_part[0][-1].places == ((0, 3), (7, 10))


def test_a_bar_that_only_partly_agrees_is_not_doubled():
    oboe = f"G4 G4 D5*1/2 F5*1/2 E5 | D5 G4 A4*2 | {OTHER} | C5 E5 G4 G4"
    study = patterns_of(
        make_part(f"{TUNE} | {OTHER} | C5 E5 E5 E5", name="Flute"), make_part(oboe, name="Oboe")
    )
    assert [p.places for p in study.by_part[0] if p.kind == "unison"] == [((1, 3),)]


@pytest.mark.parametrize(
    ("there", "here"),
    [
        ("A4*2 |", "A4+C4*2 |"),  # a double stop
        ("A4*2 |", "A4 r |"),  # a shorter note
        ("A4*2 |", "A4 A4 |"),  # struck again
    ],
)
def test_a_bar_that_differs_in_chord_or_length_is_not_doubled(there, here):
    music = f"{TUNE} | {OTHER}"
    assert there in music
    oboe = make_part(music.replace(there, here, 1), name="Oboe")
    study = patterns_of(make_part(music, name="Flute"), oboe)
    assert [p.places for p in study.by_part[0] if p.kind == "unison"] == [((2, 3),)]


def test_a_note_held_over_the_bar_line_is_not_one_struck_there():
    music = "C4 D4 E4 F4~ | F4 E4 D4 C4 | C4 D4 E4 F4 | G4 F4 E4 D4"
    study = patterns_of(make_part(music, name="Flute"), make_part(music.replace("~", ""), name="Oboe"))
    assert [p.places for p in study.by_part[0] if p.kind == "unison"] == [((2, 3),)]


def test_unison_and_octaves_are_told_apart_by_what_sounds():
    clarinet = make_part("D4 E4 F#4 G4 | A4 B4 C#5 D5", name="Clarinet", transposition=Transposition(-1, -2))
    scale = "C4 D4 E4 F4 | G4 A4 B4 C5"
    [of_clarinet] = patterns_of(clarinet, make_part(scale, name="Flute")).by_part[0]
    assert (of_clarinet.with_parts, of_clarinet.octaves) == (("Flute",), (0,))
    cello = make_part(scale.replace("5", "x").replace("4", "3").replace("x", "4"), name="Cello")
    found = patterns_of(make_part(scale, name="Flute"), cello).by_part
    assert [(p.octaves, p.has_top_line) for p in found[0]] == [((1,), True)]
    assert [(p.octaves, p.has_top_line) for p in found[1]] == [((-1,), False)]
    folded = make_part("C3 D3 E3 F3 | G3 A3 B3 C3", name="Bass")
    [of_flute] = patterns_of(make_part(scale, name="Flute"), folded).by_part[0]
    assert of_flute.octaves == ()


def test_two_notes_that_sit_across_the_bars_are_no_ostinato():
    music = "Bb3*2 F4*2 | Ab3*2 F4*2 | Ab3*2 F4*2 | Ab3*2 Db4*2 | C4*4 | D4 E4 F4 G4"
    assert "ostinato" not in kinds(patterns_of(make_part(music)).by_part[0])


def test_three_repeated_notes_that_climb_are_no_sequence():
    music = "C4 C4 C4*2 | D4 D4 D4*2 | E4 E4 E4*2 | C4*4"
    assert "sequence" not in kinds(patterns_of(make_part(music)).by_part[0])


def test_a_few_notes_from_the_middle_of_a_bar_are_no_repeat():
    tail = "A4 B4*1/2 C5*1/2 | D5 E5"
    study = patterns_of(make_part(f"C4 C4 {tail} F4 F4 | G4*4 | D4 E4 {tail} G4 A4 | B4*4"))
    assert "repeat" not in kinds(study.by_part[0])


def test_a_part_gets_no_more_than_four_patterns_and_their_share():
    study = patterns_of(*(make_part(" | ".join([TUNE, OTHER] * 3), name=name) for name in ("Flute", "Oboe")))
    own = [fact for fact in study.facts if fact.part == "Flute"]
    assert [fact.kind for fact in own[:-1]] == [FactKind.PATTERN] * (len(own) - 1)
    assert 1 <= len(own[:-1]) <= 4
    assert (own[-1].kind, own[-1].number("share")) == (FactKind.IN_PATTERNS, 1.0)


def test_a_bare_rhythm_becomes_a_fact_where_there_is_room():
    study = patterns_of(make_part("C4*3/2 D4*1/2 E4*2 | G4*3/2 E4*1/2 A4*2 | B3*3/2 C4*1/2 F4*2"))
    chosen = [study.by_part[0][int(fact.number("pattern"))].kind for fact in study.facts]
    assert chosen == [PatternKind.RHYTHM]
    long = patterns_of(*(make_part(" | ".join([TUNE, OTHER] * 3), name=name) for name in ("Flute", "Oboe")))
    chosen = [
        long.by_part[0][int(fact.number("pattern"))].kind
        for fact in long.facts
        if fact.part == "Flute" and fact.kind is FactKind.PATTERN
    ]
    assert set(chosen) >= {PatternKind.REPEAT, PatternKind.UNISON}
    assert chosen.count(PatternKind.RHYTHM) <= 2


def test_random_lines_hold_no_more_than_chance():
    """100 lines of 96 equal notes over 7 steps.

    A pair of places agrees in six notes with chance 7**-6: with about 4,000 pairs, 3.4 repeats in 100
    lines, and more than 10 once in a thousand runs. Two legs of five notes ask for five equal
    differences; two of them agree with chance 0.13, so 0.13**4 at 86 places: 2.5
    in 100 lines, longer legs adding little.
    """
    chance = np.random.default_rng(11)
    repeats = sequences = 0
    for _ in range(100):
        steps = chance.integers(0, 7, size=96)
        music = " | ".join(" ".join(f"{'CDEFGAB'[s]}4" for s in bar) for bar in steps.reshape(24, 4))
        found = kinds(patterns_of(make_part(music)).by_part[0])
        repeats += found.count("repeat")
        sequences += found.count("sequence")
    assert repeats <= 10
    assert sequences <= 6


def test_every_repeat_is_in_the_notes():
    chance = np.random.default_rng(5)
    steps = chance.integers(0, 3, size=400)
    music = " | ".join(" ".join(f"{'CDE'[s]}4" for s in bar) for bar in steps.reshape(100, 4))
    part = make_part(music)
    names = [str(note.pitch) for note in part.notes]
    found = [p for p in patterns_of(part).by_part[0] if p.kind == "repeat" and not p.steps]
    assert found
    for pattern in found:
        shifts = range(1 if pattern.fills_bars else 4)
        options = [
            {tuple(names[4 * first + shift : 4 * first + shift + pattern.notes]) for shift in shifts}
            for first, _ in pattern.places
        ]
        assert set.intersection(*options)


def test_percussion_and_empty_parts_have_no_patterns():
    assert patterns_of(make_part("r*4 | r*4")).by_part == ((),)
