"""Which files of a home hold a name: told apart by whose they are and what can be done with them."""

from io import BytesIO
from pathlib import Path
from zipfile import ZipFile

import pytest

from planner.adapters.store.exports import RECORD, ExportFolder
from planner.adapters.store.traces import HomeFiles
from planner.core.person_name import NameSearch
from planner.services.ports.files import TracePlace

NAME = "Zoë Quillfeather"
SEARCH = NameSearch((NAME,))


@pytest.fixture
def home(tmp_path):
    return HomeFiles(tmp_path, ExportFolder(tmp_path / "exports"), lambda: None)


def put(path, data):
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(data.encode() if isinstance(data, str) else data)


def zipped(data):
    packed = BytesIO()
    with ZipFile(packed, "w") as archive:
        archive.writestr("inside.txt", data)
    return packed.getvalue()


CONTENTS = {
    "plain": NAME.encode(),
    "utf-16": NAME.encode("utf-16"),
    "windows": NAME.encode("cp1252"),
    "escaped": b'{"who": "Zo\\u00eb Quillfeather"}',
    "xml": b"<t>Quillfeather, Zo&#235;</t>",
    "zip": zipped(NAME),
    "zip in a zip": zipped(zipped(NAME)),
    "binary": b"\0\1\2" + NAME.encode() + b"\0",
}


@pytest.mark.parametrize("kind", CONTENTS)
def test_a_name_is_found_in_files_of_every_kind(home, kind):
    put(home.folder / "criteria" / "ours.toml", CONTENTS[kind])
    put(home.folder / "criteria" / "other.toml", "# nobody")
    assert [(each.name, each.place) for each in home.find(SEARCH)] == [
        ("criteria/ours.toml", TracePlace.OTHER)
    ]


def test_whose_a_file_is_says_what_becomes_of_it(home):
    home.exports.put("band/gradebook.xlsx", lambda path: path.write_bytes(zipped(NAME)))
    home.exports.put("band/changed.xlsx", lambda path: path.write_bytes(zipped("nobody")))
    put(home.exports.folder / "band" / "changed.xlsx", zipped(NAME))
    home.exports.put("band/plan.pdf", lambda path: path.write_bytes(b"%PDF drawn"))
    put(home.exports.folder / "band" / "mine.pdf", b"%PDF drawn")
    put(home.folder / "inbox" / ("a" * 32) / "list.csv", NAME)
    put(home.folder / "backups" / "home.zip", zipped(NAME))
    put(home.folder / "backups" / "set-aside-2026" / "library.sqlite", b"\0" + NAME.encode())
    put(home.folder / "backups" / ".half-x" / "library.sqlite", b"\0" + NAME.encode())
    put(home.folder / ".half-y" / "library.sqlite", b"\0" + NAME.encode())
    put(home.folder / "scores" / "a.mxl", zipped(NAME))
    found = {each.name: (str(each.place), each.is_read) for each in home.find(SEARCH)}
    assert found == {
        "exports/band/gradebook.xlsx": ("export", True),
        "exports/band/changed.xlsx": ("changed-export", True),
        "exports/band/mine.pdf": ("changed-export", False),
        f"inbox/{'a' * 32}/list.csv": ("inbox", True),
        ".half-y/library.sqlite": ("export", True),
        "backups/.half-x/library.sqlite": ("export", True),
        "backups/home.zip": ("backup", True),
        "backups/set-aside-2026": ("backup", True),
    }
    assert not [each for each in home.find(SEARCH, but_backups=True) if each.place is TracePlace.BACKUP]
    assert {each.path.name for each in home.sheets()} == {"gradebook.xlsx", "plan.pdf"}


def test_a_file_called_so_is_found_and_its_name_struck_from_the_list(home):
    home.exports.put("zoe-quillfeather/plan.ics", lambda path: path.write_text("BEGIN"))
    home.exports.put("band/plan.ics", lambda path: path.write_text("BEGIN"))
    found = home.find(SEARCH)
    assert [each.name for each in found] == ["exports/zoe-quillfeather/plan.ics"]
    home.remove(found)
    assert not (home.exports.folder / "zoe-quillfeather").exists()
    assert "quillfeather" not in (home.exports.folder / RECORD).read_text()
    assert home.exports.is_ours("band/plan.ics")


def test_exports_that_lie_elsewhere_are_looked_at_as_far_as_they_are_ours(tmp_path):
    home = HomeFiles(tmp_path / "home", ExportFolder(tmp_path / "desk"), lambda: None)
    home.exports.put("plan.txt", lambda path: path.write_text(NAME))
    put(Path(tmp_path / "desk" / "letters.txt"), NAME)
    put(home.folder / "exports" / "old.txt", NAME)
    assert [each.path.name for each in home.find(SEARCH)] == ["plan.txt", "old.txt"]


def test_a_short_name_is_not_seen_in_drawn_sheets_or_longer_words(home):
    home.exports.put("plan.pdf", lambda path: path.write_bytes(b"%PDF \0 Wen"))
    home.exports.put("plan.csv", lambda path: path.write_text("went, Wendy"))
    assert home.find(NameSearch(("Wen",))) == []
