"""The marks of the pages against ballots counted one by one, and against a published scale at each border."""

from decimal import Decimal
from fractions import Fraction
from random import Random

import pytest

from planner.core.mark_scheme import MarkScheme, ScaleStep
from planner.marks.day_marks import LeftOut, Reading, Source, section_day
from planner.services.day.marks import marks_of_sheet
from planner.wording.director.marks import shown_mark
from tests.marks.gradebooks import (
    FIRST,
    player_by_hand,
    random_gradebook,
    section_by_hand,
    term_by_hand,
)


def test_500_random_gradebooks_come_out_as_ballots_counted_one_by_one():
    rng, compared = Random(20261129), 0
    for number in range(500):
        sheet = random_gradebook(rng, forms=number % 2 == 0)
        found = marks_of_sheet(sheet)
        for row in found.sections:
            marks = {day.on: section_by_hand(sheet, row.id, day) for day in sheet.days}
            assert {e.day.on: e.day.mark for e in row.term.days} == {on: marks[on] for on in found.days}
            assert row.term.mark == term_by_hand(sheet, marks), (number, row.name)
            compared += row.term.mark is not None
        for row in found.players:
            marks = {day.on: player_by_hand(sheet, row.id, day) for day in sheet.days}
            assert all(marks[each.day.on] == each.day.mark for each in row.term.days), (number, row.name)
            assert row.term.mark == term_by_hand(sheet, marks), (number, row.name)
            compared += row.term.mark is not None
    assert compared > 1000


def test_every_part_of_a_mark_is_named_and_those_that_count_make_it():
    rng, seen, left = Random(7), set(), set()
    for _ in range(100):
        for row in marks_of_sheet(random_gradebook(rng)).players:
            for each in row.term.days:
                parts = each.day.parts
                counted = [part for part in parts if part.left_out is None]
                weight = sum(Fraction(part.weight) for part in counted)
                total = sum(part.mark * Fraction(part.weight) for part in counted)
                assert each.day.mark == (total / weight if weight else None)
                seen |= {part.source for part in parts}
                left |= {part.left_out for part in parts}
    assert seen == {Source.SECTION, Source.OWN, Source.ATTENDANCE}
    assert left == {None, *LeftOut}


RATINGS = (("0", "Fair"), ("50", "Good"), ("70", "Excellent"), ("85", "Superior"))
"""Total of a published 100-point concert form in three captions: 0–49.9, 50–69.9, 70–84.9, 85–100.

Source: https://fdocuments.us/document/school-class-ensemble-date-adjudicator-time-phrasing-expression-dynamics.html
"""


@pytest.mark.parametrize(("total", "rating"), [
    ("0", "Fair"), ("49.9", "Fair"), ("50", "Good"), ("69.9", "Good"), ("70", "Excellent"),
    ("84.9", "Excellent"), ("85", "Superior"), ("100", "Superior"),
])  # fmt: skip
def test_a_published_scoring_table_comes_out_at_each_border(total, rating):
    scale = tuple(ScaleStep(Decimal(least) / 100, Decimal(least), word) for least, word in RATINGS)
    day = section_day(MarkScheme(scale=scale), FIRST, [Reading("Rondo", Decimal(total) / 100)])
    assert next(step.word for step in scale if step.mark == day.mark) == rating


def test_marks_are_shown_to_a_tenth_with_halves_upward():
    assert [shown_mark(Fraction(n, 100)) for n in (8325, 8324, 8335, 10000, 0, 5)] == [
        "83.3", "83.2", "83.4", "100.0", "0.0", "0.1",
    ]  # fmt: skip
