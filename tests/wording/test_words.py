"""Words every sentence shares: lists, counts, shares, dates."""

import re
from datetime import date

import pytest

from planner.core.profile import UnnumberedBar
from planner.wording import words


def test_bars_are_named_as_printed_and_many_are_counted():
    numbers = ("0", "1", "2", "2a", "3")
    assert words.bar_list(numbers, (0,)) == "the pickup"
    assert words.bar_list(numbers, (0, 3, 3)) == "the pickup and the bar after 2"
    assert words.bar_list(numbers, range(5), most=3) == "the pickup and bars 1 and 2, and 2 more"
    assert words.bar_list(numbers, (1, 2, 4), most=2) == "bars 1, 2 and 3", "one alone is named"
    assert words.bars((), 4, 6) == "bars 5–7"


SPLIT = words.BarNames(
    ("0", "1", "2", "X1", "3", "3", "X2", "4", "X3", "X4"),
    (
        UnnumberedBar(0, "pickup"),
        UnnumberedBar(3, "upbeat", after_double_bar=True),
        UnnumberedBar(5, "rest"),
        UnnumberedBar(6, "extra", after_double_bar=True),
        UnnumberedBar(8, "extra"),
        UnnumberedBar(9, "extra"),
    ),
)


@pytest.mark.parametrize(
    ("first", "last", "said"),
    [
        (0, 0, "the pickup"),
        (0, 1, "bar 1 with the pickup"),
        (0, 2, "bars 1–2 with the pickup"),
        (1, 2, "bars 1–2"),
        (1, 3, "bars 1–2"),
        (3, 3, "the upbeat to 3"),
        (3, 4, "bar 3 with the upbeat"),
        (3, 7, "bars 3–4 with the upbeat"),
        (4, 5, "bar 3"),
        (5, 5, "the rest of bar 3"),
        (5, 7, "bars 3–4"),
        (6, 6, "the bar after the double bar at 3"),
        (6, 7, "the bar after the double bar at 3 to bar 4"),
        (7, 9, "bar 4 and the second bar after 4"),
        (8, 9, "the bar after 4 to the second bar after 4"),
    ],
)
def test_bars_without_a_number_are_found_by_those_around_them(first, last, said):
    assert words.bars(SPLIT, first, last) == said


def test_no_bar_of_a_split_score_is_named_by_what_is_not_on_the_page():
    said = [words.bars(SPLIT, a, b) for a in range(10) for b in range(a, 10)]
    said += [words.bar_list(SPLIT, range(a, 10), most=3) for a in range(10)]
    said += [words.closing_bar(SPLIT, at) for at in range(10)]
    assert not [
        each for each in said if "X" in each or re.search(r"\b0\b", each) or re.search(r"(\d+)–\1\b", each)
    ]


def test_ends_of_a_passage_are_numbers_that_are_printed():
    assert words.printed_ends(SPLIT, 0, 3) == ("1", "2")
    assert words.printed_ends(SPLIT, 8, 9) == ("9", "10")


TWICE = words.BarNames(
    ("0", "1", "2", "3", "4", "0", "1", "2", "X1", "3", "2", "3", "4", "5"),
    (UnnumberedBar(0, "pickup"), UnnumberedBar(5, "upbeat"), UnnumberedBar(8, "extra")),
)


@pytest.mark.parametrize(
    ("first", "last", "said"),
    [
        (1, 1, "bar 1 of the first numbering"),
        (0, 3, "bars 1–3 of the first numbering with the pickup"),
        (6, 9, "bars 1–3 of the second numbering"),
        (5, 5, "the upbeat to 1 of the second numbering"),
        (8, 8, "the bar after 2 of the second numbering"),
        (7, 8, "bar 2 of the second numbering and the bar after 2 of the second numbering"),
        (4, 7, "bar 4 of the first numbering to bar 2 of the second numbering"),
        (12, 13, "bars 4–5 of the third numbering"),
        (13, 13, "bar 5"),
    ],
)
def test_a_bar_whose_number_stands_again_is_named_with_its_numbering(first, last, said):
    assert words.bars(TWICE, first, last) == said


def test_bars_of_one_numbering_are_listed_together():
    assert words.bar_list(TWICE, (2, 3, 7, 13)) == (
        "bars 2 and 3 of the first numbering, bar 2 of the second numbering and bar 5"
    )
    assert words.bar_list(TWICE, (2, 3, 7), most=2) == "bars 2 and 3 of the first numbering, and 1 more"


def test_no_two_bars_have_one_name():
    names = [words.bar_number(TWICE, at) for at in range(len(TWICE))]
    assert len(set(names)) == len(names)


def test_a_number_that_stands_once_is_plain_also_after_a_second_ending():
    numbers = ("1", "2", "3", "2", "3", "4", "5")
    assert words.bars(numbers, 3, 4) == "bars 2–3 of the second numbering"
    assert words.bars(numbers, 5) == "bar 4"
    assert words.bars(numbers, 0, 6) == "bars 1–5"


def test_a_place_that_has_more_words_is_listed_for_itself():
    places = [words.span(TWICE, *each) for each in ((1, 1), (0, 2), (4, 6), (3, 3))]
    assert words.in_one_breath(places) == (
        "bars 1 and 3 of the first numbering, bars 1–2 of the first numbering with the pickup "
        "and bar 4 of the first numbering to bar 1 of the second numbering"
    )


def test_lists_and_counts():
    assert words.some_of(["A"]) == "A"
    assert words.some_of(["A", "B", "C", "D"]) == "A, B, C and D"
    assert words.some_of(["A", "B", "C", "D", "E"]) == "A, B, C and 2 more"
    assert words.count_of(1, "stretch", "stretches") == "1 stretch"
    assert words.count_of(2, "stretch", "stretches") == "2 stretches"
    assert [words.often(n) for n in (1, 2, 3, 20)] == ["once", "twice", "three times", "20 times"]
    assert words.percent(0.005) == "0%"
    assert words.percent(1) == "100%"


def test_signs_are_spelled_and_letters_left():
    assert [words.pitch(n) for n in ("B", "Bb3", "F#4", "Abb2")] == ["B", "B♭3", "F♯4", "A double flat 2"]
    assert words.key("") == ""
    assert words.key("F# minor") == "F♯ minor"


def test_dates_are_named_whatever_language_the_machine_speaks():
    on = date(2026, 2, 28)
    assert words.day(on) == "February 28"
    assert words.short_day(on) == "Feb 28"
    assert words.long_day(on) == "Saturday, February 28"
    assert words.full_date(on) == "February 28, 2026"
    assert words.full_day(on) == "Saturday, February 28, 2026"


def test_runs_of_days_are_spans_and_a_new_year_is_named():
    new_year = [date(2026, 12, 31), date(2027, 1, 1), date(2027, 1, 2)]
    assert words.listed_dates([*reversed(new_year), date(2027, 1, 4)]) == (
        "December 31, 2026 to January 2, 2027; January 4, 2027"
    )
    assert words.listed_dates([]) == ""
