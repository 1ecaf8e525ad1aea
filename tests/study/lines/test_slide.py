"""Positions of the trombone, against the charts of method books (common practice, from memory)."""

import numpy as np
import pytest

from planner.core.pitch import Pitch
from planner.study.lines.slide import SLIDE_MOVE, positions_of, slide_moves, slide_path


def midi(names):
    return np.array([int(Pitch.parse(name).midi) for name in names.split()])


# A tenor trombone without attachment; the first number is the usual position.
CHART = {
    "E2": [7], "F2": [6], "F#2": [5], "G2": [4], "Ab2": [3], "A2": [2], "Bb2": [1], "B2": [7], "C3": [6],
    "Db3": [5], "D3": [4], "Eb3": [3], "E3": [2, 7], "F3": [1, 6], "F#3": [5], "G3": [4], "Ab3": [3, 7],
    "A3": [2, 6], "Bb3": [1, 5], "B3": [4, 7], "C4": [3, 6], "Db4": [2, 5], "D4": [1, 4], "F4": [1, 4, 6],
    "Bb4": [1, 3, 5],
}  # fmt: skip


@pytest.mark.parametrize(("note", "chart"), CHART.items())
def test_each_note_lies_where_the_chart_has_it(note, chart):
    found = sorted(place.position for place in positions_of(int(midi(note)[0])))
    assert found[0] == chart[0]
    assert set(chart) <= set(found), "alternates"


def test_notes_below_seventh_position_need_the_attachment():
    assert positions_of(int(midi("Eb2")[0])) == ()
    with_attachment = {
        name: [place.position for place in positions_of(int(midi(name)[0]), attachment=True)]
        for name in ("F2", "Eb2", "D2", "Db2", "C2", "B1")
    }
    # B1 is out of reach on a single attachment; F2 lies in sixth, or in first with it.
    assert with_attachment == {"F2": [6, 1], "Eb2": [3], "D2": [4], "Db2": [5], "C2": [6], "B1": []}


def test_the_longer_slide_of_the_attachment_asks_for_positions_farther_out():
    """By charts second with the attachment is a flat second, and low C a long seventh of the plain slide."""
    [low_b] = [p for p in positions_of(int(midi("B2")[0]), attachment=True) if p.with_attachment]
    [low_c] = positions_of(int(midi("C2")[0]), attachment=True)
    assert (low_b.position, round(low_b.out, 1)) == (2, 2.3)
    assert 7.0 < low_c.out < 7.5


def moves(music, group="trombone", near=None, **kwargs):
    notes = midi(music)
    every = np.ones(len(notes) - 1, dtype=bool) if near is None else np.array(near)
    return slide_moves(group, notes, every, **kwargs).tolist()


def test_b_flat_to_b_natural_low_is_the_longest_way_and_the_attachment_shortens_it():
    assert moves("Bb2 B2 Bb2") == [6, 6]
    assert max(moves("Bb2 B2 Bb2", attachment=True)) < SLIDE_MOVE
    assert max(moves("Bb2 B2 Bb2", "trombone-bass")) < SLIDE_MOVE, "a bass trombone has one"


def test_an_alternate_is_taken_where_it_saves_a_long_move_and_not_otherwise():
    """B♭3 is fifth beside C3 in sixth, and first beside D4."""
    beside_c = slide_path("trombone", midi("C3 Bb3 C3"), np.ones(2, dtype=bool))
    assert [place.position for place in beside_c] == [6, 5, 6]
    beside_d = slide_path("trombone", midi("D4 Bb3 D4"), np.ones(2, dtype=bool))
    assert [place.position for place in beside_d] == [1, 1, 1]


def test_a_rest_gives_time_to_move():
    assert moves("Bb2 B2", near=[False]) == [6]
    [first, second] = slide_path("trombone", midi("C3 Bb3"), np.array([False]))
    assert (first.position, second.position) == (6, 1)


def test_treble_clef_reads_a_ninth_above():
    assert moves("C4 Db4 C4", "trombone-treble") == moves("Bb2 B2 Bb2")


def test_other_instruments_have_no_slide():
    assert moves("C4 D4", "trumpet-bflat") == [0]
