"""Commands about a proposed plan and about files of one piece."""

import json
from contextlib import closing

import pytest

from planner.core.fingerprint import Kin, Likeness
from tests.conftest import wired


def as_json(run, *argv):
    code, out, err = run(*argv, "--format", "json")
    assert (code, err) == (0, "")
    return json.loads(out)


def planned(run):
    return {
        slot["on"]: slot["piece"]
        for slot in as_json(run, "plan", "--limit-s", "60")["slots"]
        if not slot["past"]
    }


@pytest.fixture
def at_rest(run):
    """The demo's term with nothing proposed."""
    if as_json(run, "proposal")["days"]:
        assert run("proposal", "--drop")[0] == 0
    return run


def known_by_now(run):
    """Has the ensemble meet the last piece of its plan, so that planning again has to propose another."""
    plan = planned(run)
    on = max(plan)
    assert run("met", plan[on])[0] == 0
    return plan, on


def test_a_proposal_is_shown_taken_and_undone(at_rest):
    run = at_rest
    assert as_json(run, "proposal")["days"] == []
    before, on = known_by_now(run)
    assert planned(run) == before, "the plan in force stays"
    days = {day["on"]: day for day in as_json(run, "proposal")["days"]}
    assert days[on]["before"] == [before[on]]
    assert before[on] in days[on]["why"]
    code, out, err = run("proposal")
    assert (code, err) == (0, "")
    assert before[on] in out
    code, out, err = run("proposal", "--take")
    assert code == 0, err
    assert "The plan is changed." in out
    assert "Nothing is proposed." in out
    after = [piece for day, piece in planned(run).items() if day == on]
    assert after == days[on]["after"], "where no other piece suits the day stays open"
    newest = as_json(run, "changes")["changes"][0]["id"]
    assert run("changes", "undo", str(newest))[0] == 0
    assert planned(run) == before


def test_a_proposal_that_is_dropped_leaves_the_plan(at_rest):
    run = at_rest
    before, on = known_by_now(run)
    planned(run)
    code, out, _ = run("proposal", "--drop")
    assert code == 0
    assert "The plan stays as it is." in out
    assert planned(run)[on] == before[on]
    assert as_json(run, "proposal")["days"] == []


def test_what_cannot_be_taken_is_refused(at_rest):
    run = at_rest
    code, _, err = run("proposal", "--take")
    assert code != 0
    assert "There is no proposal" in err
    code, _, err = run("proposal", "--on", "2026-12-15")
    assert code == 2
    assert "--take" in err


def test_files_of_one_piece_are_linked_shown_and_taken_apart(run):
    titles = sorted(set(planned(run).values()))[:2]
    code, out, err = run("same", *titles)
    assert (code, err) == (0, "")
    assert titles[1] in out
    assert [row["title"] for row in as_json(run, "same", titles[1])["files"]] == titles[:1]
    assert run("same", titles[0], "--apart")[0] == 0
    assert as_json(run, "same", titles[1])["files"] == []


def test_what_may_be_the_same_music_is_listed_and_decided(run, home):
    with closing(wired(home)) as tools, tools.work() as work:
        titles = work.pieces.titles()
        one, other = sorted(titles)[:2]
        work.likenesses.store(titles, [Likeness(one, other, Kin.SAME, 0.97)])
        work.commit()
    (pair,) = as_json(run, "same")["pairs"]
    assert (pair["piece"]["id"], pair["other"]["id"], pair["share"]) == (one, other, 0.97)
    assert "97% of the shorter one is in the other." in " ".join(run("same")[1].split())
    assert run("same", str(one), str(other), "--different")[0] == 0
    assert as_json(run, "same")["pairs"] == []
    assert as_json(run, "same", str(one))["alike"][0]["kept_apart"]
    assert "You keep them apart." in run("same", str(one))[1]
    assert run("same", str(one), str(other), "--different")[0] == 4
    assert run("same", str(one), str(other), "--undecided")[0] == 0
    pair = (str(one), str(other))
    for wrong in (["--different"], [pair[0], "--different"], ["--apart"], [*pair, "--apart", "--different"]):
        assert run("same", *wrong)[0] == 2
    assert len(as_json(run, "same")["pairs"]) == 1
