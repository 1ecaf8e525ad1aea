"""Reading a table from whatever kind of file it is."""

from pathlib import Path

from planner.adapters.exports.tables.read_text import read_text
from planner.adapters.exports.tables.read_workbook import read_workbook
from planner.core.table import Table, TableChoice
from planner.errors import InputError

MOST_BYTES = 30 * 1024 * 1024
"""Larger files are no catalogue (house choice): 5,000 pieces take about one."""
_OLD_WORKBOOK = b"\xd0\xcf\x11\xe0"
_ZIP = b"PK\x03\x04"


class TableFiles:
    """Fulfils ``services.ports.TableReader``: workbooks (.xlsx) and text with any common separator."""

    def read(self, path: Path, choice: TableChoice) -> Table:
        """Read the table of a file: what it is, is seen from its content.

        Raises:
            InputError: If it cannot be read as a table.
        """
        try:
            if not path.is_file():
                raise InputError(f"{path.name} is not a file.")
            if path.stat().st_size > MOST_BYTES:
                raise InputError(f"{path.name} is larger than {MOST_BYTES // 1024**2} MB.")
            data = path.read_bytes()
        except OSError as error:
            raise InputError(
                f"{path.name} cannot be opened: {(error.strerror or 'no access').lower()}."
            ) from error
        if data.startswith(_ZIP):
            return read_workbook(path.name, data, choice)
        if data.startswith(_OLD_WORKBOOK):
            raise InputError(
                f"{path.name} is a workbook of the old kind, or has a password.",
                hint="Save it as .xlsx without a password.",
            )
        return read_text(path.name, data, choice)
