"""Importing files and folders with faked studies and an in-memory library."""

import os
from datetime import date

import pytest

from planner.errors import ExportError, InputError
from planner.services.imports.import_scores import import_paths, lies_nowhere
from planner.services.levels.correct import correct_level
from planner.services.library.catalogue import correct_piece
from planner.study.version import STUDY_VERSION
from tests.fakes import BY, FakeFiles, FakeLibrary, FakeStudies, at_a_door, make_profile

DAY = date(2026, 9, 3)


@pytest.fixture
def desk(tmp_path):
    return Desk(tmp_path / "scores")


class Desk:
    """A folder of score files, and everything an import needs."""

    def __init__(self, folder):
        self.folder = folder
        self.library, self.files, self.studies = FakeLibrary(), FakeFiles(), FakeStudies()
        folder.mkdir()

    def write(self, name, text):
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
        return path

    def add(self, *paths, **options):
        return import_paths(
            paths or (self.folder,),
            source=self.studies,
            files=self.files,
            open_work=self.library,
            today=DAY,
            **options,
        )

    @property
    def titles(self):
        return sorted(piece.title for piece in self.library.state.pieces.values())


def test_a_folder_is_walked_and_each_score_becomes_a_piece(desk):
    desk.write("a.musicxml", "Air")
    desk.write("deep/er/b.MXL", "Bourrée")
    desk.write("c.xml", "Canon")
    report = desk.add()
    assert [piece.title for piece in report.added] == ["Bourrée", "Canon", "Air"]
    assert not report.unchanged
    assert not report.refused
    assert {piece.source.suffix for piece in report.added} == {".musicxml", ".mxl", ".xml"}
    assert {piece.added_on for piece in report.added} == {DAY}
    assert set(desk.files.kept) == {piece.source.sha256 for piece in report.added}


def test_other_files_and_hidden_ones_in_a_folder_are_passed_over(desk):
    desk.write("notes.txt", "bad")
    desk.write("._a.mxl", "bad")
    desk.write(".git/a.mxl", "bad")
    report = desk.add()
    assert report == type(report)()


def test_a_file_named_outright_is_for_the_reader_to_refuse_and_one_that_is_not_there_is_said_so(desk):
    report = desk.add(desk.write("notes.txt", "bad: not a score"), desk.folder / "absent.mxl")
    assert [refusal.sentence for refusal in report.refused] == [
        f"There is no file or folder {desk.folder / 'absent.mxl'}.",
        "notes.txt: bad: not a score.",
    ]


def test_a_refused_file_is_reported_and_the_others_go_in(desk):
    desk.write("a.mxl", "Air")
    bad = desk.write("b.mxl", "bad ending in bar 4")
    report = desk.add()
    assert [(r.path, r.sentence) for r in report.refused] == [(bad, "b.mxl: bad ending in bar 4.")]
    assert desk.titles == ["Air"]
    assert len(desk.files.kept) == 1


def test_unchanged_files_are_not_studied_again(desk):
    path = desk.write("a.mxl", "Air")
    desk.add()
    desk.write("b.mxl", "Bourrée")
    report = desk.add()
    assert desk.studies.studied == ["a.mxl", "b.mxl"]
    assert report.unchanged == (path,)
    assert [piece.title for piece in report.added] == ["Bourrée"]


def test_another_piece_at_the_same_path_is_a_new_piece(desk):
    desk.write("a.mxl", "Air")
    desk.add()
    desk.write("a.mxl", "Air, longer")
    desk.add()
    assert desk.titles == ["Air", "Air, longer"]


def test_a_new_export_of_a_piece_takes_its_place_and_keeps_what_is_known_of_it(desk):
    desk.write("a.mxl", "Air")
    (first,) = desk.add().added
    at_a_door(desk.library, correct_piece, first.id, {"title": "Air in D"}, BY)
    at_a_door(desk.library, correct_level, first.id, 3.0, by=BY)
    desk.write("a.mxl", "AIR ")  # the fake study takes the title from the content
    report = desk.add()
    assert (report.added, report.unchanged) == ((), ())
    (again,) = report.replaced
    assert (again.id, again.title, again.level) == (first.id, "Air in D", 3.0)
    assert again.source.sha256 != first.source.sha256
    assert list(desk.files.kept) == [first.source.sha256, again.source.sha256]  # the first can come back
    assert desk.add().unchanged


def test_a_file_that_was_moved_is_known_at_its_new_place(desk):
    old = desk.write("a.mxl", "Air")
    (piece,) = desk.add().added
    old.rename(desk.folder / "moved.mxl")
    assert desk.add().unchanged == (desk.folder / "moved.mxl",)
    desk.write("moved.mxl", "AIR")
    assert [again.id for again in desk.add().replaced] == [piece.id]


def test_a_file_that_passes_through_leaves_no_place_and_does_not_move_one_that_has_it(desk):
    path = desk.write("a.mxl", "Air")
    (piece,) = desk.add(place=lies_nowhere).added
    assert piece.source.path == ""
    desk.add()
    desk.add(place=lies_nowhere)
    with desk.library() as work:
        assert work.pieces.get(piece.id).source.path == str(path.resolve())


def test_a_new_export_beside_a_copy_of_the_old_one_is_a_piece_of_its_own(desk):
    desk.write("a.mxl", "Air")
    desk.add()
    desk.write("a-old.mxl", "Air")
    desk.write("a.mxl", "AIR")
    report = desk.add()
    assert [piece.title for piece in report.added] == ["AIR"]
    assert desk.titles == ["AIR", "Air"]


def test_the_same_title_at_another_path_is_a_piece_of_its_own(desk):
    desk.write("first/score.mxl", "Suite")
    desk.write("second/score.mxl", "SUITE")
    assert len(desk.add().added) == 2


def test_the_same_content_under_another_name_is_unchanged(desk):
    desk.write("a.mxl", "Air")
    other = desk.write("z.mxl", "Air")
    report = desk.add()
    assert report.unchanged == (other,)
    assert desk.studies.studied == ["a.mxl"]


def test_a_path_given_twice_or_inside_a_given_folder_is_read_once(desk):
    path = desk.write("a.mxl", "Air")
    report = desk.add(desk.folder, path, path)
    assert len(report.added) == 1
    assert report.unchanged == ()


def test_a_study_of_an_older_version_is_renewed(desk):
    path = desk.write("a.mxl", "Air")
    (piece,) = desk.add().added
    desk.library.state.profiles[piece.id] = make_profile("Old", study_version=STUDY_VERSION - 1)
    report = desk.add()
    assert [again.id for again in report.studied_again] == [piece.id]
    assert (report.added, report.unchanged) == ((), ())
    assert desk.library.state.profiles[piece.id].title == "Air"
    assert desk.add().unchanged == (path,)


def test_each_piece_is_stored_before_the_next_is_studied(desk):
    for name in "abc":
        desk.write(f"{name}.mxl", name)
    stored = []
    desk.studies.study_files = watched(desk.studies.study_files, lambda: stored.append(desk.library.commits))
    desk.add()
    assert [commits - stored[0] for commits in stored] == [0, 1, 2]


def watched(study_files, look):
    def study(paths, progress=None):
        for outcome in study_files(paths, progress):
            look()
            yield outcome

    return study


def test_a_run_broken_off_keeps_what_was_finished_and_ends_the_work(desk):
    for name in "abc":
        desk.write(f"{name}.mxl", name)

    def stop_at_two(done, total, what):
        if done == 2:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        desk.add(progress=stop_at_two)
    assert desk.titles == ["b", "c"]
    assert desk.studies.is_closed
    assert [piece.title for piece in desk.add().added] == ["a"]


def test_progress_counts_every_file_and_names_the_last(desk):
    desk.write("a.mxl", "Air")
    desk.add()
    desk.write("b.mxl", "Bourrée")
    desk.write("c.mxl", "bad")
    seen = []
    desk.add(progress=lambda *step: seen.append(step))
    assert seen == [(0, 3, ""), (0, 3, "a.mxl"), (1, 3, ""), (2, 3, "c.mxl"), (3, 3, "b.mxl")]


def test_a_file_that_changes_meanwhile_is_refused(desk):
    desk.write("a.mxl", "Air")

    def changed(path, source):
        raise InputError(f"{path.name} changed while it was read.")

    desk.files.keep = changed
    report = desk.add()
    assert [refusal.sentence for refusal in report.refused] == ["a.mxl changed while it was read."]
    assert desk.titles == []


def test_a_full_disk_ends_the_run_and_stores_nothing_of_that_piece(desk):
    desk.write("a.mxl", "Air")

    def full(path, source):
        raise ExportError(path, "no space left on device")

    desk.files.keep = full
    with pytest.raises(ExportError, match="no space left"):
        desk.add()
    assert desk.titles == []
    assert desk.studies.is_closed


def test_a_piece_added_by_another_window_meanwhile_is_unchanged(desk):
    path = desk.write("a.mxl", "Air")
    other = FakeStudies()

    def slow(paths, progress=None):
        for outcome in other.study_files(paths, progress):
            import_paths((path,), source=FakeStudies(), files=desk.files, open_work=desk.library, today=DAY)
            yield outcome

    desk.studies.study_files = slow
    report = desk.add()
    assert (report.added, report.unchanged) == ((), (path,))


@pytest.mark.skipif(os.name != "posix", reason="file names are text elsewhere")
def test_a_file_name_that_is_not_text_is_taken_all_the_same(desk):
    desk.write(os.fsdecode(b"\xff.mxl"), "Air")
    (piece,) = desk.add().added
    piece.source.name.encode("utf-8")
