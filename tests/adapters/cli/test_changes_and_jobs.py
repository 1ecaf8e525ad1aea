"""The commands of changes and of long work, over a home where the demo ran."""

import json
import re
from dataclasses import replace

import pytest

from planner.core.catalogue import catalogue_of
from planner.core.job import JobState
from planner.services.library.restudy import start_restudy
from planner.study.version import STUDY_VERSION
from planner.wording.director.catalogue import WORDS, value_text
from tests.checks import some
from tests.fakes import ANOTHER_CATALOGUE, BY


@pytest.fixture
def old(tools):
    """A home in which three studies are old."""
    with tools.work() as work:
        for piece_id in (1, 2, 3):
            work.pieces.replace_profile(piece_id, replace(work.pieces.profile(piece_id), study_version=0))
        work.commit()
    return tools


def stale(tools):
    with tools.work() as work:
        return work.pieces.find_stale(STUDY_VERSION)


def test_the_whole_catalogue_is_corrected_by_a_command_and_goes_back_with_one_undo(run, tools):
    with tools.work() as work:
        before = catalogue_of(work.pieces.get(1))
    typed = {name: value_text(name, value) for name, value in ANOTHER_CATALOGUE.items()}
    options = [word for name, text in typed.items() for word in ("--" + name.replace("_", "-"), text)]
    code, out, _ = run("correct", "1", *options)
    with tools.work() as work:
        assert (code, catalogue_of(work.pieces.get(1))) == (0, ANOTHER_CATALOGUE)
    for name, text in some(typed.items()):
        assert re.search(rf"^{WORDS[name].label} +{re.escape(text)}$", out, re.MULTILINE), name
    change = json.loads(run("changes", "--format", "json")[1])["changes"][0]
    assert run("changes", "undo", str(change["id"]))[0] == 0
    with tools.work() as work:
        assert catalogue_of(work.pieces.get(1)) == before
    shown = json.loads(run("correct", "1", "--format", "json")[1])
    assert shown == {"format": "piece-catalogue", "version": 1, "id": 1} | before | {
        "tags": [*before["tags"]]
    }


def test_restudy_makes_old_studies_anew_and_then_has_nothing_to_do(run, old):
    code, out, _ = run("restudy")
    assert (code, stale(old)) == (0, ())
    assert "3 pieces were studied again." in out
    code, out, _ = run("restudy")
    assert (code, out) == (0, "Every study is up to date.\n")
    code, out, _ = run("jobs")
    assert "Studying pieces again: done" in out
    assert "the command line" in out


def test_restudy_names_a_missing_file_and_ends_with_2(run, old):
    with old.work() as work:
        piece = work.pieces.get(2)
    old.files.path_of(piece.source).unlink()
    code, out, err = run("restudy")
    assert (code, stale(old)) == (2, (2,))
    assert f"“{piece.title}”: its score file is missing" in err
    assert "1 piece was not studied again and keeps its older study." in out
    assert run("restudy")[1] == "Every study that can be made is up to date.\n"


def test_a_stopped_job_is_listed_and_resumed(run, old):
    with old.work() as work:
        job = start_restudy(work, BY)
        work.commit()
    assert run("jobs", "stop", str(job.id))[0] == 0
    listed = json.loads(run("jobs", "--format", "json")[1])["jobs"]
    assert [(each["id"], each["state"]) for each in listed] == [(job.id, JobState.STOPPED)]
    code, out, _ = run("jobs", "resume", str(job.id))
    assert (code, stale(old)) == (0, ())
    assert "3 pieces were studied again." in out
    assert run("jobs", "resume", str(job.id))[0] == 4
    assert run("jobs", "stop", "99")[0] == 3


def test_the_keyboard_stops_restudy_and_says_how_to_go_on(run, old, monkeypatch):
    from planner.services.jobs import run as running

    def pressed(self, *_):
        raise KeyboardInterrupt

    monkeypatch.setattr(running.Steps, "tell", pressed)
    code, _, err = run("restudy")
    assert code == 130
    assert "planner jobs resume" in err
    with old.work() as work:
        assert work.jobs.list_jobs(1)[0].state == JobState.STOPPED


def test_changes_are_listed_and_undone(run, tools):
    run("levels", "correct", "1", "4.5")
    listed = json.loads(run("changes", "--format", "json")[1])["changes"]
    assert (listed[0]["kind"], listed[0]["door"]) == ("level", "command")
    assert (listed[0]["before"], listed[0]["after"]) == ({"level": None}, {"level": 4.5})
    number = str(listed[0]["id"])
    assert "level now 4.5 (was as the study finds it)" in run("changes")[1]
    code, out, _ = run("changes", "undo", number)
    assert code == 0
    assert out.startswith("Undone.")
    assert run("changes", "undo", number)[0] == 4
    with tools.work() as work:
        assert work.corrections.levels(1) == ()


def test_add_studies_an_old_piece_again_at_once(run, old):
    from planner.config import packaged

    with old.work() as work:
        name = work.pieces.get(1).source.name
    code, out, _ = run("add", str(packaged("sample_library") / name))
    assert (code, stale(old)) == (0, (2, 3))
    assert "0 new, 1 studied again" in out
