"""Commands about people: what the pages do, with the same questions and refusals."""

import json

import pytest

from planner.adapters.cli.main import main
from tests.conftest import wired


def players_of(run):
    return json.loads(run("players", "--format", "json")[1])["players"]


def test_a_roster_is_shown_then_taken_and_players_move_leave_and_come_back(run, tmp_path):
    roster = tmp_path / "roster.csv"
    roster.write_text("Name,Section\nIsolde Weir,Flute\nTristan Ash,Kazoo\n", encoding="utf-8")
    before = players_of(run)
    code, out, _ = run("players", "roster", str(roster))
    assert code == 0
    assert "1 new and 1 refused." in out
    assert "Line 3: There is no section “Kazoo”" in out
    assert players_of(run) == before, "it was only shown"
    code, out, _ = run("players", "roster", str(roster), "--take")
    assert "Stored: 1 player added. 1 line was left out." in out
    assert run("players", "move", "Isolde Weir", "--to", "Horn", "--on", "2026-11-02")[0] == 0
    assert run("players", "days", "isolde weir", "--last-day", "2026-11-20")[0] == 0
    assert run("players", "back", "Isolde Weir", "--on", "2026-11-25")[0] == 0
    assert run("players", "rename", "Isolde Weir", "Isolde Oak")[0] == 0
    found = [
        (p["section"], p["first_day"], p["last_day"]) for p in players_of(run) if p["name"] == "Isolde Oak"
    ]
    assert found == [
        ("Flute", None, "2026-11-01"), ("Horn", "2026-11-02", "2026-11-20"), ("Horn", "2026-11-25", None),
    ]  # fmt: skip
    assert run("players", "remove", "Isolde Oak", "--section", "Horn")[0] == 0
    assert len([p for p in players_of(run) if p["name"] == "Isolde Oak"]) == 2


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (["add", "Ottilie", "--section", "Tuba"], 16, "Is this the same person?"),
        (["add", "New", "--section", "Kazoo"], 3, "There is no section “Kazoo”"),
        (["add", "New", "--section", "Tuba", "--first-day", "1926-01-01"], 2, "more than 80 years ago"),
        (["add", "New", "--section", "Tuba", "--last-day", "2062-01-01"], 2, "more than a school year away"),
        (["rename", "Nobody", "Somebody"], 3, "There is no player “Nobody”"),
        (["rename", "Ottilie", "Wen"], 16, "Is this the same person?"),
        (["move", "Ottilie", "--to", "Kazoo"], 3, "There is no section “Kazoo”"),
    ],
)
def test_what_cannot_be_is_refused_as_on_the_pages(run, words, code, said):
    before = players_of(run)
    found, _, err = run("players", *words)
    assert found == code
    assert said in " ".join(err.split())
    assert players_of(run) == before


def test_an_ensemble_is_begun_renamed_and_taken_out_after_a_question(run):
    assert run("ensembles", "begin", "Choir", "--kind", "choir")[0] == 0
    assert run("ensembles", "rename", "Choir", "Voices")[0] == 0
    code, _, err = run("ensembles", "remove", "Larkspur Ferry Community and School Band")
    assert code == 16
    assert "17 sections, 40 players, 1 term, 51 results of 3 days" in " ".join(err.split())
    assert run("ensembles", "remove", "Voices")[0] == 0, "nothing belongs to it"
    names = [each["name"] for each in json.loads(run("ensembles", "--format", "json")[1])["ensembles"]]
    assert names == ["Larkspur Ferry Community and School Band"]


def test_a_program_is_noted_and_withdrawn_and_listed(run, tmp_path):
    program = tmp_path / "program.txt"
    program.write_text("Windmill\nThe Old Clock\n", encoding="utf-8")
    code, out, _ = run("met", "--titles", str(program), "--how", "performed", "--on", "2026-05-02")
    assert code == 0
    assert "Noted: 2 pieces." in out
    listed = json.loads(run("met", "--format", "json")[1])["met"]
    assert ("Windmill", "performed", "2026-05-02") in [(m["title"], m["how"], m["on"]) for m in listed]
    assert run("met", "Windmill", "--how", "performed", "--withdraw")[0] == 0
    assert run("met", "Windmill", "--how", "performed", "--withdraw")[0] == 3
    assert run("met", "Windmill", "--on", "2027-05-02")[0] == 2
    assert run("met", "Windmill", "--player", "Ottilie", "--how", "heard")[0] == 0


def test_a_section_is_changed_and_taken_out(run):
    assert run("sections", "change", "Flute", "--name", "Flutes", "--level", "3,1")[0] == 0
    rows = json.loads(run("sections", "--format", "json")[1])["sections"]
    assert (rows[0]["name"], rows[0]["level"]) == ("Flutes", 3.1)
    code, _, err = run("sections", "change", "Flutes", "--level", "7")
    assert (code, "from 0.5 to 6, not 7" in err) == (2, True)
    assert run("sections", "remove", "Flutes")[0] == 4, "it has results"


@pytest.mark.parametrize("before", [True, False])
def test_the_home_is_named_before_or_after_the_command(home, capsys, before):
    where = ["--home", str(home)]
    boxes = []

    def build(settings):
        boxes.append(wired(settings.home))
        return boxes[-1]

    words = [*where, "ensembles"] if before else ["ensembles", *where]
    assert main(words, build=build, serve=lambda _tools: None) == 0
    assert "Larkspur Ferry" in capsys.readouterr().out
    for box in boxes:
        box.close()
