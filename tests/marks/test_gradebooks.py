"""The marks of the pages against ballots counted one by one, and against a published scale at each border."""

from decimal import Decimal
from fractions import Fraction
from random import Random

import pytest

from planner.core.mark_scheme import SCALES, MarkScheme, ScaleStep
from planner.marks.day_marks import (
    LeftOut,
    Reading,
    Source,
    mark_of_share,
    section_day,
    share_that_counts,
    word_of_mark,
)
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


def test_where_nothing_that_is_there_weighs_anything_the_first_reading_counts_alone():
    scheme = MarkScheme(first=Decimal(0), second=Decimal(1), form=Decimal(1))
    assert share_that_counts(scheme, Reading("Rondo", Decimal("0.8"))) == Fraction(4, 5)
    assert share_that_counts(MarkScheme(), Reading("Rondo", None, form=Fraction(1, 2))) is None
    assert share_that_counts(scheme, Reading("Rondo", None, form=Fraction(1, 2))) == Fraction(1, 2)


@pytest.mark.parametrize(("mark", "word"), [
    (Fraction(499, 10), "Poor"), (Fraction(50), "Fine"), (Fraction(51), "Fine"), (Fraction(90), "Best"),
    (Fraction(89), "Fine"), (Fraction(9), ""),
])  # fmt: skip
def test_a_mark_has_the_word_of_the_highest_step_it_reaches(mark, word):
    steps = (("0", "50", "Good"), ("0.2", "50", "Fine"), ("0.5", "90", "Best"), ("0.8", "10", "Poor"))
    scale = tuple(ScaleStep(Decimal(share), Decimal(least), name) for share, least, name in steps)
    assert word_of_mark(scale, mark) == word


def test_pieces_of_a_day_count_alike():
    day = section_day(MarkScheme(), FIRST, [Reading("Rondo", Decimal(1)), Reading("March", Decimal("0.5"))])
    assert [part.weight for part in day.parts] == [1, 1]
    assert day.mark == Fraction(165, 2)


@pytest.mark.parametrize(("share", "mark"), [
    ("0.1", None), ("0.2", "50"), ("0.35", "60"), ("0.5", "70"), ("0.65", "55"), ("0.8", "40"), ("1", "40"),
])  # fmt: skip
def test_a_mark_that_rises_evenly_is_exact_between_steps(share, mark):
    scale = tuple(
        ScaleStep(Decimal(at), Decimal(to), "") for at, to in (("0.5", 70), ("0.8", 40), ("0.2", 50))
    )
    found = mark_of_share(MarkScheme(scale=scale, even=True), Fraction(share))
    assert found == (None if mark is None else Fraction(mark))
    assert mark_of_share(MarkScheme(scale=scale), Fraction("0.79")) == 70


@pytest.mark.parametrize(("name", "share", "mark", "word"), [
    ("letters", "0.599", "59.9", "F"), ("letters", "0.6", "60", "D"), ("letters", "0.7", "70", "C"),
    ("letters", "0.8", "80", "B"), ("letters", "0.899", "89.9", "B"), ("letters", "0.9", "90", "A"),
    ("letters", "1", "100", "A"), ("points", "0.875", "87.5", ""),
    ("standards", "0.79", "75", "Getting close"),
    ("standards", "0.8", "88", "Meets the standard"), ("standards", "1", "97", "Beyond the standard"),
])  # fmt: skip
def test_scales_to_begin_from_at_their_borders(name, share, mark, word):
    steps, is_even = SCALES[name]
    found = mark_of_share(MarkScheme(scale=steps, even=is_even), Fraction(share))
    assert found == Fraction(mark)
    assert word_of_mark(steps, found) == word
