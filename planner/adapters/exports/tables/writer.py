"""Writing a table as a workbook or as text: every cell comes back as it went."""

import csv
import io
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any, BinaryIO

from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE
from openpyxl.styles import Alignment
from openpyxl.utils import get_column_letter

from planner.adapters.exports.base import write_export
from planner.adapters.exports.workbook import BODY, HEAD_FILL, HEADING, LINE, WORDS, width_for
from planner.core.text import STARTS_FORMULA
from planner.errors import ExportError

LONGEST_CELL = 32_767
"""Source: the spreadsheet format (longer text is cut by its readers)."""
_LOOKS_ESCAPED = re.compile(r"_(?=x[0-9A-Fa-f]{4}_)")
_LIKE_CODES = re.compile(ILLEGAL_CHARACTERS_RE.pattern + r"|[\r\ufffe\uffff]")


class WorkbookTable:
    """Fulfils ``ports.writers.TableWriter``: one sheet, the headings held in view."""

    suffix = ".xlsx"

    def write(self, name: str, rows: Sequence[Sequence[str | float | None]], path: Path) -> Path:
        """Write the rows, the first of them headings.

        Raises:
            ExportError: If it cannot be written, or a text is longer than a cell holds.
        """
        for value in (value for row in rows for value in row):
            if isinstance(value, str) and len(stored_text(value)) > LONGEST_CELL:
                raise ExportError(path, f"“{value[:40]}…” is longer than a cell of a workbook holds")
        book = Workbook(write_only=True)
        sheet: Any = book.create_sheet(name)
        sheet.freeze_panes = "A2"
        for at in range(len(rows[0]) if rows else 0):
            texts = [str(row[at]).partition("\n")[0][:80] for row in rows[:200] if row[at] is not None]
            sheet.column_dimensions[get_column_letter(at + 1)].width = width_for(texts, least=8, most=48)
        for number, row in enumerate(rows):
            sheet.append([_cell(sheet, value, is_heading=not number) for value in row])
        book.properties.title = name

        def writer(out: BinaryIO) -> None:
            book.save(out)

        return write_export(path, writer)


def _cell(sheet: Any, value: str | float | None, *, is_heading: bool) -> Any:
    if value is None or value == "":
        return None
    if not isinstance(value, str):
        cell = WriteOnlyCell(sheet, value)
        cell.font, cell.alignment = BODY, _FIGURES
        return cell
    cell = WriteOnlyCell(sheet, stored_text(value))
    cell.data_type = "s"
    cell.font, cell.alignment = (HEADING, WORDS) if is_heading else (BODY, WORDS)
    if is_heading:
        cell.fill, cell.border = HEAD_FILL, LINE
    if value.startswith(STARTS_FORMULA):
        cell.quotePrefix = True
    return cell


_FIGURES = Alignment(horizontal="right", vertical="top")


def stored_text(text: str) -> str:
    r"""Text as the format stores it: a sign that it cannot hold by its number.

    Source: ECMA-376 part 1, 22.9.2.19 (``ST_Xstring``).

    Example:
        >>> stored_text("two\rlines"), stored_text("_x0041_")
        ('two_x000D_lines', '_x005F_x0041_')
    """
    text = _LOOKS_ESCAPED.sub("_x005F_", text)
    return _LIKE_CODES.sub(lambda found: f"_x{ord(found[0]):04X}_", text)


class TextTable:
    """Fulfils ``ports.writers.TableWriter``: text in UTF-8 with its mark, which spreadsheets know."""

    suffix = ".csv"

    def __init__(self, separator: str = ",") -> None:
        self._separator = separator

    def write(self, name: str, rows: Sequence[Sequence[str | float | None]], path: Path) -> Path:  # noqa: ARG002
        """Write the rows, the first of them headings.

        Raises:
            ExportError: If it cannot be written.
        """
        text = io.StringIO(newline="")
        writer = csv.writer(text, delimiter=self._separator)
        for row in rows:
            writer.writerow(["" if value is None else _number_or_text(value) for value in row])
        return write_export(path, lambda out: _write(out, text.getvalue()))


def _write(out: BinaryIO, text: str) -> None:
    out.write(text.encode("utf-8-sig"))


def _number_or_text(value: str | float) -> str:
    return value if isinstance(value, str) else f"{value:.12g}"
