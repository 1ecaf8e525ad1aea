"""Tables from files of every kind, and back."""

import csv
import io
import zipfile
from datetime import datetime, time

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook, load_workbook

from planner.adapters.exports.tables.reader import TableFiles
from planner.adapters.exports.tables.writer import TextTable, WorkbookTable
from planner.core.table import CellFault, TableChoice
from planner.errors import ExportError, InputError
from tests.checks import some

ROWS = [
    ["Title", "Composer", "Remarks"],
    ["Frühlingsgruß", "Édouard Dvořan", "“schön”, he said;\nsecond line | more"],
    ["Señor’s Air", "Müller", "Noël à l’été"],
    ["Größe – Maß", "François Ångström", "crème brûlée"],
]
WESTERN = [[cell.replace("ř", "r") for cell in row] for row in ROWS]


def read(path, **choice):
    return TableFiles().read(path, TableChoice(**choice))


def texts(table):
    return [[cell.text for cell in row.cells] for row in table.rows]


def as_text(rows, separator):
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=separator).writerows(rows)
    return out.getvalue()


@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252", "latin-1", "mac_roman"]
)
def test_each_encoding_and_separator_is_found(tmp_path, separator, encoding):
    rows = ROWS if encoding.startswith("utf") else WESTERN
    if encoding == "latin-1":
        rows = [[c.translate(str.maketrans("“”’–", '""\'-')) for c in row] for row in rows]
    path = tmp_path / "list.csv"
    path.write_bytes(as_text(rows, separator).encode(encoding))
    table = read(path)
    assert texts(table) == rows
    assert table.choice.separator == separator


@pytest.mark.parametrize(
    "words",
    [
        ["Don’t Stop", "Mother’s Song", "O’Reilly"],
        ["Antonín Dvorák", "José Núñez", "Andrés"],
        ["Þórður", "Ærø – sørøver", "Håkon"],
        ["Joaquín “El Niño” Cañón", "L’été à Nîmes", "Garçon…"],
        ["Überraschung", "Öl", "Straße"],
        ["½ hour", "Op. 5 © 2019", "naïve"],
    ],
)
@pytest.mark.parametrize("encoding", ["cp1252", "mac_roman"])
def test_words_of_many_languages_tell_windows_from_mac(tmp_path, words, encoding):
    try:
        data = as_text([[word, "x"] for word in words], ",").encode(encoding)
    except UnicodeEncodeError:
        pytest.skip(f"{encoding} cannot write these words")
    path = tmp_path / "list.csv"
    path.write_bytes(data)
    assert [row[0] for row in texts(read(path))] == words


def test_the_directors_word_on_encoding_and_separator_holds(tmp_path):
    path = tmp_path / "list.csv"
    path.write_bytes("a,b;é,c\n".encode("mac_roman"))
    assert texts(read(path, encoding="mac_roman", separator=";")) == [["a,b", "é,c"]]
    with pytest.raises(InputError, match="cannot be read as utf-8"):
        read(path, encoding="utf-8")
    with pytest.raises(InputError, match="cannot stand between cells"):
        read(path, separator="ab")


def test_rows_keep_the_numbers_that_spreadsheets_show(tmp_path):
    path = tmp_path / "list.csv"
    path.write_text('sep=;\n\n"two\nlines";x\n\nlast;\n', encoding="utf-8")
    table = read(path)
    assert [(row.number, row.cells[0].text) for row in table.rows] == [(2, "two\nlines"), (4, "last")]


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b'a,b\n"never closed,b\nc,d\n', "row 2: a quotation mark opens a cell"),
        (b"\x00\x01\x02\xff\xfe binary", "is not a table"),
        (b"PK\x03\x04 broken", "is damaged"),
        (b"\xd0\xcf\x11\xe0 old", "of the old kind"),
        (b"\xff\xfea", "breaks off"),
    ],
)
def test_what_is_no_table_is_refused_in_one_sentence(tmp_path, data, why):
    path = tmp_path / "list.csv"
    path.write_bytes(data)
    with pytest.raises(InputError, match=why):
        read(path)


def workbook(path, rows):
    book = Workbook()
    for row in rows:
        book.active.append(row)
    book.save(path)


def test_cells_of_a_workbook_are_taken_whole_or_named(tmp_path):
    path = tmp_path / "list.xlsx"
    book = Workbook()
    sheet = book.active
    sheet.append(["=1+1", 12345678901234567890, datetime(2026, 4, 4), time(3, 30), 2.5, 7, True, "#N/A", "x"])
    sheet["H1"].data_type = "e"
    sheet["F1"].number_format = "000"
    sheet["A2"].value, sheet["A2"].data_type = "=not a formula", "s"
    book.save(path)
    first, second = read(path).rows
    faults = [cell.fault for cell in first.cells]
    assert faults == [
        CellFault.FORMULA, CellFault.DIGITS, CellFault.DATE, CellFault.DATE, None, None, None,
        CellFault.ERROR, None,
    ]  # fmt: skip
    assert [cell.text for cell in first.cells[4:7]] == ["2.5", "007", "TRUE"]
    assert (second.cells[0].text, second.cells[0].fault) == ("=not a formula", None)


def test_a_sheet_is_chosen_by_name(tmp_path):
    path = tmp_path / "list.xlsx"
    book = Workbook()
    book.active.title = "Covers"
    book.create_sheet("Pieces").append(["Air"])
    book.create_sheet("Secret").sheet_state = "hidden"
    book.save(path)
    assert read(path).sheets == ("Covers", "Pieces")
    assert texts(read(path, sheet="Pieces")) == [["Air"]]
    with pytest.raises(InputError, match="has no sheet “Marches”"):
        read(path, sheet="Marches")


def test_a_workbook_with_declarations_of_its_own_is_refused(tmp_path):
    path, evil = tmp_path / "list.xlsx", tmp_path / "evil.xlsx"
    workbook(path, [["Air"]])
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(evil, "w") as new:
        for each in old.namelist():
            data = old.read(each)
            new.writestr(each, b'<!DOCTYPE x [<!ENTITY a "b">]>' + data if "sheet1" in each else data)
    with pytest.raises(InputError, match="is damaged"):
        read(evil)


CELL = st.text(st.characters(exclude_categories=("Cs",)), max_size=30)


@pytest.mark.parametrize(
    "writer", [WorkbookTable(), TextTable(), TextTable(";")], ids=["xlsx", "csv", "csv;"]
)
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(rows=st.lists(st.tuples(CELL, CELL, CELL), min_size=1, max_size=5))
def test_every_cell_comes_back_as_it_went(tmp_path, writer, rows):
    path = tmp_path / f"list{writer.suffix}"
    if (
        writer.suffix == ".csv"
    ):  # a text file has no place for this sign, and no field of the catalog takes it
        rows = [tuple(cell.replace("\0", "") for cell in row) for row in rows]
    written = [["head", "of", "each"], *[[f".{cell}." for cell in row] for row in rows]]
    writer.write("Catalog", written, path)
    choice = {} if writer.suffix == ".xlsx" else {"separator": writer._separator}
    assert texts(read(path, **choice)) == written


@pytest.mark.parametrize("begins", ["=1+1", "+x", "-x", "@x", "\tx", "_x0041_"])
def test_text_that_looks_like_a_formula_stays_text_and_comes_back_whole(tmp_path, begins):
    path = WorkbookTable().write("Catalog", [["Title"], [begins]], tmp_path / "list.xlsx")
    cell = load_workbook(path).active["A2"]
    assert (cell.data_type, cell.value != begins) == ("s", begins.startswith("_x"))
    assert texts(read(path))[1] == [begins]


def test_a_cell_that_would_be_cut_is_not_written(tmp_path):
    path = tmp_path / "list.xlsx"
    with pytest.raises(ExportError, match="longer than a cell"):
        WorkbookTable().write("Catalog", [["Title"], ["a" * 40_000]], path)
    assert not path.exists()
    for text in some(["a" * 10_000, "é" * 32_767]):
        WorkbookTable().write("Catalog", [["Title"], [text]], path)
        assert texts(read(path))[1] == [text]
