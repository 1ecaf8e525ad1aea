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
    assert words.bar_list(numbers, (1, 2, 4), most=2) == "bars 1, 2 and 1 more"
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
    assert [words.pitch(n) for n in ("B", "Bb3", "F#4", "Abb2")] == ["B", "B♭3", "F♯4", "A♭♭2"]
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
