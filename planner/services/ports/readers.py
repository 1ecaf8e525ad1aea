"""Reading files that people give."""

from collections.abc import Sequence
from pathlib import Path
from typing import Protocol

from planner.core.filled_in import FilledIn
from planner.core.table import Table, TableChoice


class TableReader(Protocol):
    """Reads a table from a file of the director's own."""

    def read(self, path: Path, choice: TableChoice) -> Table:
        """Read the table of a file.

        Raises:
            InputError: If it cannot be read as a table.
        """
        ...


class FilledInReader(Protocol):
    """Reads a file that was written to be filled in."""

    def read(self, path: Path) -> FilledIn:
        """Every cell that can be filled in, by what it is about.

        Raises:
            InputError: If it is no such file, or cannot be read.
        """
        ...


class RosterReader(Protocol):
    """Reads the cells of a roster from a file of the director's."""

    def read(self, path: Path) -> Sequence[Sequence[str]]:
        """The cells row by row, as text; days as YYYY-MM-DD.

        Raises:
            InputError: If it cannot be read as a table.
        """
        ...
