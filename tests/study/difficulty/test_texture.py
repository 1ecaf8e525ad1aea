"""Who moves with whom: loneliness, rhythms beside the tune, and the lines they are measured on."""

from dataclasses import replace

import numpy as np

from planner.study.difficulty.texture import bar_rhythms, measure_texture
from planner.study.notes.attack_lines import attack_lines_of, most_in_window
from planner.study.notes.columns import columns_of
from tests.builders import make_part, make_score


def texture_of(*bars, **kwargs):
    parts = [make_part(music, name=f"Part {n}") for n, music in enumerate(bars)]
    columns = columns_of(make_score(*parts, **kwargs))
    return measure_texture(columns, attack_lines_of(columns))


def test_lines_in_one_rhythm_are_never_alone():
    found = texture_of("C5 D5 E5*2", "C4 D4 E4*2", "G3 A3 G3*2", "C3 D3 C3*2")
    assert found.alone == (0.0,) * 4
    assert found.beside == 0


def test_a_line_that_moves_while_three_hold_is_alone_with_each_of_its_notes():
    found = texture_of("C5*4", "C4 D4 E4 F4", "G3*4", "C3*4")
    # The first note is shared by all; three more are shared by nobody.
    assert found.alone[1] == 3.0
    assert found.unshared[1] == 0.75
    assert found.alone[0] == 0.0
    assert found.beside == 1


def test_a_solo_is_not_called_independent():
    assert texture_of("C5 D5 E5 F5").alone == (0.0,)


def test_resting_lines_are_not_company():
    found = texture_of("C5 D5 E5 F5", "r*4")
    assert found.alone == (0.0, 0.0)


def test_three_others_are_company_enough_in_a_large_group():
    together = ["C5 D5 E5 F5"] * 4
    assert texture_of(*together, *["C4*4"] * 6).alone[0] == 0.0


def test_partings_are_counted_in_a_window_not_over_the_whole_piece():
    move, hold = "C5 D5 E5 F5", "C4*4"
    short = texture_of(" | ".join([move] * 16), " | ".join([hold] * 16))
    long = texture_of(" | ".join([move] * 64), " | ".join([hold] * 64))
    assert short.alone == long.alone


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
