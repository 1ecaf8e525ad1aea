"""What a file says of each piece, cell by cell: what is read back from it is the same."""

from collections.abc import Collection, Mapping, Sequence

from planner.core.catalogue import FIELDS
from planner.core.listed import joined
from planner.core.piece import Piece
from planner.services.ports.work import UnitOfWork
from planner.wording.director.catalogue import value_text
from planner.wording.words import key


def shown_text(piece: Piece, name: str, parts: Sequence[str]) -> str:
    """A field of a piece as a file shows it; of a piece with a score what the study found.

    Args:
        piece: Which.
        name: Of the field.
        parts: Names of its parts, in score order.
    """
    if piece.is_on_paper or not FIELDS[name].is_of_paper:
        return value_text(name, getattr(piece, name))
    studied = {
        "keys": key(piece.home_key) if piece.home_key else "",
        "time_signatures": joined(piece.meters),
        "minutes": f"{round(piece.playing_seconds / 60, 2):g}" if piece.playing_seconds else "",
        "parts": joined(parts),
    }
    return studied.get(name, "")


def part_names(work: UnitOfWork, piece_ids: Collection[int]) -> Mapping[int, tuple[str, ...]]:
    """By piece, the names of its parts in score order."""
    lines = work.pieces.lines()
    rest = work.pieces.outlines([piece_id for piece_id in piece_ids if piece_id not in lines])
    parts = {piece_id: found.parts for piece_id, found in lines.items()}
    parts |= {piece_id: profile.parts for piece_id, profile in rest.items()}
    return {piece_id: tuple(part.name for part in parts.get(piece_id, ())) for piece_id in piece_ids}


def copies_text(parts: Sequence[str], copies: Mapping[str, int]) -> str:
    """The counted copies of the parts, in their order.

    Example:
        >>> copies_text(["Flute", "Oboe"], {"Oboe": 1, "Flute": 4})
        'Flute=4; Oboe=1'
    """
    return joined([f"{name}={copies[name]}" for name in parts if name in copies])
