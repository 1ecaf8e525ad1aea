"""Attendance, marks and the scheme by commands."""

import json
from fractions import Fraction

import pytest

from tests.conftest import wired


@pytest.fixture
def day(home):
    """A day with results, its first player, and another of the same section."""
    box = wired(home)
    with box.work() as work:
        on = min(result.on for result in work.results.list_results(1))
        section = work.ensembles.get(1).sections[0]
    box.close()
    return str(on), section.name, [player.name for player in section.players]


def test_attendance_is_entered_shown_and_taken_back(run, day):
    on, section, (ida, bo, *_) = day
    code, text, _ = run("attendance", "--on", on, "--section", section, "--take-back")
    assert (code, "Saved for" in text) == (0, True)
    where = ("--on", on, "--section", section)
    _, text, _ = run("attendance", f"{ida}=excused", f"{bo}=LATE", *where, "--rest-here", "--format", "json")
    (shown,) = json.loads(text)["sections"]
    states = {each["player"]: each["attendance"] for each in shown["players"]}
    assert (states[ida], states[bo], shown["taken"]) == ("excused", "late", True)
    assert set(states.values()) == {"excused", "late", "present"}
    _, text, _ = run("attendance", f"{ida}=excused", "--on", on)
    assert "Nothing was changed" in text
    assert run("attendance", "--on", on, "--everyone", "--take-back")[0] == 2
    assert run("attendance", f"{ida}=asleep", "--on", on)[0] == 2
    assert run("attendance", "Nobody=late", "--on", on)[0] == 3
    assert run("attendance", f"{ida}=late", "--on", "2020-01-01")[0] == 3


def test_marks_make_ups_and_remarks_are_entered_and_taken_back(run, day):
    on, _, (ida, *_) = day
    run("attendance", f"{ida}=absent", "--on", on)
    asked = ("marks", f"{ida}=87,5", "--made-up", f"{ida}={on}", "--remark", f"{ida}=a = b", "--on", on)
    assert run(*asked)[0] == 0
    _, text, _ = run("marks", "--on", on, "--format", "json")
    found = next(p for s in json.loads(text)["sections"] for p in s["players"] if p["player"] == ida)
    assert found == {
        "player": ida, "attendance": "absent", "mark": "87.5", "made_up_on": on, "remark": "a = b",
    }  # fmt: skip
    assert run("marks", f"{ida}=870", "--on", on)[0] == 2
    assert run("marks", f"{ida}=", "--remark", f"{ida}=", "--on", on)[0] == 0
    _, text, _ = run("marks", "--on", on, "--format", "json")
    assert "87.5" not in text


def test_the_scheme_is_chosen_shown_and_put_back(run, day):
    on, *_ = day
    chosen = ("--gain", "12.5", "--drop", "1", "--own-beside", "--day", f"{on}=0")
    steps = ("--step", "85=91 Very sure", "--step", "98=")
    code, text, _ = run("scheme", *chosen, *steps, "--format", "json")
    found = json.loads(text)
    assert (code, found["gain"], found["drop"], found["own_replaces"]) == (0, "12.5", 1, False)
    assert found["days"] == [[on, "0"]]
    assert ["0.85", "91", "Very sure"] in found["scale"]
    assert len(found["scale"]) == 6
    assert run("scheme", "--late", "200")[0] == 2
    assert run("scheme", "--step", "12=")[0] == 2
    _, text, _ = run("scheme", "--as-usual")
    assert "weight of the gain: 0" in text
    assert "weights of days: all alike" in text


def test_the_gradebook_shows_marks_and_what_made_them(run, day):
    on, section, (ida, *_) = day
    run("marks", f"{ida}=87.5", "--on", on)
    run("attendance", f"{ida}=present", "--on", on)
    rows = {
        row["name"]: row for row in json.loads(run("gradebook", "--show", "--format", "json")[1])["marks"]
    }
    assert rows[ida]["days"][on] == {"mark": "87.5", "counts": True, "attendance": "present"}
    assert rows[section]["mark"]
    code, text, _ = run("gradebook", "--of", ida)
    assert (code, "own mark 87.5, weight 100" in text) == (0, True)
    (made,) = json.loads(run("gradebook", "--of", ida, "--format", "json")[1])["rows"]
    own = {"source": "own", "mark": "87.5", "weight": "100", "left_out": None, "piece": ""}
    assert {**own, "fell_apart": False, "shares": []} in made["makings"][0]["parts"]
    (made,) = json.loads(run("gradebook", "--of", section, "--format", "json")[1])["rows"]
    (first, *_) = made["makings"][0]["parts"][0]["shares"]
    assert (first["kind"], first["weight"], 0 < Fraction(first["share"]) <= 1) == ("first", "100", True)
    assert run("gradebook", "--of", "Nobody")[0] == 3
