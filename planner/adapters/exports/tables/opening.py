"""Opening a file that somebody gives: its content, and a workbook with all that may be wrong with one."""

import io
import zipfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from openpyxl import Workbook, load_workbook

from planner.errors import InputError

MOST_UNPACKED = 300 * 1024 * 1024
"""Bytes that a workbook may hold unpacked (house choice)."""
_ZIP = b"PK\x03\x04"
_OLD_WORKBOOK = b"\xd0\xcf\x11\xe0"
"""How an .xls begins, and an .xlsx with a password. Source: [MS-CFB], 2.2."""
_OPEN_DOCUMENT = b"application/vnd.oasis.opendocument"
_SAVE_AGAIN = "Open it in your spreadsheet and save it again."


def content_of(path: Path, most_bytes: int, else_no: str = "") -> bytes:
    """The content of a file that may hold a table.

    Args:
        path: The file.
        most_bytes: How large it may be.
        else_no: What a larger one is not, such as ``: that is no roster``.

    Raises:
        InputError: If it is no file, too large, cannot be opened, or is a workbook of the old kind.
    """
    try:
        if not path.is_file():
            raise InputError(f"{path.name} is not a file.")
        if path.stat().st_size > most_bytes:
            raise InputError(f"{path.name} is larger than {most_bytes // 1024**2} MB{else_no}.")
        data = path.read_bytes()
    except OSError as error:
        reason = (error.strerror or "no access").lower()
        raise InputError(f"{path.name} cannot be opened: {reason}.") from error
    if data.startswith(_OLD_WORKBOOK):
        raise InputError(
            f"{path.name} is a workbook of the old kind, or has a password.",
            hint="Save it as .xlsx without a password.",
        )
    return data


def is_workbook(data: bytes) -> bool:
    """Whether a content begins as that of a workbook does; else it is text."""
    return data.startswith(_ZIP)


@contextmanager
def opened_workbook(
    name: str, data: bytes, *, shows_results: bool = False, most_unpacked: int | None = None
) -> Iterator[Workbook]:
    """A workbook to be read row by row; what fails in it while it is open is said in one sentence.

    Args:
        name: Of the file.
        data: Its bytes.
        shows_results: Whether a formula is read as what it came to, not as a formula.
        most_unpacked: Bytes that it may hold unpacked.

    Raises:
        InputError: If it is no workbook, is damaged, or holds too much.
    """
    _check_package(name, data, MOST_UNPACKED if most_unpacked is None else most_unpacked)
    try:
        book = load_workbook(io.BytesIO(data), read_only=True, data_only=shows_results, keep_links=False)
        with closing(book):
            yield book
    except InputError:
        raise
    except Exception as error:  # a damaged workbook fails in many ways, each in another layer of the library
        raise InputError(f"{name} cannot be read as a workbook.", hint=_SAVE_AGAIN) from error


def _check_package(name: str, data: bytes, most_unpacked: int) -> None:
    """That the package is what it says: no larger than a workbook, and without declarations of its own."""
    damaged = InputError(f"{name} is damaged.", hint=_SAVE_AGAIN)
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as package:
            if sum(each.file_size for each in package.infolist()) > most_unpacked:
                raise InputError(f"{name} holds far more than a table.")
            for each in package.infolist():
                if each.filename == "mimetype" and package.read(each).startswith(_OPEN_DOCUMENT):
                    raise InputError(f"{name} is an OpenDocument file.", hint="Save it as .xlsx instead.")
                if each.filename.endswith((".xml", ".rels")):
                    with package.open(each) as part:
                        if b"<!DOCTYPE" in part.read(2048):
                            raise damaged
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError, RuntimeError, EOFError) as error:
        raise damaged from error
