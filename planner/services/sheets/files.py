"""How the files of a reading day's guides are called, and in which order they are shown."""

from datetime import date
from pathlib import Path

from planner.core.ensemble import Ensemble
from planner.core.profile import PieceProfile
from planner.core.term import Slot, Term
from planner.core.text import file_name
from planner.services.ports.files import ExportShelf
from planner.services.ports.work import UnitOfWork
from planner.services.sheets.director.make_sheet import SHEET_NAME
from planner.services.sheets.filing import term_folder
from planner.services.sheets.views import SheetKind

_PACKET = "packet"


def guides_folder(work: UnitOfWork, term: Term, on: date) -> str:
    """Folder of a reading day's sheets, below that of all exports."""
    return f"{term_folder(work, term)}/guides-{on.isoformat()}"


def piece_folder(slot: Slot, title: str) -> str:
    """Folder of a piece's sheets, below that of the day."""
    return f"{slot.position + 1}-{file_name(title) or f'piece-{slot.piece_id}'}"


def sheet_file(number: int, part: str, kind: SheetKind) -> str:
    """File of a part's sheet; ``number`` is its place in the score, from 0.

    Example:
        >>> sheet_file(2, "Clarinet 1", SheetKind.BLANKS)
        '03-clarinet-1-blanks.pdf'
    """
    return f"{number + 1:02d}-{file_name(part) or 'part'}{kind.ending}.pdf"


def packet_file(kind: SheetKind) -> str:
    """File of all sheets of a piece.

    Example:
        >>> packet_file(SheetKind.PLAIN), packet_file(SheetKind.LARGE_PRINT)
        ('packet.pdf', 'packet-large-print.pdf')
    """
    return f"{_PACKET}{kind.ending}.pdf"


def part_file(profile: PieceProfile, part: int, kind: SheetKind) -> str:
    """File of the sheet of a part of a study, by its place in the score."""
    return sheet_file(part, profile.parts[part].name, kind)


def section_file(ensemble: Ensemble, section_id: int) -> str:
    """File of a section's sheet with blanks for a piece on paper, whose parts nobody has read."""
    places = [section.id for section in ensemble.sections]
    at = places.index(section_id)
    return sheet_file(at, ensemble.sections[at].name, SheetKind.BLANKS)


def find_guides(exports: ExportShelf, work: UnitOfWork, term: Term, on: date) -> list[Path]:
    """The sheets made for a reading day, of each piece the director's first, then its packets."""
    return sorted(exports.find(guides_folder(work, term, on), ".pdf"), key=_order)


def is_for_directors(path: Path) -> bool:
    """Whether a file says what is forecast of each section: a director's sheet, or a packet, which has it."""
    return _is_sheet_of_director(path) or path.stem.startswith(_PACKET)


def _is_sheet_of_director(path: Path) -> bool:
    return path.stem == Path(SHEET_NAME).stem or path.stem.startswith(f"{Path(SHEET_NAME).stem}-")


def _order(path: Path) -> tuple[str, bool, bool, str]:
    return path.parent.name, not _is_sheet_of_director(path), not path.stem.startswith(_PACKET), path.name
