"""Finding pieces, lists, and many pieces changed at once, on the command line."""

import json

from tests.checks import some


def found(run, *argv):
    code, out, _ = run("find", *argv, "--format", "json")
    return code, json.loads(out)


def test_pieces_are_found_with_slips_filters_and_order(run):
    code, every = found(run)
    assert (code, every["total"], len(every["pieces"])) == (0, len(every["pieces"]), every["total"])
    code, one = found(run, "windmlil", "--from", "0.5", "--order", "level", "--down")
    assert (code, one["near"], [piece["title"] for piece in one["pieces"]]) == (0, True, ["Windmill"])
    code, out, err = run("find", "windmlil")
    assert (code, "Windmill (" in out, "These are close." in err) == (0, True, True)
    assert found(run, "--most", "1")[1]["total"] == every["total"]
    code, out, err = run("find", "windmill", "--copy", "paper")
    assert (code, out) == (3, "")
    assert "on paper only: without it 1 piece" in err


def test_who_is_named_in_a_search_is_known_by_name(run, tools):
    with tools.work() as work:
        (band,) = work.ensembles.list_ensembles()
    for who in some([band.name, band.sections[0].name, f"{band.name}/{band.sections[0].name}".upper()]):
        code, _, err = run("find", "--fresh", who, "--reads", who)
        assert code in (0, 3), err
    for argv in some([("--fresh", "Nobody"), ("--for", "Nobody"), ("--focus", "volume"), ("--from", "x")]):
        assert run("find", *argv)[0] == 2
    assert run("find", "--list", "Nothing")[0] == 3


def test_lists_are_kept_shown_changed_and_taken_back(run):
    assert run("lists")[1].strip() == "No list is kept yet."
    assert run("lists", "keep", "Fall", "--piece", "1", "--piece", "Windmill")[0] == 0
    assert run("lists", "keep", "Easy", "--to", "6")[0] == 0
    assert run("lists", "keep", "Mills", "windmlil", "--found")[0] == 0
    assert run("lists", "keep", "Both", "--piece", "1", "--to", "2")[0] == 2
    assert run("lists", "keep", "Fall")[0] == 4
    assert "1 piece put on “Fall”. One piece was on it already." in run("lists", "put", "fall", "1", "2")[1]
    assert "1 piece taken off" in run("lists", "take-off", "Fall", "1")[1]
    assert run("lists", "rename", "Fall", "Spring")[0] == 0
    listed = json.loads(run("lists", "--format", "json")[1])["lists"]
    assert {one["name"]: len(one["pieces"]) for one in listed} == {"Easy": 0, "Mills": 1, "Spring": 2}
    assert {one["name"]: one["search"] for one in listed}["Easy"] == {"to": "6"}
    shown = json.loads(run("lists", "show", "Mills", "--format", "json")[1])
    assert [piece["title"] for piece in shown["found"]] == ["Windmill"]
    assert run("lists", "remove", "Spring")[0] == 0
    assert "List “Spring”: removed." in run("changes")[1]
    assert run("lists", "show", "Spring")[0] == 3


def test_many_pieces_are_changed_at_once_and_taken_back(run, tools):
    run("lists", "keep", "Fall", "--piece", "1")
    given = (
        "catalog",
        "edit",
        "2",
        "--list",
        "Fall",
        "--found",
        "windmlil",
        "--add-tags",
        "fall",
        "--shelf",
        "B 2",
    )
    code, out, _ = run(*given, "--look")
    assert (code, "3 pieces would change." in out) == (0, True)
    with tools.work() as work:
        assert work.pieces.get(1).tags == ()
    report = json.loads(run(*given, "--format", "json")[1])
    assert len(report["changed"]) == 3
    assert report["changed"][0]["values"]["tags"] == {"before": "", "after": "fall"}
    with tools.work() as work:
        assert (work.pieces.get(1).tags, work.pieces.get(2).shelf) == (("fall",), "B 2")
    assert run("changes", "undo", str(report["change"]))[0] == 0
    with tools.work() as work:
        assert (work.pieces.get(1).tags, work.pieces.get(2).shelf) == ((), "")
    assert run("catalog", "edit", "--shelf", "B")[0] == 2
