"""Pieces with an older study are studied again; what the director corrected stays."""

from dataclasses import replace
from datetime import date

import pytest

from planner.core.catalogue import catalogue_of
from planner.core.change import ChangeKind
from planner.core.job import JobState
from planner.core.piece import KeptStudy
from planner.errors import NotFoundError, ScoreReadError
from planner.services.jobs import run
from planner.services.jobs.kinds import KINDS
from planner.services.jobs.manage import stop_job
from planner.services.jobs.run import run_job
from planner.services.levels.correct import correct_level
from planner.services.library import restudy as restudy_module
from planner.services.library.catalogue import correct_piece
from planner.services.library.restudy import start_restudy, study_standing
from planner.services.ports.scores import Studied
from planner.services.toolbox import changing
from planner.study.version import STUDY_VERSION
from planner.wording.director.jobs import refusal_sentence, standing_sentence
from tests.fakes import (
    ANOTHER_CATALOGUE,
    BY,
    FakeFiles,
    FakeLibrary,
    FakeLocks,
    FakeStudies,
    at_a_door,
    make_profile,
    make_source,
)

OLD = STUDY_VERSION - 1


class Desk:
    """A library of pieces with older studies, wired as a toolbox."""

    def __init__(self, folder, titles="abcd") -> None:
        self.work, self.locks = FakeLibrary(), FakeLocks()
        self.files, self.studies = FakeFiles(), FakeStudies()
        self.now = lambda: BY.at
        self.folder = folder
        self.ids = {}
        for title in titles:
            (folder / f"{title}.mxl").write_text(f"new {title}", encoding="utf-8")
            with self.work() as work:
                profile = make_profile(title, study_version=OLD, level=1.5)
                self.ids[title] = work.pieces.add(make_source(title), profile, date(2026, 9, 3))
                work.commit()
        self.files.path_of = self.path_of

    def path_of(self, source):
        if not (self.folder / source.name).exists():
            raise NotFoundError("score file of", source.name)
        return self.folder / source.name

    def start(self, **options):
        with self.work() as work:
            job = start_restudy(work, BY, **options)
            work.commit()
        return job

    def restudy(self, job=None, **options):
        return run_job(self, KINDS, (job or self.start(**options)).id)

    def titles(self):
        return [piece.title for piece in self.work.state.pieces.values()]

    def versions(self):
        return {p.title: self.work.state.profiles[i].study_version for i, p in self.work.state.pieces.items()}


@pytest.fixture
def desk(tmp_path, monkeypatch):
    monkeypatch.setattr(run, "REPORT_EVERY_S", 0.0)
    return Desk(tmp_path)


def test_every_piece_with_an_older_study_is_studied_again(desk):
    job = desk.restudy()
    assert (job.state, job.done, job.total) == (JobState.DONE, 4, 4)
    assert job.result["studied"] == 4
    assert set(desk.versions().values()) == {STUDY_VERSION}
    assert desk.titles() == ["new a", "new b", "new c", "new d"]


def test_nothing_is_asked_for_when_every_study_is_up_to_date(desk):
    desk.restudy()
    assert desk.start() is None


def test_a_piece_that_is_up_to_date_is_left_alone(desk):
    with desk.work() as work:
        work.pieces.replace_profile(desk.ids["b"], make_profile("b"))
        work.commit()
    desk.restudy()
    assert sorted(desk.studies.studied) == ["a.mxl", "c.mxl", "d.mxl"]


def test_corrections_by_hand_stay(desk):
    piece_id = desk.ids["a"]
    at_a_door(desk.work, correct_piece, piece_id, ANOTHER_CATALOGUE, BY)
    at_a_door(desk.work, correct_level, piece_id, 3.5, by=BY)
    at_a_door(desk.work, correct_level, piece_id, 4.0, by=BY, part="Flute")
    with desk.work() as work:
        work.corrections.put_instrument(piece_id, "Flute", "oboe")
        work.commit()
    desk.restudy()
    with desk.work() as work:
        piece, profile = work.pieces.get(piece_id), work.pieces.profile(piece_id)
        own = {(one.part, one.dimension): one.level for one in work.corrections.levels(piece_id)}
    assert (catalogue_of(piece), piece.level) == (ANOTHER_CATALOGUE, 3.5)
    assert own == {("", ""): 3.5, ("Flute", ""): 4.0}
    assert (profile.title, profile.parts[0].instrument) == ("new a", "oboe")
    assert profile.study_version == STUDY_VERSION


def test_work_that_is_stopped_goes_on_and_studies_nothing_twice(desk):
    job = desk.start()
    study_files = desk.studies.study_files

    def stop_at_second(paths, progress=None):
        for count, outcome in enumerate(study_files(paths), start=1):
            if count == 2:
                with desk.work() as work:
                    stop_job(work, desk.locks, job.id)
                    work.commit()
            yield outcome

    desk.studies.study_files = stop_at_second
    stopped = desk.restudy(job)
    assert (stopped.state, stopped.done) == (JobState.STOPPED, 2)
    assert sorted(desk.versions().values()) == [OLD, OLD, STUDY_VERSION, STUDY_VERSION]
    desk.studies.study_files = study_files
    again = desk.start()
    assert again.id == job.id
    finished = desk.restudy(again)
    assert (finished.state, finished.done, finished.total) == (JobState.DONE, 4, 4)
    assert sorted(desk.studies.studied) == ["a.mxl", "b.mxl", "c.mxl", "d.mxl"]


def test_what_somebody_stopped_goes_on_only_when_somebody_asks(desk):
    job = desk.start()
    with changing(desk.work) as work:
        stop_job(work, desk.locks, job.id)
    assert desk.start(is_asked_for=False).state == JobState.STOPPED
    assert desk.start().state == JobState.QUEUED
    desk.restudy(job)
    assert desk.start(is_asked_for=False) is None


def test_a_job_that_goes_on_in_a_newer_program_does_what_is_out_of_date_there(desk, monkeypatch):
    with changing(desk.work) as work:
        work.pieces.replace_profile(desk.ids["d"], make_profile("d"))
    job = desk.start()
    with changing(desk.work) as work:
        stop_job(work, desk.locks, job.id)
    monkeypatch.setattr(restudy_module, "STUDY_VERSION", STUDY_VERSION + 1)
    study_files = desk.studies.study_files
    desk.studies.study_files = lambda paths: (
        (place, replace(outcome, profile=replace(outcome.profile, study_version=STUDY_VERSION + 1)))
        for place, outcome in study_files(paths)
    )
    finished = desk.restudy()
    assert (finished.id, finished.done, finished.total) == (job.id, 4, 4)
    assert set(desk.versions().values()) == {STUDY_VERSION + 1}


def test_a_missing_or_unreadable_file_keeps_its_older_study_and_is_named(desk):
    (desk.folder / "b.mxl").unlink()

    def study_files(paths, progress=None):
        for place, path in enumerate(paths):
            bad = ScoreReadError(path.name, "it is empty") if path.name == "c.mxl" else None
            yield place, bad or Studied(make_profile(path.read_text(encoding="utf-8")), b"clean")

    desk.studies.study_files = study_files
    job = desk.restudy()
    assert job.state == JobState.DONE
    assert (job.result["studied"], job.result["kept"]) == (2, 2)
    assert {refusal.name: refusal.slug for refusal in job.refusals} == {"b": "not-found", "c": "score-read"}
    with desk.work() as work:
        assert work.pieces.profile(desk.ids["b"]).title == "b"
        assert work.pieces.profile(desk.ids["c"]).title == "c"
        standing = study_standing(work, desk.ids["c"])
        assert standing.kept == KeptStudy(desk.ids["c"], STUDY_VERSION, "score-read", "it is empty")
        assert "it is empty" in standing_sentence(standing.kept)
        assert study_standing(work, desk.ids["a"]).is_old is False
        assert set(work.pieces.lines()) >= {desk.ids[name] for name in "abc"}, "lists go by what is kept too"
    assert "missing" in refusal_sentence(next(r for r in job.refusals if r.name == "b"))


def test_what_could_not_be_studied_is_tried_again_only_when_asked(desk):
    (desk.folder / "b.mxl").unlink()
    desk.restudy()
    assert desk.start() is None
    (desk.folder / "b.mxl").write_text("found b", encoding="utf-8")
    job = desk.restudy(with_kept=True)
    assert job.result["studied"] == 1
    assert "found b" in desk.titles()
    with desk.work() as work:
        assert work.pieces.kept_studies(STUDY_VERSION) == {}


def test_a_piece_corrected_while_it_was_studied_is_not_overwritten(desk):
    study_files = desk.studies.study_files

    def correct_meanwhile(paths, progress=None):
        with desk.work() as work:
            work.corrections.put_instrument(desk.ids["a"], "Flute", "oboe")
            work.commit()
        yield from study_files(paths)

    desk.studies.study_files = correct_meanwhile
    job = desk.restudy()
    assert job.result["kept"] == 1
    with desk.work() as work:
        assert work.pieces.find_stale(STUDY_VERSION) == (desk.ids["a"],)
    desk.studies.study_files = study_files
    desk.restudy()
    with desk.work() as work:
        assert work.pieces.profile(desk.ids["a"]).parts[0].instrument == "oboe"


def test_a_piece_removed_meanwhile_is_passed_over(desk):
    study_files = desk.studies.study_files

    def remove_meanwhile(paths, progress=None):
        with desk.work() as work:
            work.pieces.remove(desk.ids["a"])
            work.commit()
        yield from study_files(paths)

    desk.studies.study_files = remove_meanwhile
    assert desk.restudy().state == JobState.DONE
    assert desk.titles() == ["new b", "new c", "new d"]


def test_each_new_study_is_in_the_journal_with_its_job(desk):
    job = desk.restudy()
    with desk.work() as work:
        changes = work.changes.of_job(job.id)
    assert {change.kind for change in changes} == {ChangeKind.STUDY}
    assert len(changes) == 4
    assert changes[0].before["study_version"] == OLD
    assert changes[0].after["study_version"] == STUDY_VERSION


def test_levels_that_moved_are_named_the_largest_move_first(desk):
    desk.studies.study_files = lambda paths, progress=None: (
        (place, make_profile(path.stem, level={"a": 1.52, "b": 2.5, "c": 1.0, "d": 1.5}[path.stem]))
        for place, path in enumerate(paths)
    )
    moved = desk.restudy().result["moved"]
    assert [(each["title"], each["before"], each["after"]) for each in moved] == [
        ("b", 1.5, 2.5), ("c", 1.5, 1.0),
    ]  # fmt: skip


def test_the_level_in_force_follows_the_new_study(desk):
    desk.studies.study_files = lambda paths, progress=None: (
        (place, replace(make_profile(path.stem), level=3.0)) for place, path in enumerate(paths)
    )
    desk.restudy()
    assert {piece.level for piece in desk.work.state.pieces.values()} == {3.0}
