import itertools
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.core.fact import FactKind
from planner.core.pitch import Transposition
from planner.study.notes.columns import columns_of
from planner.study.tonal.cadences import cadence_kind
from planner.study.tonal.chords import CHORDS, N_CHORDS
from planner.study.tonal.decode import Chain, likeliest_chords, sums_of
from planner.study.tonal.harmony import find_harmony
from planner.study.tonal.keys import find_keys
from planner.study.tonal.likelihood import WEIGHT_SHAPES, tables_of
from tests.builders import make_part, make_score

TUNE = make_part("E5 F5 D5*2 | E5*4", name="Flute")
INNER = make_part("G4 A4 G4*2 | G4*4", name="Clarinet")
LOW = make_part("C5 C5 B4*2 | C5*4", name="Oboe")
BASS = make_part("C3 F3 G3*2 | C3*4", name="Tuba", clef=("F", 4))


def study(*parts, **kwargs):
    columns = columns_of(make_score(*parts, **kwargs))
    return find_harmony(columns, find_keys(columns))


def test_four_chords_are_named_with_root_and_function():
    spans = study(TUNE, INNER, LOW, BASS).spans
    assert [(s.measure, s.offset_quarters, s.root, s.function) for s in spans] == [
        (0, 0.0, "C", "tonic"),
        (0, 1.0, "F", "predominant"),
        (0, 2.0, "G", "dominant"),
        (1, 0.0, "C", "tonic"),
    ]


def test_a_full_close_is_found_where_the_tonic_arrives():
    cadences = study(TUNE, INNER, LOW, BASS).cadences
    assert [(c.measure, c.offset_quarters, c.kind, c.key) for c in cadences] == [
        (1, 0.0, "authentic", "C major")
    ]


def members(harmony):
    return {f.part: (f.notes, f.terms) for f in harmony.facts if f.kind == FactKind.CHORD_MEMBER}


def test_the_close_is_a_fact_with_what_each_part_holds():
    harmony = study(TUNE, INNER, LOW, BASS)
    [close] = [f for f in harmony.facts if f.kind == FactKind.CADENCE]
    assert (close.places, close.keys, close.terms) == (((1, 1),), ("C major",), ("authentic",))
    assert members(harmony) == {
        "Flute": (("E",), ("third",)),
        "Clarinet": (("G",), ("fifth",)),
        "Oboe": (("C",), ("root",)),
        "Tuba": (("C",), ("root",)),
    }


def test_what_a_transposing_part_holds_is_written_for_it():
    clarinet = make_part("A4 B4 A4*2 | A4*4", name="Clarinet", transposition=Transposition(-1, -2), fifths=2)
    assert members(study(TUNE, clarinet, LOW, BASS))["Clarinet"] == (("A",), ("fifth",))


def test_a_planted_wrong_note_is_not_called_a_chord_member():
    stranger = make_part("G4 A4 G4*2 | D4*4", name="Clarinet")
    assert "Clarinet" not in members(study(TUNE, stranger, LOW, BASS))


PEDAL = "C5+E5+G5*4 | B4+D5+F5+G5*4 | C5+E5+G5*4 | B4+D5+G5*4 | C5+E5+G5*4"


def pedals(*parts):
    return [f for f in study(*parts).facts if f.kind in (FactKind.PEDAL_POINT, FactKind.PEDAL_HELD)]


def test_a_pedal_point_is_found_with_who_holds_it():
    low = make_part("C2*4 | C2*4 | C2*4 | C2*4 | C2*4", name="Bass", clef=("F", 4))
    whole, held = pedals(make_part(PEDAL, name="Organ"), low)
    assert (whole.kind, whole.places, whole.notes) == (FactKind.PEDAL_POINT, ((0, 4),), ("C",))
    assert (whole.part, whole.parts) == ("", ("Bass",))
    assert (held.kind, held.part, held.places) == (FactKind.PEDAL_HELD, "Bass", ((0, 4),))


def test_a_pedal_note_is_written_for_who_holds_it():
    low = make_part(
        "D3*4 | D3*4 | D3*4 | D3*4 | D3*4", name="Bass", fifths=2, transposition=Transposition(-1, -2, -1)
    )
    whole, held = pedals(make_part(PEDAL, name="Organ"), low)
    assert (whole.notes, held.notes) == (("C",), ("D",))


def test_one_long_chord_is_no_pedal_point():
    upper = make_part("C5+E5+G5*4 | C5+E5+G5*4 | C5+E5+G5*4", name="Organ")
    assert not pedals(upper, make_part("C2*4 | C2*4 | C2*4", name="Bass", clef=("F", 4)))


def chord(figure, minor=False):
    return next(c for c in CHORDS[minor] if c.figure == figure)


@pytest.mark.parametrize(
    ("before", "last", "kind"),
    [
        ("V7", "I", "authentic"),
        ("IV", "I", "plagal"),
        ("ii", "V", "half"),
        ("V", "vi", "deceptive"),
        ("vi", "I", None),
    ],
)
def test_the_kind_of_a_cadence_follows_from_its_last_two_chords(before, last, kind):
    assert cadence_kind(chord(before), chord(before).root, chord(last)) == kind


def test_the_grouping_of_functions_is_the_published_one():
    groups = {c.figure: c.function for row in CHORDS for c in row}
    assert groups["I"] == groups["i"] == "tonic"
    assert {groups[f] for f in ("ii", "IV", "iv", "bII", "Ger", "iio")} == {"predominant"}
    assert {groups[f] for f in ("V", "V7", "viio", "viio7", "I64")} == {"dominant"}
    assert groups["vi"] == groups["iii"] == groups["VI"] == "other"


def test_silence_and_emptiness_give_no_harmony():
    assert study(make_part("r*4 | r*4")).spans == ()
    assert study().spans == ()


def test_the_sums_over_all_paths_are_those_of_trying_every_path():
    """Against trying every path, on two major and two minor keys, two chords and four slices."""
    chance = np.random.default_rng(3)
    tables = tables_of({name: chance.normal(size=shape) for name, shape in WEIGHT_SHAPES.items()})
    keys, chords = np.array([[0, 3], [15, 20]]), [0, 5]
    score = np.full((4, 4, N_CHORDS), -1e3)
    score[:, :, chords] = chance.normal(size=(4, 4, len(chords)))
    weight = np.array([3, 0, 1, 5])
    sums = sums_of(Chain(weight, keys, score), tables)

    def value(states):
        mode, names = [key // 2 for key, _ in states], [int(keys.reshape(-1)[key]) for key, _ in states]
        total = np.log(tables.entry[mode[0], states[0][1]]) + score[0][states[0]]
        for at, ((key, old), (after, new)) in enumerate(itertools.pairwise(states), start=1):
            if key == after:
                total += np.log(tables.change[weight[at], mode[at], old, new])
            else:
                total += np.log(tables.leave[mode[at - 1], old] * tables.entry[mode[at], new])
                total += np.log(tables.modulation[weight[at], names[at - 1], names[at]])
            total += score[at][states[at]]
        return float(np.exp(total))

    options = list(itertools.product([(key, at) for key in range(4) for at in chords], repeat=4))
    values = [value(option) for option in options]
    assert sums.total == pytest.approx(np.log(sum(values)))
    for at, key, chord in ((0, 0, 0), (1, 2, 5), (2, 1, 0), (3, 3, 5)):
        with_it = sum(v for option, v in zip(options, values, strict=True) if option[at] == (key, chord))
        assert sums.share[at, key, chord] == pytest.approx(with_it / sum(values))


def test_the_chord_is_the_likeliest_of_the_likeliest_function():
    share = np.zeros((1, N_CHORDS))
    figures = [c.figure for c in CHORDS[0]]
    for figure, amount in (("I", 0.4), ("V", 0.3), ("V7", 0.25)):
        share[0, figures.index(figure)] = amount
    assert figures[likeliest_chords(share, np.array([7]))[0]] == "V"


NOTE = st.sampled_from(["C4", "D4", "Eb4", "E4", "F4", "F#4", "G4", "Ab4", "A4", "Bb4", "B4", "C5", "r"])


@settings(max_examples=25, deadline=None)
@given(st.lists(st.lists(NOTE, min_size=4, max_size=4), min_size=1, max_size=6))
def test_any_music_gets_chords_in_order_and_inside_the_score(bars):
    part = make_part(" | ".join(" ".join(bar) for bar in bars))
    columns = columns_of(make_score(part))
    keys = find_keys(columns)
    found = find_harmony(columns, keys)
    places = [(s.measure, s.offset_quarters) for s in found.spans]
    assert places == sorted(set(places))
    assert all(0 <= measure < len(bars) and 0 <= offset < 4 for measure, offset in places)
    assert all(Fraction(c.offset_quarters) < 4 for c in found.cadences)
