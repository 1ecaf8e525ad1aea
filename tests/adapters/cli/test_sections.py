"""Starts of sections and results that do not count, from the command line."""

import json
from datetime import date

import pytest

from tests.checks import some

DAY = "2026-11-19"


def levels(run) -> dict[str, dict]:
    _, out, _ = run("sections", "--format", "json")
    return {row["name"]: row for row in json.loads(out)["sections"]}


def log(run, *argv):
    return run("results", "--on", DAY, "--piece", "1", *argv)


def test_a_result_is_set_aside_and_counts_again(run):
    before = levels(run)["Flute"]["level"]
    code, out, _ = log(run, "Flute=20", "Oboe=20", "--does-not-count", "flute")
    assert code == 0
    assert "Flute" not in out
    assert "Oboe moves down" in out
    assert levels(run)["Flute"]["level"] == before
    code, out, _ = log(run, "--counts", "Flute")
    assert code == 0
    assert "Flute moves down" in out
    code, out, _ = log(run, "--does-not-count", "all")
    assert "Flute moves up" in out
    assert "Oboe moves up" in out
    assert levels(run)["Flute"]["level"] == before


def test_a_run_of_surprises_is_asked_about_in_one_line(run):
    for week in range(12):
        share = 90 if week < 8 else 5
        day = f"2027-{1 + week // 4:02d}-{1 + 7 * (week % 4):02d}"
        read = ("results", "--on", day, "--piece", "1", f"Flute={share}", "--sure")
        code, out, _ = run(*read, today=date(2027, 4, 1))
        assert code == 0
    assert "lower than expected. A hard week, or is the level too high?" in out.replace("\n", " ")
    _, listing, _ = run("sections")
    assert listing.replace("\n", " ").count("lower than expected.") == 1
    assert levels(run)["Flute"]["unexpected"] == "lower"


def test_a_table_says_which_results_count(run, tmp_path):
    table = tmp_path / "results.csv"
    table.write_text("section,first,second,problems,counts\nFlute,20,,,no\nOboe,20,,,yes\nHorn,30,,,\n")
    before = levels(run)
    assert log(run, "--file", str(table))[0] == 0
    after = levels(run)
    moved = {name for name in before if before[name]["level"] != after[name]["level"]}
    assert moved == {"Oboe", "Horn"}
    table.write_text("section,first,counts\nFlute,20,perhaps\n")
    code, _, err = log(run, "--file", str(table))
    assert code == 2
    assert "Flute: under “counts” write yes or no, not “perhaps”." in err.replace("\n", " ")


def test_a_result_is_taken_back(run):
    before = levels(run)["Flute"]["level"]
    log(run, "Flute=20")
    assert levels(run)["Flute"]["level"] < before
    code, out, _ = log(run, "Flute=")
    assert code == 0
    assert "Flute moves up" in out
    assert levels(run)["Flute"]["level"] == before


def test_what_was_never_entered_cannot_be_set_aside(run):
    code, _, err = log(run, "--does-not-count", "Flute")
    assert code == 3
    assert "no result of Flute on that day" in err.replace("\n", " ")


@pytest.mark.parametrize(
    ("argv", "words", "kind"),
    [
        (("--years", "2"), "from 2 years of playing", "years"),
        (
            ("--last-level", "2.4", "--weeks", "12"),
            "from level 2.4 at the end of last year, 12 weeks",
            "last year",
        ),
        (("--placement", "2.5,80"), "from a placement reading: 80 of 100 bars right", "placement"),
        (("--level", "3.1"), "from your own number", "word"),
    ],
)
def test_a_start_is_set_shown_and_taken_back(run, argv, words, kind):
    before = levels(run)["Flute"]
    code, out, _ = run("sections", "start", "flute", *argv)
    assert code == 0
    assert f"Flute starts {words}" in out.replace("\n", " ")
    after = levels(run)["Flute"]
    assert after["start"]["basis"]["kind"] == kind
    assert after["start"]["level"] != before["start"]["level"]
    code, out, _ = run("sections", "start", "Flute", "--take-back")
    assert code == 0
    assert levels(run)["Flute"] == before
    code, _, err = run("sections", "start", "Flute", "--take-back")
    assert code == 4
    assert "no change to where Flute starts" in err.replace("\n", " ")


@pytest.mark.parametrize(
    ("argv", "code", "sentence"),
    [
        ((), 2, "Say where the level starts, in one way"),
        (("--years", "2", "--level", "2"), 2, "in one way"),
        (("--years", "-3"), 2, "the number of years must be from 0 to 80"),
        (("--placement", "hard"), 2, "“hard” is not a placement reading"),
        (("--placement", "2.5,180"), 2, "bars right of 100 lie from 0 to 100, not 180"),
        (("--last-year",), 2, "no results from before this term"),
    ],
)
def test_a_start_that_cannot_be_is_refused(run, argv, code, sentence):
    before = levels(run)
    found, _, err = run("sections", "start", "Flute", *argv)
    assert found == code
    assert sentence in err.replace("\n", " ")
    assert levels(run) == before


def test_a_start_of_nobody_is_not_found(run):
    code, _, err = run("sections", "start", "Theremin", "--years", "2")
    assert code == 3
    assert "Theremin" in err


def test_the_interval_of_each_level_is_shown_and_explained(run):
    _, out, _ = run("sections")
    assert "nineteen times in twenty the section's true level lies there" in out.replace("\n", " ")
    for row in some(levels(run).values()):
        assert row["low"] < row["level"] < row["high"]
