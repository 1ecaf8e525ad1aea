"""The folder of exports: nothing that a person may have changed is overwritten or deleted."""

import errno
import os
import random
from concurrent.futures import ThreadPoolExecutor
from functools import partial

import pytest

from planner.adapters.store.exports import RECORD, ExportFolder
from planner.errors import ExportError

NAME = "band/autumn/plan-autumn.xlsx"


def writes(text):
    return lambda path: path.write_text(text)


@pytest.fixture
def exports(tmp_path):
    return ExportFolder(tmp_path / "exports")


def everything(folder):
    return {
        path.relative_to(folder).as_posix(): path.read_text()
        for path in folder.rglob("*")
        if path.is_file() and path.name != RECORD
    }


def test_what_we_wrote_and_nobody_changed_is_replaced(exports):
    for text in ("first", "second", "first", "third"):
        made = exports.put(NAME, writes(text))
        assert (made.path, made.kept) == (exports.folder / NAME, ())
    assert everything(exports.folder) == {NAME: "third"}
    assert made.path.stat().st_mode & 0o077 == 0


def test_what_a_person_changed_or_made_stays_and_the_new_file_has_the_next_name(exports):
    exports.put(NAME, writes("ours"))
    (exports.folder / NAME).write_text("marks entered")
    second = exports.put(NAME, writes("newer"))
    assert second.path.name == "plan-autumn-2.xlsx"
    second.path.write_text("marks entered here too")
    third = exports.put(NAME, writes("newest"))
    assert (third.path.name, [path.name for path in third.kept]) == (
        "plan-autumn-3.xlsx", ["plan-autumn.xlsx", "plan-autumn-2.xlsx"],
    )  # fmt: skip
    assert sorted(everything(exports.folder).values()) == [
        "marks entered",
        "marks entered here too",
        "newest",
    ]


@pytest.mark.parametrize("make", [lambda path: path.mkdir(), lambda path: path.symlink_to(os.devnull)])
def test_a_folder_or_a_link_of_that_name_stays(exports, make):
    place = exports.folder / NAME
    place.parent.mkdir(parents=True)
    make(place)
    assert exports.put(NAME, writes("ours")).path.name == "plan-autumn-2.xlsx"
    assert place.is_dir() or place.is_symlink()


def test_only_untouched_files_of_ours_are_tidied_away(exports):
    names = [f"band/autumn/guides/1-air/{part}.pdf" for part in ("flute", "horn", "tuba")]
    flute, horn, tuba = (exports.put(name, writes(name)).path for name in names)
    elsewhere = exports.put("choir/autumn/guides/1-air/alto.pdf", writes("alto")).path
    horn.write_text("with my remarks")
    note = horn.with_name("my notes.pdf")
    note.write_text("mine")
    exports.tidy("band/autumn/guides", [tuba])
    assert [path.exists() for path in (flute, horn, tuba, note, elsewhere)] == [False, True, True, True, True]
    assert exports.find("band/autumn/guides", ".pdf") == sorted([horn, tuba, note])


def test_a_fault_leaves_the_old_file_and_no_scraps(exports, monkeypatch):
    exports.put(NAME, writes("old"))

    def full(_path):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with pytest.raises(ExportError, match="no space left"):
        exports.put(NAME, full)
    assert everything(exports.folder) == {NAME: "old"}
    (exports.folder / "flat").write_text("a file")
    with pytest.raises(ExportError):
        exports.put("flat/plan.pdf", writes("x"))


def test_a_run_killed_before_its_file_had_its_name_is_no_change_by_a_person(exports):
    exports.put(NAME, writes("old"))
    exports._note("0" * 64, NAME)
    assert exports.put(NAME, writes("new")).kept == ()


def test_many_who_write_at_once_lose_no_line_of_the_list(exports):
    with ThreadPoolExecutor(8) as pool:
        made = list(pool.map(lambda n: exports.put(f"band/{n % 4}.pdf", writes(f"{n}")), range(64)))
    assert all(each.kept == () for each in made)
    assert len((exports.folder / RECORD).read_text().splitlines()) == 64


def test_whatever_is_done_in_whatever_order_nothing_of_a_person_is_lost(exports):
    dice = random.Random(4)
    mine: dict = {}
    for step in range(300):
        name = f"band/{dice.choice('abc')}.pdf"
        path = exports.folder / name
        deed = dice.choice(("put", "put", "change", "tidy", "delete"))
        if deed == "put":
            made = exports.put(name, writes(f"ours {step}"))
            assert made.path not in mine
        elif deed == "change":
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(f"mine {step}")
            mine[path] = f"mine {step}"
        elif deed == "tidy":
            exports.tidy("band", [])
        elif mine:
            gone = dice.choice(list(mine))
            gone.unlink()
            del mine[gone]
        assert all(each.read_text() == text for each, text in mine.items())
    assert len(mine) > 0


def test_what_comes_back_from_a_backup_is_known_as_ours_by_the_list_of_the_backup_alone(exports, tmp_path):
    incoming = tmp_path / "incoming"
    give = partial(incoming.write_text)
    exports.put(NAME, writes("ours"))
    lines = (exports.folder / RECORD).read_text()
    other = ExportFolder(tmp_path / "other")
    other.remember(lines)
    give("ours")
    other.put_back(NAME, incoming)
    give("a note by a person")
    other.put_back("band/notes.txt", incoming)
    assert other.put(NAME, writes("newer")).kept == ()
    assert other.put("band/notes.txt", writes("x")).path.name == "notes-2.txt"
    (other.folder / NAME).write_text("changed since")
    give("ours")
    assert other.put_back(NAME, incoming).path.name == "plan-autumn-2.xlsx"
    assert (other.folder / NAME).read_text() == "changed since"
