"""The catalog on the command line."""

import json

from openpyxl import load_workbook

from tests.fakes import make_profile, make_source

LIST = "Title;Grade;Key;Remarks\nOld Mill;2,5;Bb;café\nBad;9;;\n"


def written(tmp_path, text=LIST, encoding="cp1252"):
    path = tmp_path / "list.csv"
    path.write_bytes(text.encode(encoding))
    return str(path)


def test_a_list_is_looked_at_taken_in_and_taken_back(run, tools, tmp_path):
    path = written(tmp_path)
    code, out, err = run("catalog", "look", path)
    assert (code, "B3: Published grades are" in err) == (2, True)
    assert "1 new, 0 changed, 0 as they are, 1 refused." in out
    with tools.work() as work:
        before = work.pieces.titles()
    report = json.loads(run("catalog", "take-in", path, "--format", "json")[1])
    assert (report["columns"]["remarks"], report["read_as"]["encoding"]) == ("D", "cp1252")
    assert report["new"][0]["cells"][-1] == {"cell": "C2", "field": "keys", "before": "", "after": "Bb"}
    code, out, _ = run("catalog", "take-in", path)
    assert "0 new, 0 changed, 1 as they are, 1 refused." in out
    assert "take it back" not in out
    assert run("changes", "undo", str(report["change"]))[0] == 0
    with tools.work() as work:
        assert work.pieces.titles() == before


def test_options_say_what_the_headings_do_not(run, tmp_path):
    path = written(tmp_path, "x|y\nAir|1\n", "utf-8")
    code, _, err = run("catalog", "look", path)
    assert (code, "No column holds the title" in err) == (2, True)
    code, out, _ = run(
        "catalog", "look", path, "--column", "title=A", "--column", "shelf=b", "--headings", "1"
    )
    assert (code, "1 new" in out) == (0, True)
    code, _, err = run("catalog", "look", path, "--separator", "tab", "--column", "title=B")
    assert (code, "has no column B" in err) == (2, True)
    assert run("catalog", "look", path, "--column", "title")[0] == 2


def test_the_catalog_goes_out_and_over_nothing(run, tools, tmp_path):
    path = tmp_path / "catalog.xlsx"
    assert run("catalog", "give-out", str(path))[0] == 0
    assert load_workbook(path).active["B1"].value == "Title"
    code, _, err = run("catalog", "give-out", str(path))
    assert (code, "is there already" in err) == (2, True)
    assert run("catalog", "give-out", str(path), "--replace")[0] == 0
    code, out, _ = run("catalog", "look", str(path))
    with tools.work() as work:
        count = work.pieces.count()
    assert (code, f"0 new, 0 changed, {count} as they are, 0 refused." in out) == (0, True)
    assert run("catalog", "give-out", str(tmp_path / "catalog.doc"))[0] == 2


def test_a_piece_on_paper_is_entered_and_planned_only_when_enough_is_known(run, tools):
    code, out, err = run(
        "catalog", "enter", "--title", "Old Mill", "--published-grade", "2", "--parts", "Flute; Tuba"
    )
    assert (code, "Entered as number" in out) == (0, True)
    assert "before it can be planned, enter its minutes and its keys or meters" in err
    assert "on paper left out because" in run("match")[1]
    code, out, _ = run("levels", "show", "Old Mill")
    assert (code, "2.0 ± 0.6 by what you entered" in out) == (0, True)
    assert run("correct", "Old Mill", "--minutes", "3:30", "--keys", "Bb major")[0] == 0
    assert run("correct", "1", "--minutes", "3")[0] == 2
    assert run("catalog", "enter", "--composer", "Nobody")[0] == 2


def test_a_score_is_joined_to_its_piece_on_paper(run, tools):
    run("catalog", "enter", "--title", "Paper", "--shelf", "B-1")
    with tools.work() as work:
        score = work.pieces.add(make_source("mill"), make_profile("Mill"), tools.today())
        planned = work.terms.plan(1).slots[0].piece_id
        work.commit()
    code, _, err = run("catalog", "join", "Paper", str(planned))
    assert (code, "Link the two" in err) == (4, True)
    code, out, _ = run("catalog", "join", "Paper", str(score))
    assert (code, "“Paper” has its score now: mill.mxl." in out) == (0, True)
    with tools.work() as work:
        assert score not in work.pieces.titles()
