"""What a director reads about sections' levels, however many there are."""

from datetime import date

import pytest

from planner.levels.history import Misfit
from planner.wording.director.sections import MOST_NAMED, misfit_notes, misfit_text, moves_text, saved_text

DAY = date(2026, 9, 1)


def run(kind="lower", days=3):
    return Misfit(kind, DAY, date(2026, 9, 8), days)


def test_results_of_seventeen_sections_are_one_note():
    moves = [(f"Section {n}", 2.0, 2.0 + 0.1 * (n - 8), 0.3) for n in range(17)]
    note = saved_text(17, moves)
    assert note.startswith("Saved 17 results. Up: Section 16 2.0 to 2.8, ")
    assert "Down: Section 0 2.0 to 1.2" in note
    assert note.count("Section") == 2 * (MOST_NAMED - 1)
    assert note.count("and 3 more") == 2


@pytest.mark.parametrize(
    ("saved", "taken_back", "set_aside", "beginning"),
    [
        (1, 0, 0, "Saved 1 result. No"),
        (0, 2, 0, "Took back 2 results. No"),
        (3, 1, 0, "Saved 3 results and took back 1 result. No"),
        (1, 0, 1, "Saved 1 result. It does not count for the level. No"),
        (3, 0, 3, "Saved 3 results. None of them counts for the levels. No"),
        (3, 0, 1, "Saved 3 results. One of them does not count. No"),
        (3, 0, 2, "Saved 3 results. Two of them do not count. No"),
        (0, 0, 0, "Nothing was changed."),
    ],
)
def test_saving_says_what_it_did(saved, taken_back, set_aside, beginning):
    note = saved_text(saved, [], taken_back=taken_back, set_aside=set_aside)
    assert note.startswith(beginning)


def test_a_level_that_stays_is_not_named():
    assert moves_text([("Flute", 2.0, 2.04, 0.3)]) == "No level moves by a tenth."
    assert moves_text([("Flute", 2.0, 2.04, 0.3), ("Horn", 2.0, 1.8, 0.3)]) == (
        "Horn moves down from level 2.0 to 1.8."
    )


def test_each_surprise_asks_both_ways():
    assert misfit_text("Horn", run("higher")) == (
        "Horn: three results in a row higher than expected. A good week, or is the level too low?"
    )
    assert misfit_text("Horn", run(days=1)) == (
        "Horn: the result of Sep 8 lower than expected. A hard week, or is the level too high?"
    )


def test_surprises_of_several_sections_are_one_note_a_kind():
    notes = misfit_notes({"Flute": run(), "Horn": run(days=4), "Tuba": run("higher")}, 17)
    assert notes == [
        "Lower than expected: Flute (three results in a row), Horn (four results in a row). "
        "A hard week, or are the levels too high?",
        "Tuba: three results in a row higher than expected. A good week, or is the level too low?",
    ]


def test_a_day_on_which_everybody_reads_lower_is_asked_about_as_a_day():
    everyone = {f"Section {n}": run() for n in range(17)}
    (note,) = misfit_notes(everyone, 17)
    assert note.startswith("All sections read lower than expected. If those days were out of the ordinary, ")
    (note,) = misfit_notes(dict(list(everyone.items())[:10]), 17)
    assert note.startswith("10 of 17 sections read lower than expected.")


def test_without_surprises_nothing_is_stated():
    assert misfit_notes({}, 17) == []
