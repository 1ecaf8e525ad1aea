"""Reading a table from whatever kind of file it is."""

from pathlib import Path

from planner.adapters.exports.tables.opening import content_of, is_workbook
from planner.adapters.exports.tables.read_text import read_text
from planner.adapters.exports.tables.read_workbook import read_workbook
from planner.core.table import Table, TableChoice

MOST_BYTES = 30 * 1024 * 1024
"""Larger files are no catalogue (house choice): 5,000 pieces take about one."""


class TableFiles:
    """Fulfils ``ports.readers.TableReader``: workbooks (.xlsx) and text with any common separator."""

    def read(self, path: Path, choice: TableChoice) -> Table:
        """Read the table of a file: what it is, is seen from its content.

        Raises:
            InputError: If it cannot be read as a table.
        """
        data = content_of(path, MOST_BYTES)
        read_as = read_workbook if is_workbook(data) else read_text
        return read_as(path.name, data, choice)
