"""Commands about terms and days: each does what it says, is refused in a sentence, and has a way back."""

import json
import re

import pytest


def shown(run, *more):
    code, out, err = run("terms", "show", "--format", "json", *more)
    assert (code, err) == (0, "")
    return json.loads(out)


def planned(run):
    """Days to come with their pieces, as the plan stands."""
    _, out, _ = run("plan", "--format", "json", "--limit-s", "1")
    return [(s["on"], s["piece"]) for s in json.loads(out)["slots"] if not s["past"]]


def late(run):
    """The same beyond the announced days."""
    return [(on, piece) for on, piece in planned(run) if on >= "2026-12-15"]


@pytest.fixture
def days(run):
    """Dates of the plan to come, beyond those announced."""
    return [on for on, _ in late(run)]


def refused(run, *argv, code=4):
    before = shown(run)
    found, _, err = run(*argv)
    assert found == code, err
    assert shown(run) == before
    return err


def undo(run):
    _, out, _ = run("changes", "--format", "json")
    newest = json.loads(out)["changes"][0]["id"]
    code, _, err = run("changes", "undo", str(newest))
    assert code == 0, err


def test_terms_are_listed_and_shown(run):
    code, out, _ = run("terms")
    assert code == 0
    assert "Terms of" in out
    _, out, _ = run("terms", "--format", "json")
    (term,) = json.loads(out)["terms"]
    assert term["planned"] >= len(planned(run)) > 0
    _, out, _ = run("terms", "show")
    assert "reading days of" in out
    assert "announced 14 days ahead" in out


@pytest.mark.parametrize(("option", "value", "name", "stored"), [
    ("--minutes", "14", "minutes", 14.0),
    ("--slots", "2", "slots", 2),
    ("--target", "3", "target_level", 3.0),
    ("--announced", "7", "announced_days", 7),
    ("--start", "1.5", "start_level", 1.5),
])  # fmt: skip
def test_each_number_of_a_term_is_changed_and_taken_back(run, option, value, name, stored):
    before = shown(run)
    assert run("terms", "set", option, value)[0] == 0
    assert shown(run) == {**before, name: stored}
    undo(run)
    assert shown(run) == before


def test_planning_changes_a_term_that_is_there(run):
    before = shown(run)
    code, _, err = run("plan", "--minutes", "14", "--announced", "0", "--limit-s", "1", "--target", "2.5")
    assert code == 0, err
    assert shown(run) == {**shown(run), "minutes": 14.0, "announced_days": 0, "target_level": 2.5}
    code, _, err = run("plan", "--term", before["name"], "--weekday", "mon", "--limit-s", "1")
    assert code == 0, err
    assert shown(run)["weekdays"] == [0]
    assert "from 1 to 4 pieces, not 9" in refused(run, "plan", "--slots", "9", code=2)
    assert "--weekday" in refused(run, "plan", "--first", "2028-01-04", "--last", "2028-02-04", code=2)


def test_days_off_concerts_and_aims_are_added_and_taken_back(run, days):
    before = shown(run)
    last = before["last"]
    assert run("terms", "set", "--off", days[0], "--concert", last, "--aim", f"{days[1]}=2.5")[0] == 0
    after = shown(run)
    assert (days[0] in after["days_off"], after["concerts"]) == (True, [last])
    assert after["aims"] == {days[1]: 2.5}
    code, _, _ = run("terms", "set", "--read", days[0], "--no-concert", last, "--no-aim", days[1])
    assert code == 0
    assert {**shown(run), "planned": 0} == {**before, "planned": 0}
    assert "nothing is set" in refused(run, "terms", "set", "--no-concert", last, code=2)


def test_a_term_is_renamed_and_removed_and_comes_back(run):
    before = shown(run)
    assert run("terms", "rename", "Fall")[0] == 0
    assert shown(run) == {**before, "name": "Fall"}
    code, out, _ = run("terms", "remove", "--term", "Fall")
    assert (code, "Fall is gone" in out) == (0, True)
    assert run("terms", "show")[0] == 3
    undo(run)
    assert shown(run) == {**before, "name": "Fall"}


@pytest.mark.parametrize(("how", "says"), [
    ("--move-on", r"now\.|moved on\."),
    ("--drop", "went back to the library"),
    ("--wait", "waits: plan again"),
])  # fmt: skip
def test_a_day_is_cancelled_as_the_director_chooses_and_taken_back(run, days, how, says):
    before = shown(run)
    code, out, err = run("terms", "cancel", days[0], how)
    assert code == 0, err
    assert re.search(says, out)
    assert days[0] in shown(run)["days_off"]
    undo(run)
    assert shown(run) == before


def test_a_day_is_cancelled_only_when_it_is_said_what_becomes_of_its_pieces(run, days):
    assert "--move-on, --drop or --wait" in refused(run, "terms", "cancel", days[0], code=2)
    assert "reading day" in refused(run, "terms", "cancel", "2026-01-01", "--drop", code=3)


def test_a_day_gets_its_own_shape_and_loses_it_again(run, days):
    before = shown(run)
    assert run("terms", "day", days[0], "--minutes", "25", "--slots", "2", "--absent", "Flute")[0] == 0
    (day,) = shown(run)["days"]
    assert (day["minutes"], day["slots"], len(day["absent"])) == (25.0, 2, 1)
    _, out, _ = run("terms", "day", days[0])
    assert "25 minutes, 2 pieces, without Flute" in out
    assert run("terms", "day", days[0], "--all-present", "--stations")[0] == 0
    (day,) = shown(run)["days"]
    assert {"Winds", "Brass"} <= set(day["stations"])
    assert day["absent"] == []
    assert run("terms", "day", days[0], "--all-together")[0] == 0
    assert run("terms", "day", days[0], "--like-others")[0] == 0
    assert {**shown(run), "planned": 0} == {**before, "planned": 0}


def test_stations_are_named_by_hand(run, days):
    code, _, err = run(
        "terms", "day", days[0], "--station", "Front=Flute", "--station", "Back = Trumpet 1", "--slots", "2"
    )
    assert code == 0, err
    (day,) = shown(run)["days"]
    assert set(day["stations"]) == {"Front", "Back"}
    assert "write it as" in refused(run, "terms", "day", days[0], "--station", "Front", code=2)
    assert "Kazoo" in refused(run, "terms", "day", days[0], "--absent", "Kazoo", code=3)


def test_pieces_are_moved_and_swapped(run):
    rows = late(run)
    (day, piece), (other_day, other) = rows[0], rows[-1]
    before = shown(run)
    code, _, err = run("terms", "swap", piece, other)
    assert code == 0, err
    assert {(day, other), (other_day, piece)} <= set(planned(run))
    assert run("terms", "swap", piece, other)[0] == 0
    assert {(day, piece), (other_day, other)} <= set(planned(run))
    assert "is full" in refused(run, "terms", "move", piece, "--to", other_day)
    assert shown(run) == before


def test_wishes_are_made_and_taken_back(run, days):
    rows = late(run)
    day, piece = rows[1]
    assert run("terms", "pin", piece, "--on", day)[0] == 0
    assert shown(run)["wishes"] == [{"kind": "pinned", "piece": piece, "on": day}]
    assert late(run) == rows
    assert "is pinned to" in refused(run, "terms", "ban", piece)
    assert run("terms", "free", piece, "--on", day)[0] == 0
    assert "no wish" in refused(run, "terms", "free", piece, "--on", day, code=3)
    assert run("terms", "ban", piece, "--on", days[-1])[0] == 0
    assert run("terms", "again", rows[0][1], "--on", "2027-02-02")[0] == 0
    kinds = {wish["kind"] for wish in shown(run)["wishes"]}
    assert kinds == {"banned", "again"}


def test_a_wish_gets_another_day_in_one_step_and_a_day_off_is_read_after_all(run, days):
    piece = late(run)[1][1]
    before = shown(run)
    assert run("terms", "ban", piece, "--on", days[-1])[0] == 0
    code, out, _ = run("terms", "another-day", piece, "--on", days[-1], "--to", days[-2])
    assert (code, "no longer off" in out) == (0, True)
    assert shown(run)["wishes"] == [{"kind": "banned", "piece": piece, "on": days[-2]}]
    assert "no wish" in refused(run, "terms", "another-day", piece, "--on", days[-1], code=3)
    undo(run)
    assert shown(run)["wishes"] == [{"kind": "banned", "piece": piece, "on": days[-1]}]
    undo(run)
    assert run("terms", "cancel", days[0], "--wait")[0] == 0
    assert "is a reading day" in run("terms", "reopen", days[0])[1]
    assert shown(run)["days_off"] == before["days_off"]
    assert "no day off" in refused(run, "terms", "reopen", "2026-01-01", code=3)


def test_copies_are_counted_shown_and_taken_back(run):
    _, out, _ = run("copies", "1", "--format", "json")
    found = json.loads(out)["copies"]
    part = next(iter(found))
    assert set(found.values()) == {None}
    assert run("copies", "1", f"{part}=3")[0] == 0
    _, out, _ = run("copies", "1")
    assert f"{part}: 3" in out
    assert run("copies", "1", f"{part}=")[0] == 0
    assert json.loads(run("copies", "1", "--format", "json")[1])["copies"] == found
    code, _, err = run("copies", "1", f"{part}=many")
    assert (code, "write it as" in err) == (2, True)
