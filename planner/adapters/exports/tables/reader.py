"""Reading a table from whatever kind of file it is."""

from pathlib import Path

from planner.adapters.exports.tables.read_text import read_text
from planner.adapters.exports.tables.read_workbook import read_workbook
from planner.core.table import Table, TableChoice
from planner.errors import InputError

MOST_BYTES = 30 * 1024 * 1024
"""Larger files are no catalogue (house choice): 5,000 pieces take about one."""
_OLD_WORKBOOK = b"\xd0\xcf\x11\xe0"
ZIP = b"PK\x03\x04"


def content_of(path: Path, most_bytes: int, else_no: str) -> bytes:
    """The content of a file that may hold a table.

    Args:
        path: The file.
        most_bytes: How large it may be.
        else_no: What a larger one is not, such as ``: that is no roster``.

    Raises:
        InputError: If it is no file, too large, or cannot be opened.
    """
    try:
        if not path.is_file():
            raise InputError(f"{path.name} is not a file.")
        if path.stat().st_size > most_bytes:
            raise InputError(f"{path.name} is larger than {most_bytes // 1024**2} MB{else_no}.")
        return path.read_bytes()
    except OSError as error:
        reason = (error.strerror or "no access").lower()
        raise InputError(f"{path.name} cannot be opened: {reason}.") from error


class TableFiles:
    """Fulfils ``services.ports.TableReader``: workbooks (.xlsx) and text with any common separator."""

    def read(self, path: Path, choice: TableChoice) -> Table:
        """Read the table of a file: what it is, is seen from its content.

        Raises:
            InputError: If it cannot be read as a table.
        """
        data = content_of(path, MOST_BYTES, "")
        if data.startswith(ZIP):
            return read_workbook(path.name, data, choice)
        if data.startswith(_OLD_WORKBOOK):
            raise InputError(
                f"{path.name} is a workbook of the old kind, or has a password.",
                hint="Save it as .xlsx without a password.",
            )
        return read_text(path.name, data, choice)
