"""An import as long work: watched, stopped, gone on with, and taken back as a whole."""

import zipfile
from dataclasses import replace
from datetime import UTC, date, datetime
from functools import partial

import pytest

from planner.config import Settings
from planner.core.change import ChangeKind
from planner.core.ensemble import Ensemble, Exposure
from planner.core.job import JobState
from planner.core.term import Plan, Slot, Term, Wish
from planner.errors import ConflictError, NotFoundError
from planner.services.changes.journal import list_journal
from planner.services.imports.import_job import IMPORT, brought_by, import_job, start_import
from planner.services.imports.undo_import import (
    import_of_change,
    look_at_undo,
    start_undo_import,
    undo_import_job,
)
from planner.services.jobs.kinds import KINDS
from planner.services.jobs.manage import list_jobs, stop_job
from planner.services.jobs.run import run_job
from planner.services.jobs.worker import do_next
from planner.services.library.catalogue import correct_piece, remove_piece
from planner.services.library.copies import count_copies
from planner.services.toolbox import changing
from planner.study.version import STUDY_VERSION
from planner.wording.director.changes import change_sentence
from planner.wording.director.jobs import progress_sentence, refusal_sentence
from tests.checks import some
from tests.fakes import BY, FakeFiles, FakeLibrary, FakeLocks, FakeStudies, at_a_door
from tests.services.imports.test_archives import make_zip

AT = datetime(2026, 9, 3, 8, 30, tzinfo=UTC)


class Inbox:
    def __init__(self):
        self.removed = []

    def remove(self, arrival):
        self.removed.append(arrival)


class Files(FakeFiles):
    """Keeps the files on disk, so that an older one can be studied again."""

    def __init__(self, folder):
        super().__init__()
        self.folder = folder

    def path_of(self, source):
        path = super().path_of(source)
        place = self.folder / path.name
        place.write_bytes(self.kept[source.sha256])
        return place


class Desk:
    """A folder of scores, and the ports that an import needs."""

    def __init__(self, tmp_path):
        self.folder = tmp_path / "Fall"
        self.folder.mkdir()
        store = tmp_path / "store"
        store.mkdir()
        self.work, self.locks, self.files, self.studies = (
            FakeLibrary(), FakeLocks(), Files(store), FakeStudies(),
        )  # fmt: skip
        self.inbox = Inbox()
        self.settings = Settings(tmp_path / "home")
        self.now, self.today = (lambda: AT), (lambda: date(2026, 9, 3))

    def write(self, name, text):
        path = self.folder / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
        return path

    def start(self, *paths, **how):
        return at_a_door(self.work, start_import, paths or (self.folder,), BY, **how)

    def run(self, job, **how):
        return run_job(self, KINDS, job.id, **how)

    def add(self, *paths, **how):
        return self.run(self.start(*paths, **how))

    def undo(self, job):
        return self.run(at_a_door(self.work, start_undo_import, self.locks, job.id, BY))

    def journal(self):
        with self.work() as work:
            return [(change_sentence(e.change, e.count), e.can_be_undone) for e in list_journal(work).entries]

    @property
    def pieces(self):
        return {piece.title: piece for piece in self.work.state.pieces.values()}


@pytest.fixture
def desk(tmp_path):
    return Desk(tmp_path)


def test_an_import_is_one_line_of_the_journal_and_names_what_it_refused(desk):
    for name in ("Air", "Rondo", "Gigue"):
        desk.write(f"{name}.mxl", name)
    desk.write("old/march.mxl", "bad ending")
    job = desk.add()
    assert job.state == JobState.DONE
    assert job.result == {"added": 3, "renewed": 0, "unchanged": 0, "refused": 1}
    assert progress_sentence(job) == "3 new, 0 unchanged, 1 refused."
    (refusal,) = job.refusals
    assert refusal_sentence(refusal, IMPORT) == "Fall/old/march.mxl: bad ending."
    assert desk.journal() == [("3 pieces were added from “Fall”.", True)]
    with desk.work() as work:
        assert {piece.title for piece in brought_by(work, job.id).added} == {"Air", "Rondo", "Gigue"}


def test_a_refused_file_is_never_called_unchanged_nor_are_its_copies(desk):
    desk.write("a.mxl", "bad one")
    desk.write("b.mxl", "bad one")
    desk.write("c/a.mxl", "Air")
    desk.write("c/b.mxl", "Air")
    make_zip(desk.folder / "d.zip", {"bad.mxl": b"bad one", "air.mxl": b"Air"})
    reports = []
    kinds = {**KINDS, IMPORT: partial(import_job, report=reports.append)}
    for added in (1, 0):
        job = run_job(desk, kinds, desk.start().id)
        assert (job.result["added"], job.result["refused"]) == (added, 3)
        report = reports.pop()
        refused = {path.relative_to(desk.folder).as_posix() for path in (r.path for r in report.refused)}
        assert refused == {"a.mxl", "b.mxl", "d.zip/bad.mxl"}
        assert not refused & {path.relative_to(desk.folder).as_posix() for path in report.unchanged}
        assert len(report.unchanged) == 3 - added
        assert sum("has the same content" in each.detail for each in job.refusals) == 2


def test_a_stopped_import_keeps_what_is_done_and_the_same_command_goes_on_with_it(desk):
    for number in range(5):
        desk.write(f"{number}.mxl", f"Piece {number}")
    job = desk.start()

    def stop_after_two(done, _total, _what):
        if done == 2:
            at_a_door(desk.work, stop_job, desk.locks, job.id)

    desk.now = lambda: AT
    stopped = run_job(desk, KINDS, job.id, watcher=stop_after_two, is_ending=lambda: len(desk.pieces) >= 2)
    assert stopped.state == JobState.QUEUED, "as when the program ends"
    assert len(desk.pieces) == 2
    desk.studies.studied.clear()
    again = desk.start()
    assert again.id == job.id
    done = desk.run(again)
    assert done.result == {"added": 5, "renewed": 0, "unchanged": 0, "refused": 0}
    assert len(desk.studies.studied) == 3
    assert desk.journal() == [("5 pieces were added from “Fall”.", True)]
    assert desk.start().id != job.id, "what is done is not gone on with"


def test_ctrl_c_leaves_a_job_that_goes_on_and_refusals_are_tried_again(desk):
    desk.write("a.mxl", "Air")
    desk.write("z.mxl", "bad")
    job = desk.start()

    def interrupt(done, _total, _what):
        if done == 1:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        run_job(desk, KINDS, job.id, watcher=interrupt)
    with desk.work() as work:
        stopped = work.jobs.get(job.id)
    assert stopped.state == JobState.STOPPED
    assert [each.name for each in stopped.refusals] == ["Fall/z.mxl"]
    desk.write("z.mxl", "Zortziko")
    done = desk.add()
    assert (done.id, done.refusals) == (job.id, ())
    assert done.result == {"added": 2, "renewed": 0, "unchanged": 0, "refused": 0}


def test_imports_of_other_files_go_on_side_by_side_and_the_worker_does_those_that_wait(desk):
    one, other = desk.write("a.mxl", "Air"), desk.write("b.mxl", "Bourrée")
    first, second = desk.start(one), desk.start(other)
    assert first.id != second.id
    assert not do_next(desk, KINDS, reading=False), "a plan would not wait for them"
    assert do_next(desk, KINDS, reading=True)
    assert do_next(desk, KINDS, reading=True)
    with desk.work() as work:
        states = [job.state for job in list_jobs(work, desk.locks)]
    assert states == [JobState.DONE, JobState.DONE]
    assert set(desk.pieces) == {"Air", "Bourrée"}


def test_files_of_a_page_are_cleared_away_once_they_are_in_or_taken_back(desk):
    desk.write("a.mxl", "Air")
    job = desk.add(desk.folder / "a.mxl", arrival="f" * 32)
    assert desk.inbox.removed == ["f" * 32]
    assert desk.pieces["Air"].source.path == "", "they lie nowhere for good"
    desk.undo(job)
    assert desk.inbox.removed == ["f" * 32] * 2


def test_undo_takes_the_whole_import_back_with_its_files(desk):
    desk.write("before.mxl", "Before")
    desk.add()
    for name in ("Air", "Rondo"):
        desk.write(f"{name}.mxl", name)
    make_zip(desk.folder / "more.zip", {"a.mxl": b"Gigue|Minuet"}, zipfile.ZIP_STORED)
    job = desk.add()
    assert job.result["added"] == 4
    undone = desk.undo(job)
    assert progress_sentence(undone) == "4 pieces were taken out."
    assert set(desk.pieces) == {"Before"}
    assert len(desk.files.kept) == 1
    assert desk.journal() == [
        ("4 pieces were taken out again.", False),
        ("4 pieces were added from “Fall”.", False),
        ("“Before” was added.", True),
    ]
    with pytest.raises(ConflictError, match="gone already"):
        desk.undo(job)
    assert desk.add().result["added"] == 4, "they can be added again"


def make_use(desk, used):
    """Each piece used in another way since it came in; why it stays."""
    with changing(desk.work) as work:
        room = work.ensembles.add(Ensemble(0, "Band", "band"))
        term = work.terms.add(Term(0, room, "Fall", date(2026, 9, 1), date(2026, 12, 1), weekdays=(1,)))
        work.terms.set_wishes(term, [Wish("pinned", used["Pinned"].id, date(2026, 9, 8))])
        slot = Slot(date(2026, 9, 8), 0, used["Planned"].id, "rhythm")
        work.terms.save_plan(Plan(term, (slot,)))
        work.ensembles.add_exposure(Exposure(room, used["Met"].id, "performed"))
    at_a_door(desk.work, correct_piece, used["Corrected"].id, {"title": "Corrected"}, BY)
    at_a_door(desk.work, correct_piece, used["Corrected"].id, {"composer": "Ada"}, BY)
    at_a_door(desk.work, count_copies, used["Counted"].id, {"Flute": 3}, by=BY)
    return {
        "Pinned": "It stays: it is pinned or banned in a term.",
        "Planned": "It stays: it stands in the plan of a term.",
        "Met": "It stays: an ensemble has met it.",
        "Corrected": "It stays: its level, its copies or other details have been entered since.",
        "Counted": "It stays: its level, its copies or other details have been entered since.",
    }


def test_pieces_that_were_used_since_are_named_and_kept(desk):
    for name in ("Free", "Pinned", "Planned", "Met", "Corrected", "Counted"):
        desk.write(f"{name}.mxl", name)
    job = desk.add()
    why = make_use(desk, desk.pieces)
    with desk.work() as work:
        outlook = look_at_undo(work, desk.locks, job.id)
    assert {each.title for each in outlook.kept} == set(why)
    assert outlook.goes == 1
    undone = desk.undo(job)
    assert undone.result == {"taken": 1, "restored": 0, "kept": 5}
    assert {each.name: each.detail for each in undone.refusals} == why
    for refusal in some(undone.refusals):
        assert refusal_sentence(refusal, undone.kind) == f"“{refusal.name}”: {why[refusal.name]}"
    assert set(desk.pieces) == set(why)
    assert desk.journal()[-1][0] == "6 pieces were added from “Fall”; 5 of them are left."
    with pytest.raises(ConflictError, match="have been used since"):
        desk.undo(job)


def test_a_piece_removed_by_hand_does_not_stand_in_the_way(desk):
    desk.write("a.mxl", "Air")
    desk.write("b.mxl", "Bourrée")
    job = desk.add()
    at_a_door(desk.work, remove_piece, desk.pieces["Air"].id)
    desk.undo(job)
    assert not desk.pieces
    assert [can for _, can in desk.journal()] == [False, False]


def test_a_new_export_is_journaled_and_its_import_gives_the_older_file_back(desk):
    desk.write("a.mxl", "Air")
    desk.add()
    before = desk.pieces["Air"]
    desk.write("a.mxl", "AIR")
    job = desk.add()
    assert job.result == {"added": 0, "renewed": 1, "unchanged": 0, "refused": 0}
    assert desk.journal()[0] == ("1 piece was read again from changed files.", True)
    undone = desk.undo(job)
    assert undone.result == {"taken": 0, "restored": 1, "kept": 0}
    (now,) = desk.pieces.values()
    assert (now.id, now.title, now.source) == (before.id, "Air", before.source)
    assert desk.journal()[0] == ("1 piece has the older file back.", False)


def test_a_piece_with_an_older_study_is_journaled_when_it_is_added_again(desk):
    desk.write("a.mxl", "Air")
    desk.add()
    state = desk.work.state
    for piece_id, profile in state.profiles.items():
        state.profiles[piece_id] = replace(profile, study_version=STUDY_VERSION - 1)
    job = desk.add()
    assert job.result == {"added": 0, "renewed": 1, "unchanged": 0, "refused": 0}
    with desk.work() as work:
        assert [each.kind for each in work.changes.of_job(job.id)] == [ChangeKind.STUDY]
        assert [piece.title for piece in brought_by(work, job.id).studied_again] == ["Air"]
    assert desk.journal()[0] == ("“Air” was studied again by a newer version of this program.", False)
    with pytest.raises(ConflictError):
        desk.undo(job)


def test_an_import_under_way_is_stopped_before_it_is_taken_back_and_then_does_not_go_on(desk):
    desk.write("a.mxl", "Air")
    job = desk.add()
    with changing(desk.work) as work:
        work.jobs.finish(job.id, JobState.QUEUED, AT, {})
    with pytest.raises(ConflictError, match="under way"):
        desk.undo(job)
    with changing(desk.work) as work:
        work.jobs.finish(job.id, JobState.STOPPED, AT, {})
    desk.undo(job)
    with desk.work() as work:
        assert work.jobs.get(job.id).state == JobState.DONE


def test_any_entry_of_an_import_stands_for_it_and_no_other_entry_does(desk):
    desk.write("a.mxl", "Air")
    job = desk.add()
    at_a_door(desk.work, correct_piece, desk.pieces["Air"].id, {"composer": "Ada"}, BY)
    with desk.work() as work:
        entries = {each.kind: each.id for each in work.state.changes.values()}
        assert import_of_change(work, entries[ChangeKind.PIECE]) == job.id
        assert import_of_change(work, entries[ChangeKind.DETAILS]) is None
        with pytest.raises(NotFoundError):
            look_at_undo(work, desk.locks, 999)
    assert undo_import_job is KINDS["undo-import"]
