"""What a part must be held against: who attacks with whom, and the lines that it is measured on."""

from dataclasses import replace

import numpy as np
import pytest

from planner.study.difficulty.rhythm_dimensions import bar_rhythms
from planner.study.difficulty.texture import measure_texture
from planner.study.notes.attack_lines import attack_lines_of, most_in_window
from planner.study.notes.columns import TICKS_PER_QUARTER, columns_of
from tests.builders import make_part, make_score


def unshared(*bars, group=None):
    parts = [make_part(music, name=f"Part {n}") for n, music in enumerate(bars)]
    columns = columns_of(make_score(*parts))
    beats = np.arange(0, columns.total, TICKS_PER_QUARTER)
    found = measure_texture(columns, attack_lines_of(columns), beats, group or (True,) * len(parts))
    return found.unshared


def test_lines_in_one_rhythm_are_never_alone():
    assert unshared("C5 D5 E5*2", "C4 D4 E4*2", "G3 A3 G3*2", "C3 D3 C3*2") == (0.0,) * 4


def test_a_line_that_moves_while_others_hold_is_alone_and_they_are_parted_from_it():
    found = unshared("C5*4", "C4 D4 E4 F4", "G3*4", "E3*4")
    # The first beat is shared by all; in three more one line moves, and each that holds misses one of three.
    assert found[1] == 0.75
    for holding in (0, 2, 3):
        assert found[holding] == pytest.approx(0.75 * (1 / 3) ** 0.5)


def test_where_nobody_else_ever_sounds_there_is_nothing_to_be_independent_from():
    assert unshared("C5 D5 E5 F5") == (None,)
    assert unshared("C5 D5 E5 F5", "r*4") == (None, None)


def test_three_others_are_company_enough_in_a_large_group():
    together = ["C5 D5 E5 F5", "E5 F5 G5 A5", "G5 A5 B5 C6", "A4 B4 C5 D5"]
    assert unshared(*together, *["C4*4"] * 6)[0] == 0.0


def test_length_does_not_count():
    move, hold = "C5 D5 E5 F5", "C4*4"
    assert unshared(*(" | ".join([m] * 4) for m in (move, hold))) == unshared(
        *(" | ".join([m] * 40) for m in (move, hold))
    )


def test_one_beat_counts_once_however_often_it_is_struck():
    two, four = "C5*1/2 D5*1/2 G5*3", "C5*1/4 D5*1/4 E5*1/4 F5*1/4 G5*3"
    assert unshared(two, "C4*4")[0] == unshared(four, "C4*4")[0] > 0.0


def test_a_doubling_changes_nothing_for_anybody():
    lines = ("C5 D5 E5*2", "C4*2 E4*2", "G3*4")
    plain = unshared(*lines)
    for doubled in ("C5 D5 E5*2", "C4 D4 E4*2", "G3*4"):
        assert unshared(*lines, doubled)[:3] == plain


def test_whoever_accompanies_is_nobody_to_be_held_against():
    song = ("C5*2 D5*2", "C4*1/2 E4*1/2 G4*1/2 E4*1/2 C4*1/2 E4*1/2 G4*1/2 E4*1/2")
    voice, piano = unshared(*song, group=(True, False))
    assert voice is None
    assert piano is not None


def test_bars_with_equal_attacks_have_equal_numbers_and_others_not():
    columns = columns_of(make_score(make_part("C5 D5 E5*2 | G5 F5 C5*2 | C5*2 D5 E5 | r*4")))
    codes = bar_rhythms(columns, attack_lines_of(columns)[0][0])
    assert codes[0] == codes[1] != codes[2]
    assert codes[3] == 0


def test_a_keyboard_part_has_a_strand_for_each_staff():
    part = make_part("C5 D5 E5 F5")
    notes = (*part.notes, *(replace(n, staff=2) for n in make_part("C3*4").notes))
    columns = columns_of(make_score(replace(part, staves=2, notes=notes)))
    upper, lower = attack_lines_of(columns)[0]
    assert (len(upper), len(lower)) == (4, 1)


def test_chords_are_one_attack_with_a_top_and_a_bottom():
    columns = columns_of(make_score(make_part("C4+E4+G4*2 C5*2")))
    (line,) = attack_lines_of(columns)[0]
    assert line.heads.tolist() == [3, 1]
    assert (line.top[0], line.bottom[0]) == (67.0, 60.0)


def test_ties_lengthen_an_attack_to_its_last_head():
    columns = columns_of(make_score(make_part("C5*4~ | C5*2 D5*2")))
    (line,) = attack_lines_of(columns)[0]
    assert (line.end - line.onset).tolist() == [6 * 10080, 2 * 10080]


def test_windows_wider_than_the_piece_take_all():
    assert most_in_window(np.array([1.0, 2.0]), 16) == 3.0
    assert most_in_window(np.array([]), 16) == 0.0
