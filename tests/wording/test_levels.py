"""Levels in words."""

from dataclasses import replace

import pytest

from planner.core.difficulty import DIMENSIONS, LevelCorrection
from planner.core.profile import Contribution
from planner.levels.adjustment import Adjustment, fit_adjustment
from planner.levels.refit import WeightChange, refit
from planner.levels.rows import Cell, HeldBy, LevelRow
from planner.wording.director import levels

RANGE = Cell("range", 2.5, 2.5, 0.4, Contribution("range", 2.5, 0.2), is_own=False)
EMPTY = (None,) * len(DIMENSIONS)
ROW = LevelRow("Flute", "flute", 0.9, 0.5, 0.9, False, EMPTY, (RANGE,), 0.5, 0.9)


def test_what_makes_a_level():
    assert levels.makes_text(ROW) == "It adds up to 0.9: 0.5 to start, range 0.4."
    own = replace(ROW, level=2.0, is_own=True)
    assert levels.makes_text(own) == (
        "Your level is 2.0; by its dimensions it would be 0.9: 0.5 to start, range 0.4."
    )
    more = replace(ROW, level=1.1, total=1.1)
    assert levels.makes_text(more) == "It adds up to 1.1: 0.5 to start, range 0.4, the rest 0.2."
    assert levels.makes_text(replace(ROW, level=None)) == "Its level is not known."


@pytest.mark.parametrize(
    ("name", "held", "sentence"),
    [
        ("Flute", HeldBy.END, "The scale ends at 1.5."),
        ("Flute", HeldBy.PIECE, "It moves along with your level of the piece, to 1.5."),
        ("", HeldBy.PUBLISHED, "Weighed with the published grade 2, it stands at 1.5."),
    ],
)
def test_what_holds_a_level_elsewhere_than_its_sum(name, held, sentence):
    row = replace(ROW, name=name, level=1.5, held=held, published_grade=2.0)
    assert levels.makes_text(row) == f"It adds up to 0.9: 0.5 to start, range 0.4. {sentence}"


def test_a_part_that_follows_a_published_grade_says_so():
    row = replace(ROW, level=1.5, held=HeldBy.PUBLISHED)
    assert levels.held_text(row) == "It moves along with the published grade of the piece, to 1.5."


def test_the_table_marks_what_the_director_set():
    cells = tuple(
        Cell(name, 1.5, 1.5, 0.1, Contribution(name, 1.5, 0.1), is_own=name == "key")
        if name != "meter"
        else None
        for name in DIMENSIONS
    )
    head, whole, oboe = levels.table_lines(
        replace(ROW, name="", level=None), [replace(ROW, name="Oboe", level=3.0, is_own=True, cells=cells)]
    )
    assert head.split() == ["level", *levels.SHORT.values()]
    assert whole.split()[:3] == ["whole", "piece", "–"]
    assert oboe.split() == ["Oboe", "3.0*", "1.5", "–", "1.5*", *["1.5"] * 5]


def test_what_a_correction_changed():
    assert levels.correction_lines("Air", 2.0, fit_adjustment(()), []) == [
        "Air stands at level 2.0.",
        "All levels are as the study says.",
    ]
    moved = replace(refit(()), offset=0.125, changes=(WeightChange("key", 0.1, 0.15),))
    others = [(f"Piece {n}", 1.0, 1.25) for n in range(9)]
    assert levels.correction_lines("Air", 2.0, Adjustment(moved, (("range", -0.5),), 2), others) == [
        "Air stands at level 2.0.",
        "Learned from 2 corrections:",
        "Range counts 0.50 levels lower.",
        "The weight of key went from 0.10 to 0.15.",
        "Every sum is moved by +0.12.",
        "9 other pieces moved:",
        *(f"  Piece {n}: 1.00 to 1.25" for n in range(8)),
        "  and 1 more, by less.",
    ]


def test_corrections_and_instruments_are_named():
    assert levels.correction_text(LevelCorrection(1, 2.0)) == "Whole piece: 2.0"
    assert levels.correction_text(LevelCorrection(1, 2.0, "Horn", "key")) == "Horn, key: 2.0"
    assert levels.instrument_text(ROW) == "Flute"
    assert levels.instrument_text(replace(ROW, instrument="", instrument_is_own=True)) == (
        "not known (your word)"
    )


def test_a_sections_move_and_a_move_too_small_to_see():
    assert levels.section_moved("Flute", 2.0, 1.7, 0.3) == ("Flute moves down from level 2.0 to 1.7 ± 0.3.")
    assert levels.section_moved("Flute", 2.0, 2.04, 0.3) == "Flute stays at level 2.0 ± 0.3."
