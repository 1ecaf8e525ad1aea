"""A reading day by minutes, and the published procedure by which its music is studied."""

import json

from planner.core.procedures import BY_SLUG


def steps_of(run, *asked):
    code, text, _ = run("day", *asked, "--format", "json")
    assert code == 0
    shown = json.loads(text)
    return shown["procedure"], {step["step"]: step["seconds"] for step in shown["steps"]}


def test_the_day_is_printed_by_the_minute_and_studied_by_a_procedure_until_that_is_taken_back(run):
    code, text, _ = run("day", "--by-minute")
    lines = text.splitlines()
    assert code == 0
    assert next(line for line in lines if "Face down" in line).split() == ["0:00", "Face", "down,", "0:30"]
    assert next(line for line in lines if "Study" in line).split()[0] == "0:30"
    chosen, planned = steps_of(run)
    assert chosen is None
    assert "hearing" in planned
    assert run("day", "--procedure", "uil-large")[0] == 0
    chosen, by_rule = steps_of(run)
    assert (chosen, by_rule["study"], by_rule["summary"]) == ("uil-large", 420, 180)
    assert "Studied by UIL, first groups of 5A and 6A: 7 + 3 min." in run("day")[1]
    code, _, error = run("day", "--procedure", "kazoo")
    assert code == 3
    assert all(slug in " ".join(error.split()) for slug in BY_SLUG)
    assert steps_of(run, "--procedure", "none") == (None, planned)
