"""The commands about who may open the pages."""

import json

import pytest

from planner.core.account import Access
from tests.conftest import wired

PASSWORD = "three short words"


@pytest.fixture
def typed(tmp_path):
    def write(text=PASSWORD):
        path = tmp_path / "typed.txt"
        path.write_text(text + "\nanother line\n", encoding="utf-8")
        return str(path)

    return write


def listed(run):
    code, out, _ = run("access", "--format", "json")
    assert code == 0
    return {one["name"]: one for one in json.loads(out)["accounts"]}


def test_people_are_let_in_changed_and_taken_out(run, typed):
    assert "Nobody has an account" in run("access")[1]
    assert run("access", "add", "Dora", "--password-file", typed())[:2] == (
        0,
        "Dora may open the pages now.\n",
    )
    code, _, err = run("access", "add", "Lee", "--password-file", typed())
    assert (code, "Say what they may do" in err) == (2, True)
    leader = ("--as", "section leader", "--section", "flute")
    assert run("access", "add", "Lee", *leader, "--password-file", typed())[0] == 0
    found = listed(run)
    assert (found["Dora"]["access"], found["Lee"]["sections"]) == ("director", ["Flute"])
    assert "section leader of Flute" in " ".join(run("access")[1].split())
    code, out, _ = run("access", "change", "LEE", "--name", "Lee R.", "--as", "viewer")
    assert (code, out) == (0, "Lee R.: viewer.\n")
    assert run("access", "change", "Lee R.", "--as", "section leader")[0] == 2
    assert run("access", "remove", "Dora")[0] == 4, "no director would be left"
    assert run("access", "remove", "lee r.")[0] == 0
    assert "answer only on this machine" in run("access", "remove", "Dora")[1]
    assert listed(run) == {}


def test_a_lost_password_is_set_anew_and_logs_out_everywhere(run, typed, home):
    run("access", "add", "Dora", "--password-file", typed())
    tools = wired(home)
    with tools.work() as work:
        dora = work.accounts.find_by_name("Dora")
        work.accounts.begin("here", dora.id, tools.now())
        work.commit()
    code, out, _ = run("access", "password", "dora", "--password-file", typed("four other short words"))
    assert (code, "is logged out everywhere" in out) == (0, True)
    with tools.work() as work:
        assert work.accounts.find_sign_in("here") is None
        hashed = work.accounts.password_hash(dora.id)
    assert tools.passwords.is_right("four other short words", hashed)
    tools.close()


@pytest.mark.parametrize(("arguments", "code", "says"), [
    (("add", "Dora", "--as", "viewer"), 4, "must be a director"),
    (("add", "Dora", "--as", "section leader", "--section", "Kazoo"), 3, "no section “Kazoo”"),
    (("change", "Nobody", "--as", "viewer"), 3, "no account “Nobody”"),
    (("remove", "Nobody"), 3, "no account “Nobody”"),
    (("password", "Nobody"), 3, "no account “Nobody”"),
])  # fmt: skip
def test_what_cannot_be_done_is_told_and_stores_nothing(run, typed, arguments, code, says):
    asked = [*arguments, "--password-file", typed()] if arguments[0] in ("add", "password") else arguments
    found, _, err = run("access", *asked)
    assert (found, says in err) == (code, True)
    assert listed(run) == {}


def test_a_short_password_is_refused_and_none_is_ever_an_argument(run, typed):
    code, _, err = run("access", "add", "Dora", "--password-file", typed("short"))
    assert (code, "at least 10 characters" in err) == (2, True)
    assert "--password " not in run("access", "add", "--help")[1]
    assert [str(each) for each in Access] == ["director", "section leader", "viewer"]
