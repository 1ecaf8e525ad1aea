"""The levels at the command line: shown, corrected, held against criteria."""

import json
import re

import pytest

from planner.adapters.cli.main import main
from planner.config import packaged
from planner.core.difficulty import FOCUSES
from tests.conftest import wired

SAMPLE = packaged("sample_library")


@pytest.fixture
def run(home, capsys):
    boxes = []

    def build(settings):
        boxes.append(wired(settings.home))
        return boxes[-1]

    def run_one(*argv: str):
        code = main(["levels", *argv, "--home", str(home)], build=build, serve=lambda *_: None)
        printed = capsys.readouterr()
        return code, printed.out, " ".join(printed.err.split())

    yield run_one
    for box in boxes:
        box.close()


def test_a_piece_is_shown_by_part_and_dimension_with_what_makes_it(run):
    code, out, _ = run("show", "Lantern Street")
    assert code == 0
    assert "It adds up to" in out
    horn = next(line for line in out.splitlines() if line.startswith("Horn in F"))
    assert len(horn.split()) == 3 + 1 + len(FOCUSES)
    assert "Flute: It adds up to" in out
    assert "just readable" in out


def test_the_json_form_has_every_part_and_section(run):
    code, out, _ = run("show", "Lantern Street", "--format", "json")
    shown = json.loads(out)
    assert (code, shown["format"]) == (0, "piece-levels")
    flute = next(part for part in shown["parts"] if part["name"] == "Flute")
    assert {d["name"] for d in flute["dimensions"]} >= {"rhythm", "range", "independence"}
    assert next(s for s in shown["sections"] if s["section"] == "Flute")["part"] == "Flute"


def test_one_part_is_shown_with_its_evidence_and_the_checks_of_its_section(run):
    code, out, _ = run("show", "Lantern Street", "--part", "trumpet 1", "--checks")
    assert code == 0
    assert "G5" in out
    assert "out of comfortable reach" in out
    assert "an octave lower" in out
    assert "Tuba" not in out


def test_an_unknown_part_is_named_with_those_there_are(run):
    code, _, said = run("show", "Lantern Street", "--part", "Viola")
    assert code == 2
    assert "no part “Viola”" in said
    assert "Euphonium" in said


def test_a_correction_holds_is_told_and_is_taken_back(run):
    before = json.loads(run("show", "Windmill", "--format", "json")[1])["level"]
    code, out, _ = run("correct", "Windmill", "3.5")
    assert code == 0
    assert "Windmill stands at level 3.5." in out
    assert "other pieces moved" in out
    run("correct", "Windmill", "2.5", "--part", "flute", "--dimension", "rhythm")
    _, out, _ = run("show", "Windmill")
    assert "Your level is 3.5" in out
    assert "Flute, rhythm: 2.5" in out
    run("correct", "Windmill", "--remove", "--part", "Flute", "--dimension", "rhythm")
    code, out, _ = run("correct", "Windmill", "--remove")
    assert "All levels are as the study says." in out
    assert json.loads(run("show", "Windmill", "--format", "json")[1])["level"] == before


@pytest.mark.parametrize(
    ("argv", "code", "sentence"),
    [
        (("correct", "Windmill"), 2, "Give a level, or --remove"),
        (("correct", "Windmill", "7"), 2, "from 0.5 to 6, not 7"),
        (("correct", "Windmill", "3", "--dimension", "loudness"), 2, "loudness"),
        (("correct", "Windmill", "3", "--part", "Viola"), 3, "no part “Viola”"),
        (("correct", "No Such Piece", "3"), 3, "no piece"),
    ],
)
def test_what_cannot_be_corrected_is_told_with_its_code(run, argv, code, sentence):
    found, _, said = run(*argv)
    assert (found, sentence in said) == (code, True), said


def test_an_instrument_set_by_hand_is_studied_and_goes_back(run):
    code, out, _ = run("instrument", "Windmill", "oboe", "flute")
    assert code == 0
    assert out.startswith("Oboe: Flute (your word), level")
    _, out, _ = run("instrument", "Windmill", "Oboe")
    assert out.startswith("Oboe: Oboe, level")


def test_sets_of_criteria_are_listed_and_one_is_printed(run):
    code, out, _ = run("criteria")
    assert code == 0
    assert any(line.startswith("fba-md ") for line in out.splitlines())
    code, out, _ = run("criteria", "fba-md")
    assert code == 0
    assert "Source: FBA" in out
    assert "meters: 2/4, 3/4, 4/4" in out


def test_a_score_is_held_against_each_limit_and_broken_ones_name_part_and_bar(run):
    code, out, _ = run("criteria", "fba-md", str(SAMPLE / "lantern-street.mxl"))
    assert code == 0
    assert "BROKEN  meters" in out
    assert "(bar 1" in out
    assert "met     rolls" in out or "BROKEN  rolls" in out
    code, out, _ = run("criteria", "fba-md", str(SAMPLE / "lantern-street.mxl"), "--format", "json")
    limits = {each["limit"]: each for each in json.loads(out)["limits"]}
    assert limits["meters"]["is_met"] is False
    assert limits["meters"]["faults"][0]["bars"]


def test_strict_turns_a_broken_limit_into_an_exit_code(run, home):
    assert run("criteria", "fba-md", str(SAMPLE / "lantern-street.mxl"), "--strict")[0] == 4
    folder = home / "criteria"
    folder.mkdir()
    (folder / "ours.toml").write_text('[[set]]\nname = "ours"\nmeters = ["2/4", "7/8"]\n', encoding="utf-8")
    code, out, _ = run("criteria", "ours", str(SAMPLE / "lantern-street.mxl"), "--strict")
    assert (code, "every limit met" in out) == (0, True)


def own_set(home, text):
    (home / "criteria").mkdir(exist_ok=True)
    (home / "criteria" / "ours.toml").write_text(f'[[set]]\nname = "ours"\n{text}\n', encoding="utf-8")


@pytest.mark.parametrize(
    ("limits", "answer", "code", "label", "summary"),
    [
        ('ranges = { harp = ["C2", "C6"] }', "cannot be judged", 8, "?       ranges",
         "no limit broken, but 1 of 1 cannot be judged"),
        ('ranges = { harp = ["C2", "C6"] }\nmeters = ["5/4"]', "broken", 4, "BROKEN  meters",
         "1 of 2 limits broken, 1 cannot be judged"),
        ("measures = [1, 500]", "met", 0, "met     measures", "every limit met"),
    ],
)  # fmt: skip
def test_the_three_answers_differ_in_words_in_the_exit_code_and_in_json(
    run, home, limits, answer, code, label, summary
):
    own_set(home, limits)
    file = str(SAMPLE / "lantern-street.mxl")
    found, out, _ = run("criteria", "ours", file, "--strict")
    assert found == code
    assert label in out
    assert summary in out
    assert run("criteria", "ours", file)[0] == 0, "without --strict it is a report"
    report = json.loads(run("criteria", "ours", file, "--format", "json")[1])
    assert report["answer"] == answer
    first = report["limits"][0]
    if first["answer"] == "cannot be judged":
        assert first["is_met"] is False
        assert first["faults"] == []
        assert first["doubts"][0]["sentence"] == "Cannot be judged, because no part is for Harp."
        assert first["doubts"][0]["sentence"] in out


def test_a_set_in_the_home_takes_the_place_of_its_namesake(run, home):
    (home / "criteria").mkdir()
    text = '[[set]]\nname = "fba-md"\ntitle = "Our own"\nmeasures = [1, 500]\n'
    (home / "criteria" / "own.toml").write_text(text, encoding="utf-8")
    assert "fba-md           Our own" in run("criteria")[1]
    assert run("criteria", "fba-md", str(SAMPLE / "lantern-street.mxl"), "--strict")[0] == 0


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"[[set]]\nname = 'x'\nspeed = 3\n", "no rule 'speed'"),
        (b"[[set]\n", "cannot be read as criteria"),
        (b"\xff\xfe\x00", "is not text"),
        (b"[[set]]\nname = 'x'\nmeasures = 'many'\n", "a value of the wrong kind"),
    ],
)
def test_an_ill_formed_criteria_file_is_named_in_one_sentence(run, home, content, sentence):
    (home / "criteria").mkdir()
    (home / "criteria" / "own.toml").write_bytes(content)
    code, _, said = run("criteria", "x", str(SAMPLE / "lightly-row.mxl"))
    assert code == 2
    assert sentence in said


def test_unknown_sets_and_files_that_are_no_scores_have_their_codes(run, tmp_path):
    code, _, said = run("criteria", "nowhere", str(SAMPLE / "lightly-row.mxl"))
    assert (code, "fba-md" in said) == (3, True)
    assert run("criteria", "fba-md", str(tmp_path / "absent.mxl"))[0] == 2
    text = tmp_path / "notes.mxl"
    text.write_text("no music", encoding="utf-8")
    assert run("criteria", "fba-md", str(text))[0] == 2


def test_checks_are_shown_problem_by_problem_with_sections_and_bars(run):
    code, out, _ = run("show", "Lantern Street", "--checks")
    assert code == 0
    known = out[out.index("What the sections should know") :]
    assert known.count("Notes out of comfortable reach") == 1
    assert re.search(r"Trumpet 1 \(level [\d.]+\): \d+ notes? too high in bars? \d+", " ".join(known.split()))
    code, out, _ = run("show", "Lantern Street", "--checks", "--format", "json")
    shown = json.loads(out)
    by_section = sum(len(section["checks"]) for section in shown["sections"])
    assert sum(len(problem["sections"]) for problem in shown["problems"]) == by_section > 0
