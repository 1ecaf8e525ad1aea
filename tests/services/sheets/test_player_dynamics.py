"""The dynamics line holds every mark, in rows."""

from dataclasses import replace

from planner.core.profile import DynamicUse
from planner.services.sheets.player.dynamics import MOST_MARKS, MOST_ROWS, dynamic_rows
from planner.study.study import study
from tests.builders import make_part, make_score

PROFILE = study(make_score(make_part(" | ".join(["C4 D4 E4 F4"] * 60))))


def rows_of(*uses):
    return dynamic_rows(PROFILE, replace(PROFILE.parts[0], dynamics=uses))


def test_a_few_marks_stand_in_one_row_as_long_as_the_piece():
    uses = (DynamicUse(0, "p"), DynamicUse(0, "p"), DynamicUse(30, "crescendo", 44), DynamicUse(45, "f"))
    [row] = rows_of(*uses)
    assert [(each.mark, each.bar) for each in row] == [
        ("p", "1"),
        ("p", "1"),
        ("crescendo", "31"),
        ("f", "46"),
    ]
    assert [(each.start, each.end) for each in row[2:]] == [(0.5, 0.75), (0.75, 46 / 60)]


def test_many_marks_stand_in_rows_none_is_left_out_and_each_row_begins_with_its_first():
    uses = tuple(DynamicUse(at, "f" if at % 2 else "p") for at in range(2 * MOST_MARKS + 1))
    rows = rows_of(*uses, DynamicUse(59, "crescendo", 70))
    assert [len(row) for row in rows] == [10, 10, 10]
    assert [row[0].start for row in rows] == [0.0, 0.0, 0.0]
    assert [each.bar for row in rows for each in row] == [*map(str, range(1, 30)), "60"]
    assert rows[-1][-1].end == 1.0, "a hairpin beyond the end of its row"


def test_a_step_from_what_was_before_keeps_its_words():
    [row] = rows_of(DynamicUse(0, "p"), DynamicUse(40, "più f"), DynamicUse(45, "f"))
    assert [each.mark for each in row] == ["p", "più f", "f"]


def test_a_part_without_marks_or_with_too_many_to_draw_has_no_line():
    assert rows_of() == ()
    assert rows_of(*(DynamicUse(at % 60, "f") for at in range(MOST_ROWS * MOST_MARKS + 1))) == ()
