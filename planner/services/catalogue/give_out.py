"""The catalogue as a file: a workbook or a text, to be kept, changed elsewhere, and taken in again."""

from collections.abc import Sequence
from pathlib import Path

from planner.core.catalogue import CATALOGUE, FieldKind
from planner.core.piece import Piece, PieceQuery
from planner.errors import InputError
from planner.services.catalogue.columns import COPIES, LABELS, NUMBER
from planner.services.catalogue.shown import copies_text, part_names, shown_text
from planner.services.ports.work import UnitOfWork
from planner.services.ports.writers import TableWriter
from planner.wording.director.catalogue_file import ON_PAPER, SCORE_LABEL

SHEET = "Catalogue"
_FIGURES = (FieldKind.GRADE, FieldKind.NUMBER)


def catalogue_rows(work: UnitOfWork) -> list[list[str | float | None]]:
    """Every piece of the library in one row, by title, below the headings."""
    pieces, _ = work.pieces.list_pieces(PieceQuery(limit=0))
    named, copies = part_names(work, [piece.id for piece in pieces]), work.pieces.copies()
    heading: list[str | float | None] = [LABELS[NUMBER], *(LABELS[each.name] for each in CATALOGUE)]
    rows = [[*heading, LABELS[COPIES], SCORE_LABEL]]
    for piece in pieces:
        parts = named[piece.id]
        row: list[str | float | None] = [piece.id]
        row += [_cell(piece, each.name, each.kind, parts) for each in CATALOGUE]
        row.append(copies_text(parts, copies.get(piece.id, {})))
        row.append(ON_PAPER if piece.is_on_paper else piece.source.name)
        rows.append(row)
    return rows


def _cell(piece: Piece, name: str, kind: FieldKind, parts: Sequence[str]) -> str | float | None:
    text = shown_text(piece, name, parts)
    return float(text) if text and kind in _FIGURES else text


def give_out_catalogue(work: UnitOfWork, writers: Sequence[TableWriter], path: Path) -> Path:
    """Write the catalogue; the ending of the name says as what.

    Raises:
        InputError: If no form of file has that ending.
        ExportError: If the file cannot be written.
    """
    for writer in writers:
        if path.suffix.lower() == writer.suffix:
            return writer.write(SHEET, catalogue_rows(work), path)
    endings = " or ".join(writer.suffix for writer in writers)
    raise InputError(f"A catalogue is written as {endings}, not as “{path.suffix}”.", hint="Change the name.")
