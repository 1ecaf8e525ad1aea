"""Writing files for people."""

from collections.abc import Sequence
from pathlib import Path
from typing import Protocol

from planner.services.reports.views import ReportView
from planner.services.sheets.director.views import DirectorSheet
from planner.services.sheets.views import (
    DayFileSheet,
    FormSheet,
    GradebookSheet,
    GuidePacket,
    GuideView,
    PlanSheet,
    TallySheet,
)


class GuideWriter(Protocol):
    """Lays out pre-read guides."""

    def write(self, views: Sequence[GuideView], path: Path) -> Path:
        """Print guides one after the other into one file.

        Raises:
            ExportError: If the file cannot be written; nothing half-written is left.
        """
        ...

    def write_packet(self, packet: GuidePacket, path: Path) -> Path:
        """Print a packet: its contents, then each sheet in its copies.

        Raises:
            ExportError: As above.
        """
        ...


class DirectorWriter(Protocol):
    """Lays out the director's sheet of a piece."""

    def write(self, sheet: DirectorSheet, path: Path) -> Path:
        """Print it.

        Raises:
            ExportError: If the file cannot be written; nothing half-written is left.
        """
        ...


class PlanWriter(Protocol):
    """Lays out a term plan in one form (printed sheet, workbook or calendar).

    Attributes:
        suffix: Ending of its files.
        updates_copies: Whether it brings copies that others have up to date, so that what it writes must
            follow from what it wrote before.
    """

    suffix: str
    updates_copies: bool

    def write(self, sheet: PlanSheet, path: Path) -> Path:
        """Write it.

        Raises:
            ExportError: If the file cannot be written; nothing half-written is left.
        """
        ...


class GradebookWriter(Protocol):
    """Lays out a gradebook."""

    def write(self, sheet: GradebookSheet, path: Path) -> Path:
        """Write it.

        Raises:
            ExportError: If the file cannot be written; nothing half-written is left.
        """
        ...


class FormWriter(Protocol):
    """Prints scoring forms."""

    def write(self, sheets: Sequence[FormSheet], path: Path) -> Path:
        """Write them, a page each; there is at least one.

        Raises:
            ExportError: If the file cannot be written; nothing half-written is left.
        """
        ...


class DayFileWriter(Protocol):
    """Lays out the worksheet of a reading day."""

    def write(self, sheet: DayFileSheet, path: Path) -> Path:
        """Write it.

        Raises:
            ExportError: If the file cannot be written; nothing half-written is left.
        """
        ...


class ReportWriter(Protocol):
    """Lays out a report."""

    def write(self, view: ReportView, path: Path) -> Path:
        """Write it.

        Raises:
            ExportError: If the file cannot be written; nothing half-written is left.
        """
        ...


class FileWriter(Protocol):
    """Writes a file whose content is known."""

    def write(self, data: bytes, path: Path) -> Path:
        """Write it.

        Raises:
            ExportError: If the file cannot be written; nothing half-written is left.
        """
        ...


class TallyWriter(Protocol):
    """Lays out the tally sheet of a reading day."""

    def write(self, sheet: TallySheet, path: Path) -> Path:
        """Print it.

        Raises:
            ExportError: If the file cannot be written; nothing half-written is left.
        """
        ...


class TableWriter(Protocol):
    """Writes a table in one form, so that every cell comes back as it went.

    Attributes:
        suffix: Ending of its files.
    """

    suffix: str

    def write(self, name: str, rows: Sequence[Sequence[str | float | None]], path: Path) -> Path:
        """Write the rows, the first of them headings.

        Raises:
            ExportError: If the file cannot be written; nothing half-written is left.
        """
        ...
