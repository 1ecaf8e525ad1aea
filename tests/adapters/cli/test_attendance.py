"""The command of who was there: what the page does, by name."""

import json

ON = ("attendance", "--on", "2026-11-19")


def players_of(run):
    return {p["name"]: p for p in json.loads(run(*ON, "--format", "json")[1])["players"]}


def test_players_are_named_as_away_or_there_and_it_is_undone(run):
    before = players_of(run)
    first, second, *_ = before
    code, out, _ = run(*ON, "--away", first.upper(), "--there", second, "--mark", f"{second}=91")
    assert code == 0
    assert "players there, " in out
    after = players_of(run)
    assert (after[first]["present"], after[second]["present"], after[second]["mark"]) == (False, True, 91)
    newest = json.loads(run("changes", "--format", "json")[1])["changes"][0]
    assert newest["kind"] == "attendance"
    assert first not in json.dumps(newest["subject"]), "the journal names nobody"
    assert run("changes", "undo", str(newest["id"]))[0] == 0
    assert players_of(run) == before
    assert run(*ON, "--forget", first)[0] == 0
    assert players_of(run)[first]["present"] is None
    assert run(*ON, "--others-there")[0] == 0
    assert all(p["present"] for p in players_of(run).values())


def test_what_is_odd_or_cannot_be_is_asked_or_refused(run):
    before = players_of(run)
    first = next(iter(before))
    for words, code, sentence in (
        (("--away", "Nobody At All"), 3, "There is no player “Nobody At All” on that day here."),
        (("--away", first, "--there", first), 2, "is named twice"),
        (("--mark", f"{first}=0.9"), 2, "If 90 is meant, write 90."),
        (("--mark", first), 2, "is not a mark; write it as"),
        (("--away", first, "--mark", f"{first}=80"), 16, "was away and has a mark of 80. Is this right?"),
    ):
        found, _, err = run(*ON, *words)
        assert (found, sentence in " ".join(err.split())) == (code, True), (words, err)
    assert run("attendance", "--on", "2026-12-01", "--others-there")[0] == 2
    assert players_of(run) == before
    assert run(*ON, "--away", first, "--mark", f"{first}=80", "--sure")[0] == 0
