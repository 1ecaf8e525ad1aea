"""Words every sentence shares: lists, counts, shares, dates."""

from datetime import date

from planner.wording import words


def test_bars_are_named_as_printed_and_many_are_counted():
    numbers = ("0", "1", "2", "2a", "3")
    assert words.bar_list(numbers, (0,)) == "bar 0"
    assert words.bar_list(numbers, (0, 3, 3)) == "bars 0 and 2a"
    assert words.bar_list(numbers, range(5), most=3) == "bars 0, 1, 2 and 2 more"
    assert words.bars((), 4, 6) == "bars 5–7"


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
