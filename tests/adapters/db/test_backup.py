"""A backup is whole, is checked by its hashes, comes back as it was, and leaves nothing half-written."""

import errno
import json
import os
import shutil
import sqlite3
import threading
from contextlib import closing
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zipfile import ZipFile

import pytest

from planner.adapters.db import migrate, open_library
from planner.adapters.db.backups import HomeBackups, HomePlaces
from planner.adapters.db.engine import make_engine, url_of
from planner.adapters.store import FolderStore, Home
from planner.adapters.store.exports import RECORD, ExportFolder
from planner.core.catalogue import catalogue_of
from planner.core.ensemble import Ensemble
from planner.core.piece import PieceQuery
from planner.errors import BackupError, ConflictError, ExportError, HomeError, NotFoundError
from planner.services.imports.import_scores import import_paths
from planner.services.ports.backups import BackupReason
from tests.adapters.db.test_migrations import OLD_ROWS
from tests.checks import some
from tests.fakes import ANOTHER_CATALOGUE, FakeStudies

DAY = date(2026, 9, 3)
NOW = datetime(2026, 9, 3, 8, 30, tzinfo=UTC)
SHEET = "band/autumn/plan-autumn.pdf"


@pytest.fixture(scope="module")
def made_home(tmp_path_factory):
    folder = tmp_path_factory.mktemp("made")
    home = Home(folder / "home")
    scores = folder / "scores"
    scores.mkdir()
    (scores / "air.mxl").write_text("Air")
    (scores / "bourree.musicxml").write_text("Bourrée")
    with open_library(home.library) as library:
        import_paths(
            [scores], source=FakeStudies(), files=FolderStore(home.scores), open_work=library, today=DAY
        )
    (home.folder / "criteria").mkdir()
    (home.folder / "criteria" / "ours.toml").write_text("# our own limits")
    exports_of(home).put(SHEET, lambda path: path.write_text("the plan"))
    (home.exports / "band" / "my notes.txt").write_text("a note by a person")
    return home


@pytest.fixture
def home(made_home, tmp_path):
    return Home(Path(shutil.copytree(made_home.folder, tmp_path / "home")))


def exports_of(home):
    return ExportFolder(home.exports)


def keeper(home, exports=None):
    return HomeBackups(HomePlaces(home.folder, exports or exports_of(home), RECORD), {"paper": "letter"})


def back_up(home):
    return keeper(home).back_up(NOW)


def restore(report, home):
    return keeper(home).restore(report.path, NOW)


def add_ensemble(home, name):
    with open_library(home.library) as library, library() as work:
        work.ensembles.add(Ensemble(0, name))
        work.commit()


def ensembles_in(home):
    with open_library(home.library) as library, library() as work:
        return sorted(ensemble.name for ensemble in work.ensembles.list_ensembles())


def files_of(folder):
    """Name and content of every file but the library, the backups and what is hidden."""
    left_out = ("library.sqlite", "backups", ".")
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and not path.relative_to(folder).as_posix().startswith(left_out)
    }


def rows_of(library):
    """Every row of every table."""
    with closing(sqlite3.connect(library)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert connection.execute("PRAGMA foreign_key_check").fetchone() is None
        tables = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name")
        return {name: connection.execute(f"SELECT * FROM {name}").fetchall() for (name,) in tables}


def test_a_backup_comes_back_as_it_was_in_an_empty_home(home, tmp_path):
    with open_library(home.library) as library, library() as work:
        (air,), _ = work.pieces.list_pieces(PieceQuery(text="air"))
        work.pieces.update(replace(air, **ANOTHER_CATALOGUE))
        work.commit()
    other = Home(tmp_path / "restored")
    report = keeper(other).restore(back_up(home).path, NOW)
    assert (report.pieces, report.missing, report.before, report.set_aside, report.kept) == (
        2, (), None, None, (),
    )  # fmt: skip
    assert rows_of(other.library) == rows_of(home.library)
    assert files_of(other.folder) == files_of(home.folder)
    with open_library(other.library) as library, library() as work:
        assert catalogue_of(work.pieces.get(air.id)) == ANOTHER_CATALOGUE
        store = FolderStore(other.scores)
        pieces = work.pieces.list_pieces(PieceQuery())[0]
        assert {store.path_of(piece.source).read_text() for piece in some(pieces)} == {"Air", "Bourrée"}
    assert exports_of(other).put(SHEET, lambda path: path.write_text("newer")).kept == ()
    assert list(other.folder.glob(".half-*")) == []


def test_a_backup_says_what_it_holds_and_of_each_file_its_hash(home):
    report = back_up(home)
    with ZipFile(report.path) as archive:
        listed = json.loads(archive.read("manifest.json"))
        names = {entry["name"] for entry in listed["files"]}
        assert names == set(archive.namelist()) - {"manifest.json"}
    assert (listed["format"], listed["version"], listed["pieces"]) == ("home-backup", 3, 2)
    assert (listed["why"], listed["settings"]) == ("asked", {"paper": "letter"})
    assert report.files == len(names)
    assert {"library.sqlite", "criteria/ours.toml", f"exports/{SHEET}", f"exports/{RECORD}"} <= names
    assert keeper(home).check(report.path) == report
    assert report.path.stat().st_mode & 0o077 == 0


def test_a_backup_made_while_others_write_holds_what_was_committed(home, tmp_path):
    with open_library(home.library) as library, library() as work:
        work.ensembles.add(Ensemble(0, "Committed"))
        work.commit()
        work.ensembles.add(Ensemble(0, "Not yet"))
        report = back_up(home)
    other = Home(tmp_path / "restored")
    keeper(other).restore(report.path, NOW)
    assert ensembles_in(other) == ["Committed"]


def test_going_back_keeps_what_was_there_and_goes_forward_again(home):
    first = back_up(home)
    add_ensemble(home, "Entered since")
    before = rows_of(home.library)
    report = restore(first, home)
    assert ensembles_in(home) == []
    assert report.before.name == "before-restore-2026-09-03.zip"
    keeper(home).restore(report.before, NOW)
    assert rows_of(home.library) == before


def test_a_library_in_use_is_replaced_under_its_readers(home):
    first = back_up(home)
    add_ensemble(home, "Entered since")
    with open_library(home.library) as library, library() as reader:
        assert [each.name for each in reader.ensembles.list_ensembles()] == ["Entered since"]
        restore(first, home)
        with library() as later:
            assert list(later.ensembles.list_ensembles()) == []
            later.ensembles.add(Ensemble(0, "Entered afterwards"))
            later.commit()
    assert ensembles_in(home) == ["Entered afterwards"]


def test_a_writer_who_ends_in_time_is_waited_for_and_one_who_does_not_is_said(home, monkeypatch):
    first = back_up(home)
    add_ensemble(home, "Entered since")
    writer = sqlite3.connect(home.library, isolation_level=None, check_same_thread=False)
    writer.execute("BEGIN IMMEDIATE")
    threading.Timer(0.5, lambda: writer.execute("ROLLBACK")).start()
    restore(first, home)
    assert ensembles_in(home) == []
    monkeypatch.setattr("planner.adapters.db.backups.databases._PATIENCE_S", 0.1)
    add_ensemble(home, "Entered since")
    writer.execute("BEGIN IMMEDIATE")
    with pytest.raises(ConflictError, match="being written to by another"):
        restore(first, home)
    writer.execute("ROLLBACK")
    writer.close()
    assert ensembles_in(home) == ["Entered since"]


def test_exports_that_a_person_changed_stay_when_a_backup_comes_back(home):
    report = back_up(home)
    sheet = home.exports / SHEET
    sheet.write_text("with my remarks")
    (home.exports / "band" / "my notes.txt").unlink()
    (home.folder / "criteria" / "ours.toml").write_text("# changed since")
    restored = restore(report, home)
    assert restored.kept == (sheet,)
    assert sheet.read_text() == "with my remarks"
    assert sheet.with_name("plan-autumn-2.pdf").read_text() == "the plan"
    assert (home.exports / "band" / "my notes.txt").read_text() == "a note by a person"
    assert (home.folder / "criteria" / "ours.toml").read_text() == "# our own limits"


def test_exports_kept_elsewhere_are_in_the_backup_as_far_as_they_are_ours(home, tmp_path):
    elsewhere = ExportFolder(tmp_path / "elsewhere")
    elsewhere.put(SHEET, lambda path: path.write_text("the plan"))
    (elsewhere.folder / "holiday.jpg").write_text("not ours")
    report = keeper(home, elsewhere).back_up(NOW)
    with ZipFile(report.path) as archive:
        names = {name for name in archive.namelist() if name.startswith("exports/")}
    assert names == {f"exports/{SHEET}", f"exports/{RECORD}"}


def test_a_second_backup_of_the_day_gets_a_name_of_its_own(home):
    names = [back_up(home).path.name for _ in range(3)]
    assert names == ["home-2026-09-03.zip", "home-2026-09-03-2.zip", "home-2026-09-03-3.zip"]


def test_backups_made_at_once_are_all_kept(home):
    start, made = threading.Barrier(4), []

    def make():
        start.wait()
        made.append(back_up(home).path)

    threads = [threading.Thread(target=make) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(set(made)) == 4
    for path in some(made):
        keeper(home).check(path)


def test_backups_are_listed_newest_first_and_found_by_name(home):
    later = NOW + timedelta(days=1)
    first = back_up(home)
    second = keeper(home).back_up(later, BackupReason.UPDATE)
    (home.backups / "torn.zip").write_bytes(first.path.read_bytes()[:500])
    (home.backups / "notes.txt").write_text("mine")
    listed = {each.path.name: (each.why, each.pieces) for each in keeper(home).list_backups()}
    assert listed == {
        "before-update-2026-09-04.zip": ("before-update", 2),
        "home-2026-09-03.zip": ("asked", 2),
        "torn.zip": (None, None),
    }
    sound = [each.path for each in keeper(home).list_backups() if each.why]
    assert sound == [second.path, first.path]
    assert keeper(home).find("home-2026-09-03.zip") == first.path
    for name in ("../home-2026-09-03.zip", "notes.txt", "gone.zip", str(first.path)):
        with pytest.raises(NotFoundError):
            keeper(home).find(name)


def test_a_score_file_that_is_gone_is_named(home, tmp_path):
    next(home.scores.glob("*.mxl")).unlink()
    report = back_up(home)
    assert (report.pieces, report.missing) == (2, ("air.mxl",))
    assert keeper(Home(tmp_path / "other")).restore(report.path, NOW).missing == ("air.mxl",)


def test_a_home_without_a_library_is_said_so(tmp_path):
    with pytest.raises(HomeError, match="is not there"):
        back_up(Home(tmp_path))
    assert not (tmp_path / "backups").exists()


def tear(home):
    torn = bytearray(home.library.read_bytes())
    torn[4096:12288] = os.urandom(8192)
    home.library.write_bytes(torn)
    return bytes(torn)


def test_a_damaged_library_is_not_taken_for_a_backup(home):
    tear(home)
    with pytest.raises(HomeError, match="is damaged"):
        back_up(home)
    assert list(home.backups.iterdir()) == []


WRECKS = {
    "torn": tear,
    "a text": lambda home: home.library.write_text("Dear diary"),
    "emptied": lambda home: home.library.write_bytes(b""),
    "of another program": lambda home: make_recipes(home),
    "a folder": lambda home: (home.library.unlink(), home.library.mkdir()),
}


def make_recipes(home):
    for path in home.folder.glob("library.sqlite*"):
        path.unlink()
    with closing(sqlite3.connect(home.library)) as connection:
        connection.execute("CREATE TABLE recipes (id)")


@pytest.mark.parametrize("wreck", WRECKS)
def test_from_whatever_lies_in_its_place_a_backup_leads_back(home, wreck):
    sound = rows_of(home.library)
    report = back_up(home)
    WRECKS[wreck](home)
    there = home.library.read_bytes() if home.library.is_file() else b""
    restored = restore(report, home)
    assert rows_of(home.library) == sound
    assert restored.before is None
    aside = restored.set_aside / "library.sqlite"
    assert aside.is_dir() if wreck == "a folder" else aside.read_bytes() == there


def test_a_torn_library_with_changes_beside_it_does_not_spoil_what_comes_back(home):
    report = back_up(home)
    sound = rows_of(home.library)
    keep = sqlite3.connect(home.library)
    keep.execute("INSERT INTO ensembles (name, kind) VALUES ('Beside', 'band')")
    keep.commit()
    wal = home.library.with_name("library.sqlite-wal")
    changes = wal.read_bytes()
    keep.close()
    home.library.write_text("Dear diary")
    wal.write_bytes(changes)
    restored = restore(report, home)
    assert rows_of(home.library) == sound
    assert (restored.set_aside / wal.name).read_bytes() == changes


def damaged_copies(path, folder):
    """The backup, damaged in one way each."""
    data = path.read_bytes()
    yield "cut", data[: len(data) // 2]
    yield "no zip", b"Dear diary"
    yield "empty", b""
    flipped = bytearray(data)
    flipped[len(data) // 3] ^= 0xFF
    yield "one bit", bytes(flipped)


def repacked(path, folder, change):
    """The backup with some files changed, and the list as it was."""
    target = folder / "changed.zip"
    with ZipFile(path) as source, ZipFile(target, "w") as made:
        files = {name: source.read(name) for name in source.namelist()}
        change(files)
        for name, content in files.items():
            made.writestr(name, content)
    return target


def test_a_damaged_backup_is_refused_and_nothing_is_changed(home, tmp_path):
    report = back_up(home)
    before = (rows_of(home.library), files_of(home.folder))
    for what, data in some(list(damaged_copies(report.path, tmp_path))):
        bad = tmp_path / "bad.zip"
        bad.write_bytes(data)
        for door in (keeper(home).check, lambda path: keeper(home).restore(path, NOW)):
            with pytest.raises(BackupError, match=r"bad\.zip (is damaged|holds no library|cannot)") as error:
                door(bad)
            assert error.value.message.endswith("."), what
    assert (rows_of(home.library), files_of(home.folder)) == before
    assert [path.name for path in home.backups.iterdir()] == [report.path.name]


def spoil(name):
    def change(files):
        files[next(each for each in files if each.startswith(name))] = b"something else"

    return change


CHANGES = {
    "a score": spoil("scores/"),
    "the library": spoil("library.sqlite"),
    "a file that is gone": lambda files: files.pop("criteria/ours.toml"),
    "no library": lambda files: files.pop("library.sqlite"),
    "a list that is no list": lambda files: files.update({"manifest.json": b"[1]"}),
    "a list of another thing": lambda files: files.update({"manifest.json": b'{"format": "recipes"}'}),
    "a newer format": lambda files: files.update(
        {"manifest.json": files["manifest.json"].replace(b'"version": 3', b'"version": 99')}
    ),
    "a file outside": lambda files: files.update(
        {"manifest.json": files["manifest.json"].replace(b"criteria/ours.toml", b"criteria/../../ours")}
    ),
    "a file of another kind": lambda files: files.update(
        {"manifest.json": files["manifest.json"].replace(b"criteria/ours.toml", b"elsewhere/ours.tom")}
    ),
}


@pytest.mark.parametrize("change", CHANGES)
def test_a_backup_that_was_changed_is_refused_and_nothing_is_changed(home, tmp_path, change):
    report = back_up(home)
    before = (rows_of(home.library), files_of(home.folder))
    bad = repacked(report.path, tmp_path, CHANGES[change])
    with pytest.raises(BackupError):
        restore(replace(report, path=bad), home)
    with pytest.raises(BackupError):
        keeper(home).check(bad)
    assert (rows_of(home.library), files_of(home.folder)) == before
    assert list(home.folder.glob(".half-*")) == []


def test_a_backup_of_a_newer_library_is_refused_and_one_that_refers_to_nothing_too(home, tmp_path):
    report = back_up(home)
    for spoiled in (
        "UPDATE alembic_version SET version_num = '9999'",
        "INSERT INTO exposures (ensemble_id, piece_id, how, note) VALUES (77, 77, 'read', '')",
    ):
        copy = tmp_path / "library.sqlite"
        with ZipFile(report.path) as archive:
            copy.write_bytes(archive.read("library.sqlite"))
        with closing(sqlite3.connect(copy)) as connection:
            connection.execute(spoiled)
            connection.commit()
        bad = tmp_path / "old.zip"
        with ZipFile(bad, "w") as made:
            made.write(copy, "library.sqlite")
        with pytest.raises(BackupError, match="its library"):
            restore(replace(report, path=bad), home)
        copy.unlink()
    assert len(rows_of(home.library)["pieces"]) == 2


def test_the_oldest_format_comes_back_and_its_scores_are_checked_by_their_names(home, tmp_path):
    old = tmp_path / "home-2025-09-03.zip"
    with ZipFile(old, "w") as archive:
        archive.write(home.library, "library.sqlite")
        for path in sorted(home.scores.glob("*.*")):
            archive.write(path, f"scores/{path.name}")
    other = Home(tmp_path / "restored")
    assert keeper(other).check(old).pieces == 2
    assert keeper(other).restore(old, NOW).pieces == 2
    assert rows_of(other.library) == rows_of(home.library)
    bad = repacked(old, tmp_path, spoil("scores/"))
    with pytest.raises(BackupError, match="is damaged"):
        keeper(other).restore(bad, NOW)


def test_a_library_of_the_first_revision_is_backed_up_before_its_tables_change(tmp_path):
    home = Home(tmp_path / "home")
    home.folder.mkdir()
    engine = make_engine(url_of(home.library))
    migrate.upgrade(engine, "0001")
    engine.dispose()
    with closing(sqlite3.connect(home.library)) as connection:
        for table, values in OLD_ROWS.items():
            marks = ", ".join("?" for _ in values)
            connection.execute(
                f"INSERT INTO {table} ({', '.join(values)}) VALUES ({marks})", tuple(values.values())
            )
        connection.commit()
    before = rows_of(home.library)

    def first():
        keeper(home).back_up(NOW, BackupReason.UPDATE)

    open_library(home.library, before_update=first).close()
    (kept,) = keeper(home).list_backups()
    assert kept.path.name == "before-update-2026-09-03.zip"
    with ZipFile(kept.path) as archive:
        (tmp_path / "old.sqlite").write_bytes(archive.read("library.sqlite"))
    assert rows_of(tmp_path / "old.sqlite") == before
    open_library(home.library, before_update=first).close()
    assert len(keeper(home).list_backups()) == 1
    restored = keeper(home).restore(kept.path, NOW)
    assert restored.pieces == 1
    with open_library(home.library) as library, library() as work:
        assert work.pieces.get(1).title == "Rondo"


def test_a_backup_that_fails_stops_the_update_and_nothing_is_changed(tmp_path):
    home = Home(tmp_path / "home")
    home.folder.mkdir()
    engine = make_engine(url_of(home.library))
    migrate.upgrade(engine, "0001")

    def full():
        raise ExportError(home.backups, "the disk is full")

    with pytest.raises(ExportError):
        open_library(home.library, before_update=full)
    assert migrate.current_revision(engine) == "0001"
    engine.dispose()


def test_a_full_disk_leaves_no_half_backup(home, monkeypatch):
    def full(*_):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    for target, name in ((os, "fsync"), (Path, "chmod"), (ZipFile, "writestr")):
        with monkeypatch.context() as broken:
            broken.setattr(target, name, full)
            with pytest.raises(ExportError, match="no space left on device"):
                back_up(home)
        assert list(home.backups.iterdir()) == []


def test_a_full_disk_while_a_backup_is_unpacked_changes_nothing(home, monkeypatch):
    report = back_up(home)
    before = rows_of(home.library)
    nearly = shutil.disk_usage(home.folder)._replace(free=1000)
    monkeypatch.setattr(shutil, "disk_usage", lambda _path: nearly)
    with pytest.raises(ExportError, match="too little free space"):
        restore(report, home)
    assert rows_of(home.library) == before
    assert list(home.folder.glob(".half-*")) == []


def test_what_killed_runs_left_is_swept_once_it_is_old(home):
    for name, age in (("old", 3 * 86400), ("new", 0)):
        left = home.backups / f".half-{name}"
        left.mkdir(parents=True)
        (left / "backup.zip").write_text("half")
        os.utime(left, (left.stat().st_atime, left.stat().st_mtime - age))
    back_up(home)
    assert [path.name for path in home.backups.glob(".half-*")] == [".half-new"]


def test_two_homes_do_not_mix(home, tmp_path):
    other = Home(tmp_path / "other")
    open_library(other.library).close()
    assert back_up(other).pieces == 0


def test_what_waits_in_the_inbox_and_the_rooms_certificate_come_back_and_no_key_of_the_pages(home, tmp_path):
    arrival = home.inbox / ("a" * 32)
    arrival.mkdir(parents=True)
    (arrival / "waltz.mxl").write_bytes(b"a score that waits")
    home.certificates.mkdir()
    (home.certificates / "server.crt").write_text("certificate")
    (home.certificates / "server.key").write_text("key")
    home.session_key.write_text("0" * 64)
    made = back_up(home)
    with ZipFile(made.path) as archive:
        names = archive.namelist()
    assert f"inbox/{'a' * 32}/waltz.mxl" in names
    assert "certificate/server.key" in names
    assert "session.key" not in names
    other = Home(tmp_path / "restored")
    keeper(other).restore(made.path, NOW)
    assert (other.inbox / ("a" * 32) / "waltz.mxl").read_bytes() == b"a score that waits"
    assert (other.certificates / "server.key").stat().st_mode & 0o777 == 0o600
    (other.certificates / "server.crt").write_text("made anew since")
    keeper(other).restore(made.path, NOW)
    assert (other.certificates / "server.crt").read_text() == "made anew since"


def test_a_backup_from_elsewhere_is_looked_through_before_it_is_kept(home, tmp_path):
    made = back_up(home)
    sent = made.path.read_bytes()
    keeper(home).remove(made.path.name)
    assert not made.path.exists()
    with made.path.with_name("sent").open("wb") as file:
        file.write(sent)
    with made.path.with_name("sent").open("rb") as file:
        report = keeper(home).take_in(file)
    assert (report.path.name, report.pieces) == (made.path.name, 2)
    assert report.path.read_bytes() == sent
    assert report.path.stat().st_mode & 0o777 == 0o600
    torn = tmp_path / "torn.zip"
    for spoiled in some((sent[: len(sent) // 2], b"no zip", sent[:200] + b"x" + sent[201:])):
        torn.write_bytes(spoiled)
        with torn.open("rb") as file, pytest.raises(BackupError, match="The backup that was sent"):
            keeper(home).take_in(file)
    assert [each.path for each in keeper(home).list_backups()] == [report.path]


def test_what_was_set_aside_is_listed_and_deleted_but_never_gone_back_to(home):
    made = back_up(home)
    home.library.write_text("Dear diary")
    folder = restore(made, home).set_aside
    listed = next(each for each in keeper(home).list_backups() if each.path == folder)
    assert (listed.why, listed.size_bytes) == (
        BackupReason.SET_ASIDE,
        len("Dear diary") + len("# our own limits"),
    )
    with pytest.raises(BackupError, match="no sound one"):
        keeper(home).find(folder.name)
    keeper(home).remove(folder.name)
    assert not folder.exists()
    for name in ("../library.sqlite", "gone.zip"):
        with pytest.raises(NotFoundError):
            keeper(home).remove(name)
