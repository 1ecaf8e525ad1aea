"""Every file that somebody gives is opened with the same care, whoever reads it."""

import io
import zipfile

import pytest
from openpyxl import Workbook

from planner.adapters.exports.roster_file import RosterFiles
from planner.adapters.exports.tables.opening import opened_workbook
from planner.adapters.exports.tables.read_filled_in import FilledInFiles
from planner.adapters.exports.tables.reader import TableFiles
from planner.core.table import TableChoice
from planner.errors import InputError

READERS = {
    "catalogue": lambda path: TableFiles().read(path, TableChoice()),
    "filled in": FilledInFiles().read,
    "roster": RosterFiles().read,
}


def workbook_with(found: bytes, put: bytes) -> bytes:
    """A workbook in whose first part some bytes are others."""
    plain, changed = io.BytesIO(), io.BytesIO()
    Workbook().save(plain)
    with zipfile.ZipFile(plain) as old, zipfile.ZipFile(changed, "w") as new:
        for each in old.namelist():
            data = old.read(each)
            new.writestr(each, data.replace(found, put, 1) if each == "xl/workbook.xml" else data)
    return changed.getvalue()


def open_document() -> bytes:
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w") as package:
        package.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        package.writestr("content.xml", "<office/>")
    return data.getvalue()


REFUSED = {
    "declares": (workbook_with(b"<workbook", b'<!DOCTYPE x [<!ENTITY a "b">]><workbook'), "is damaged"),
    "broken": (workbook_with(b"<workbook", b"<workbook <"), "cannot be read as a workbook"),
    "cut": (b"PK\x03\x04 broken", "is damaged"),
    "old": (b"\xd0\xcf\x11\xe0 old", "is a workbook of the old kind"),
    "ods": (open_document(), "is an OpenDocument file"),
}


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("kind", REFUSED)
def test_each_reader_refuses_the_same_files_in_the_same_words(tmp_path, reader, kind):
    data, why = REFUSED[kind]
    path = tmp_path / "given.xlsx"
    path.write_bytes(data)
    with pytest.raises(InputError, match=f"given.xlsx {why}"):
        READERS[reader](path)


def test_a_workbook_that_unpacks_to_too_much_is_refused(tmp_path):
    data = workbook_with(b"", b"")
    with opened_workbook("list.xlsx", data, most_unpacked=10**6) as book:
        assert book.sheetnames == ["Sheet"]
    with (
        pytest.raises(InputError, match="far more than a table"),
        opened_workbook("list.xlsx", data, most_unpacked=1000),
    ):
        pass


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252", "mac_roman"])
def test_the_names_of_a_roster_are_read_in_any_common_encoding(tmp_path, encoding):
    path = tmp_path / "roster.csv"
    path.write_bytes("Zoë Brontë;Flute\nJosé Núñez;Horn\n".encode(encoding))
    assert RosterFiles().read(path)[:2] == [["Zoë Brontë", "Flute"], ["José Núñez", "Horn"]]
