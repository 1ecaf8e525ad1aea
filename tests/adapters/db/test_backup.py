"""A backup is whole, is a home when unpacked, and leaves nothing half-written."""

import errno
import os
from dataclasses import replace
from datetime import date
from pathlib import Path
from zipfile import ZipFile

import pytest

from planner.adapters.db import open_library
from planner.adapters.db.backup import HomeBackups
from planner.adapters.store import FolderStore, Home
from planner.core.catalogue import catalogue_of
from planner.core.ensemble import Ensemble
from planner.core.piece import PieceQuery
from planner.errors import ExportError, HomeError
from planner.services.imports.import_scores import import_paths
from tests.fakes import ANOTHER_CATALOGUE, FakeStudies

DAY = date(2026, 9, 3)


@pytest.fixture
def home(tmp_path):
    home = Home(tmp_path / "home")
    scores = tmp_path / "scores"
    scores.mkdir()
    (scores / "air.mxl").write_text("Air")
    (scores / "bourree.musicxml").write_text("Bourrée")
    with open_library(home.library) as library:
        import_paths(
            [scores], source=FakeStudies(), files=FolderStore(home.scores), open_work=library, today=DAY
        )
    return home


def back_up(home):
    return HomeBackups(home.library, home.scores, home.backups).back_up(DAY)


def test_what_the_director_wrote_in_the_catalogue_is_in_the_backup(home, tmp_path):
    with open_library(home.library) as library, library() as work:
        (air,), _ = work.pieces.list_pieces(PieceQuery(text="air"))
        work.pieces.update(replace(air, **ANOTHER_CATALOGUE))
        work.commit()
    restored = unpack(back_up(home), tmp_path / "restored")
    with open_library(restored.library) as library, library() as work:
        assert catalogue_of(work.pieces.get(air.id)) == ANOTHER_CATALOGUE


def unpack(report, folder):
    with ZipFile(report.path) as archive:
        assert archive.testzip() is None
        archive.extractall(folder)
    return Home(folder)


def test_an_unpacked_backup_is_a_home_with_every_piece_and_its_file(home, tmp_path):
    report = back_up(home)
    assert (report.path, report.pieces, report.missing) == (home.backups / "home-2026-09-03.zip", 2, ())
    restored = unpack(report, tmp_path / "restored")
    with open_library(restored.library) as library, library() as work:
        pieces, total = work.pieces.list_pieces(PieceQuery())
        assert [piece.title for piece in pieces] == ["Air", "Bourrée"]
        assert total == 2
        store = FolderStore(restored.scores)
        assert [store.path_of(piece.source).read_text() for piece in pieces] == ["Air", "Bourrée"]


def test_a_backup_made_while_others_write_holds_what_was_committed(home, tmp_path):
    with open_library(home.library) as library, library() as work:
        work.ensembles.add(Ensemble(0, "Committed"))
        work.commit()
        work.ensembles.add(Ensemble(0, "Not yet"))
        report = back_up(home)
    restored = unpack(report, tmp_path / "restored")
    with open_library(restored.library) as library, library() as work:
        assert [ensemble.name for ensemble in work.ensembles.list_ensembles()] == ["Committed"]


def test_a_second_backup_of_the_day_gets_a_name_of_its_own(home):
    names = [back_up(home).path.name for _ in range(3)]
    assert names == ["home-2026-09-03.zip", "home-2026-09-03-2.zip", "home-2026-09-03-3.zip"]


def test_a_score_file_that_is_gone_is_named(home):
    next(home.scores.glob("*.mxl")).unlink()
    report = back_up(home)
    assert (report.pieces, report.missing) == (2, ("air.mxl",))


def test_a_home_without_a_library_is_said_so(tmp_path):
    with pytest.raises(HomeError, match="is not there"):
        back_up(Home(tmp_path))
    assert not (tmp_path / "backups").exists()


def test_a_damaged_library_is_not_taken_for_a_backup(home):
    torn = bytearray(home.library.read_bytes())
    torn[4096:12288] = os.urandom(8192)
    home.library.write_bytes(torn)
    with pytest.raises(HomeError, match="is damaged"):
        back_up(home)
    assert list(home.backups.iterdir()) == []


def test_a_full_disk_leaves_no_half_backup(home, monkeypatch):
    def full(*_):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as broken:
        broken.setattr(os, "fsync", full)
        with pytest.raises(ExportError, match="no space left on device"):
            back_up(home)
    assert list(home.backups.iterdir()) == []
    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(ExportError, match="no space left on device"):
        back_up(home)
    assert list(home.backups.iterdir()) == []


def test_two_homes_do_not_mix(home, tmp_path):
    other = replace(home, folder=tmp_path / "other")
    open_library(other.library).close()
    assert back_up(other).pieces == 0
