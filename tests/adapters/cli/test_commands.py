"""The commands over a home where the demo ran: what they print, what they store, how they end."""

import json
import re
import shutil
from datetime import date, time
from pathlib import Path

import pytest

from planner.adapters.cli.main import main
from planner.adapters.cli.show import _fresh_demo_home
from planner.config import packaged
from tests.conftest import wired


def inspect(capsys, *argv: str):
    code = main(["inspect", *argv], build=lambda s: wired(s.home), serve=lambda *_: None)
    printed = capsys.readouterr()
    return code, printed.out, printed.err


def test_inspect_prints_one_object_for_one_file(capsys):
    code, out, _ = inspect(capsys, str(packaged("sample_library") / "windmill.mxl"), "--format", "json")
    profile = json.loads(out)
    assert code == 0
    assert (profile["format"], profile["version"]) == ("piece-profile", 1)
    assert profile["title"] == "Windmill"
    assert profile["meters"][0]["time"] == "6/8"
    assert len(profile["parts"]) == 17


def test_inspect_prints_a_list_for_several_and_goes_on_after_a_bad_one(capsys, tmp_path):
    bad = tmp_path / "empty.musicxml"
    bad.write_bytes(b"")
    good = str(packaged("sample_library") / "windmill.mxl")
    code, out, err = inspect(capsys, str(bad), good, "--format", "json")
    assert code == 2
    first, second = json.loads(out)
    assert (first["file"], first["refused"]["kind"]) == (str(bad), "score-read")
    assert "empty.musicxml: " in first["refused"]["sentence"]
    assert (second["file"], second["title"]) == (good, "Windmill")
    assert "empty.musicxml" in err


def test_inspect_studies_each_movement_of_a_file_by_itself(capsys):
    path = Path(__file__).parents[2] / "scores" / "two_movements.musicxml"
    code, out, _ = inspect(capsys, str(path), "--format", "json")
    whole = json.loads(out)
    assert code == 0
    assert list(whole) == ["format", "version", "pieces"]
    assert (whole["format"], whole["version"]) == ("piece-profile", 1)
    assert [piece["title"] for piece in whole["pieces"]] == [
        "Two movements: 1. Allegro",
        "Two movements: 2. Andante",
    ]
    assert all((piece["format"], piece["version"]) == ("piece-profile", 1) for piece in whole["pieces"])
    assert [piece["measures"] for piece in whole["pieces"]] == [2, 2]
    code, out, _ = inspect(
        capsys, str(path), str(packaged("sample_library") / "windmill.mxl"), "--format", "json"
    )
    assert ["pieces" in each for each in json.loads(out)] == [True, False]
    code, out, _ = inspect(capsys, str(path))
    assert out.index("Two movements: 1. Allegro") < out.index("Two movements: 2. Andante")


def test_inspect_of_one_part_speaks_of_that_part_alone(capsys):
    score = str(packaged("sample_library") / "windmill.mxl")
    code, out, _ = inspect(capsys, score, "--part", "Tuba")
    assert code == 0
    assert "Tuba" in out
    assert "Trombone\n---" not in out


def test_inspect_of_an_unknown_part_is_not_found(capsys):
    code, _, err = inspect(capsys, str(packaged("sample_library") / "windmill.mxl"), "--part", "Theremin")
    assert code == 3
    assert "Theremin" in err


def test_inspect_leaves_no_home_behind(tmp_path, capsys):
    main(
        ["inspect", str(packaged("sample_library") / "windmill.mxl")],
        build=lambda s: wired(tmp_path / "nowhere"),
        serve=lambda *_: None,
    )
    assert not (tmp_path / "nowhere").exists()


def test_add_skips_what_is_there_and_says_what_is_new(run, tmp_path):
    folder = tmp_path / "scores"
    folder.mkdir()
    for name in ("windmill", "six-small-steps"):
        shutil.copy(packaged("sample_library") / f"{name}.mxl", folder)
    code, out, _ = run("add", str(folder))
    assert code == 0
    assert "1 new, 1 unchanged, 0 refused" in out
    assert "Six Small Steps" in out


def test_add_of_a_bad_file_ends_with_2_and_stores_the_good_one(run, tmp_path):
    (tmp_path / "bad.musicxml").write_text("<score-partwise>")
    shutil.copy(packaged("sample_library") / "six-small-steps.mxl", tmp_path)
    code, out, err = run("add", str(tmp_path / "bad.musicxml"), str(tmp_path / "six-small-steps.mxl"))
    assert code == 2
    assert "1 new" in out
    assert "bad.musicxml" in err


def test_match_ranks_only_fresh_pieces(run):
    code, out, _ = run("match", "--format", "json")
    view = json.loads(out)
    _, planned, _ = run("plan", "--format", "json")
    past = {s["piece"] for s in json.loads(planned)["slots"] if s["past"]}
    assert code == 0
    assert view["candidates"]
    assert not past & {c["title"] for c in view["candidates"]}


def test_plan_keeps_a_pin_and_writes_the_three_files(run):
    _, out, _ = run("plan", "--format", "json")
    before = json.loads(out)
    coming = [s for s in before["slots"] if not s["past"]]
    first, last = coming[-2], coming[-1]
    code, out, err = run("plan", "--pin", f"{first['piece']}@{last['on']}", "--format", "json")
    assert code == 0, err
    after = json.loads(out)
    assert after["slots"] == before["slots"], "the plan in force stays until the director takes another"
    assert run("proposal", "--take")[0] == 0
    after["slots"] = json.loads(run("plan", "--format", "json")[1])["slots"]
    assert [s["piece"] for s in after["slots"] if s["on"] == last["on"]] == [first["piece"]]
    assert {path.rsplit(".", 1)[1] for path in after["files"]} == {"pdf", "xlsx", "ics"}


def test_a_term_with_more_slots_than_pieces_ends_with_9_and_names_days_and_what_would_help(run):
    code, _, err = run("plan", "--every-day")
    assert code == 9
    assert err.startswith("There are too few fresh pieces for ")
    assert re.search(r"or let \w+ slots? stay\s+open", err)


def test_a_new_term_is_set_and_planned(run):
    code, out, _ = run(
        "plan", "--term", "Summer", "--first", "2027-05-03", "--last", "2027-05-14", "--weekday", "mon",
        "--off", "2027-05-10", "--format", "json",
    )  # fmt: skip
    assert code == 0
    assert json.loads(out)["term"] == "Summer"
    assert {s["on"] for s in json.loads(out)["slots"]} | set(json.loads(out)["open"]) == {"2027-05-03"}


def test_results_move_the_level_of_a_section(run):
    _, out, _ = run("plan", "--format", "json")
    day = next(s["on"] for s in json.loads(out)["slots"] if not s["past"])
    code, out, _ = run(
        "results", "--on", day, "Flute=20", "Oboe=90,95", "--format", "json",
        today=date.fromisoformat(day),
    )  # fmt: skip
    levels = {row["section"]: row for row in json.loads(out)["levels"]}
    assert code == 0
    assert levels["Flute"]["after"] < levels["Flute"]["before"]


def test_all_that_the_page_enters_of_a_reading_is_entered_by_command(run):
    _, out, _ = run("plan", "--format", "json")
    on = next(s["on"] for s in json.loads(out)["slots"] if not s["past"])
    here = date.fromisoformat(on)
    code, _, err = run(
        "results", "--on", on, "all=85,90", "Flute=fell apart", "Oboe=60", "--wrong", "Oboe=rhythm, 2-3",
        "--tempo", "all=92", "--remark", "Oboe=half of them", "--does-not-count", "Oboe", today=here,
    )  # fmt: skip
    assert code == 0, err
    _, out, _ = run("day", "--on", on, "--format", "json", today=here)
    found = {row["section"]: row for row in json.loads(out)["pieces"][0]["results"]}
    oboe, flute = found.pop("Oboe"), found.pop("Flute")
    # The piece begins with a pickup.
    assert (oboe["first"], oboe["wrong_bars"], oboe["note"]) == (0.6, [[2, 3]], "half of them")
    assert ("rhythm" in oboe["problems"], oboe["counts"], oboe["tempo_bpm"]) == (True, False, 92)
    assert (flute["fell_apart"], flute["first"], flute["second"]) == (True, 0.25, None)
    assert {(row["first"], row["second"], row["tempo_bpm"]) for row in found.values()} == {(0.85, 0.9, 92)}
    code, _, _ = run("results", "--on", on, "Oboe=70,80", today=here)
    _, out, _ = run("day", "--on", on, today=here)
    line = "Oboe: 70, then 80 of 100; went wrong: rhythm"
    assert line in out
    assert "bars 2–3; at 92 beats a minute; “half of them” (does not count)" in out
    code, _, err = run("results", "--on", on, "all=50", "--replace", today=here)
    assert code != 0
    assert "have entries already" in err


@pytest.mark.parametrize(
    ("reading", "says"),
    [("Flute", "is not a reading"), ("Flute=lots", "must be a number"), ("Flute=150", "from 0 to 100")],
)
def test_a_reading_that_is_none_ends_with_2(run, reading, says):
    code, _, err = run("results", "--on", "2026-11-26", "--piece", "1", reading)
    assert code == 2
    assert says in err


def test_an_unknown_section_ends_with_3(run):
    code, _, err = run("results", "--on", "2026-11-26", "--piece", "1", "Theremin=80")
    assert code == 3
    assert "Theremin" in err


def test_guides_print_one_file_a_part_and_a_packet(run):
    code, out, _ = run("guides", "--format", "json")
    files = json.loads(out)["files"]
    assert code == 0
    assert len(files) == 19
    assert [file.rsplit("/", 1)[1] for file in files[:2]] == ["director.pdf", "packet.pdf"]


def test_two_kinds_of_guides_at_once_are_refused(run):
    code, _, err = run("guides", "--blanks", "--large-print")
    assert code == 2
    assert "not both" in err


def test_the_gradebook_is_written(run):
    code, out, _ = run("gradebook", "--format", "json")
    assert code == 0
    assert json.loads(out)["files"][0].endswith(".xlsx")


def test_sections_are_made_from_a_piece_and_changed_from_a_table(run, tmp_path):
    code, out, _ = run(
        "sections", "--new", "--ensemble", "Second Band", "--from-piece", "Windmill", "--level", "1.5",
        "--format", "json",
    )  # fmt: skip
    rows = json.loads(out)["sections"]
    assert code == 0
    assert len(rows) == 17
    assert {row["level"] for row in rows} == {1.5}
    table = tmp_path / "sections.csv"
    table.write_text("name,instrument,chair,players,level\nFlute,flute,1,5,3\n")
    _, out, _ = run("sections", "--ensemble", "Second Band", "--file", str(table), "--format", "json")
    flute = json.loads(out)["sections"][0]
    assert (flute["players"], flute["level"]) == (5, 3.0)


def test_a_table_with_a_bad_row_changes_nothing(run, tmp_path):
    table = tmp_path / "sections.csv"
    table.write_text("name,instrument,chair,players,level\nFlute,flute,1,5,3\nGong,moonharp,1,1,2\n")
    _, before, _ = run("sections", "--format", "json")
    code, _, err = run("sections", "--file", str(table))
    _, after, _ = run("sections", "--format", "json")
    assert code == 2
    assert "Row 3" in err
    assert before == after


def test_a_word_for_several_instruments_in_a_table_is_refused_with_the_choices(run, tmp_path):
    table = tmp_path / "sections.csv"
    table.write_text("name,instrument,chair,players,level\nLow,Bass,1,1,2\n")
    code, _, err = run("sections", "--file", str(table))
    assert code == 2
    said = " ".join(err.split())
    assert "Row 2: “Bass” can be several instruments." in said
    assert "“Double Bass”" in said
    assert "“Tuba”" in said


def test_met_makes_a_piece_not_fresh(run):
    _, out, _ = run("match", "--format", "json")
    title = json.loads(out)["candidates"][0]["title"]
    code, _, _ = run("met", title, "--how", "heard", "--on", "2026-01-15")
    _, out, _ = run("match", "--format", "json")
    assert code == 0
    assert title not in {c["title"] for c in json.loads(out)["candidates"]}


def test_the_demo_refuses_a_home_that_holds_a_library(run):
    code, _, err = run("demo")
    assert code == 4
    assert "already holds a library" in err


def test_a_missing_ensemble_ends_with_3(run, tmp_path):
    code, _, err = run("match", home=tmp_path / "fresh")
    assert code == 3
    assert "planner sections" in err


def test_help_is_there_for_every_command(capsys):
    for name in ("add", "inspect", "match", "plan", "guides", "results", "gradebook", "serve", "demo"):
        assert main([name, "--help"], build=lambda s: wired(s.home), serve=lambda *_: None) == 0
        assert "Usage: planner" in capsys.readouterr().out


def test_the_demo_clears_only_what_an_earlier_demo_left(tmp_path):
    fresh = _fresh_demo_home(tmp_path / "demo")
    (fresh / "library.sqlite").write_text("of the demo before")
    assert [path.name for path in _fresh_demo_home(fresh).iterdir()] == ["made-by-the-demo"]
    own = tmp_path / "own"
    own.mkdir()
    (own / "library.sqlite").write_text("the director's")
    for _ in range(2):
        _fresh_demo_home(own)
    assert (own / "library.sqlite").read_text() == "the director's"


def test_a_time_of_day_is_set_for_the_term_at_hand(run, home):
    code, out, _ = run("plan", "--starts-at", "2:10 pm", "--time-zone", "america/chicago", "--format", "json")
    assert code == 0
    (calendar,) = [path for path in json.loads(out)["files"] if path.endswith(".ics")]
    text = Path(calendar).read_text(encoding="utf-8")
    assert "TZID:America/Chicago" in text
    assert "T141000" in text
    tools = wired(home)
    with tools.work() as unit:
        assert (unit.terms.get(1).starts_at, unit.terms.get(1).time_zone) == (time(14, 10), "America/Chicago")
    tools.close()


@pytest.mark.parametrize(
    ("given", "says"),
    [
        (("--starts-at", "2 pm"), "not a time of day"),
        (("--time-zone", "Chicago time"), "not the name of a time zone"),
    ],
)
def test_a_time_that_is_none_ends_with_2(run, given, says):
    code, _, err = run("plan", *given)
    assert code == 2
    assert says in err
