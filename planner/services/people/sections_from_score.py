"""Make an ensemble's sections from the parts of a score it plays."""

from collections import Counter
from collections.abc import Sequence

from planner.core.change import Author
from planner.core.ensemble import Role, Section
from planner.core.instruments import get_instrument, read_name
from planner.core.profile import PartProfile
from planner.errors import InputError
from planner.services.people.roster import add_sections, get_ensemble
from planner.services.ports.work import UnitOfWork
from planner.study.difficulty.roles import roles_of


def add_sections_from_piece(
    work: UnitOfWork, ensemble_id: int, piece_id: int, *, level: float, by: Author
) -> tuple[Section, ...]:
    """Add one section for each part of a piece whose instrument is known and whose name is still free.

    A part for practice only gets none.

    Args:
        work: An open unit of work.
        ensemble_id: Whose sections.
        piece_id: A piece of the library.
        level: Level each section starts at.
        by: Who asks for it.

    Returns:
        The sections of the ensemble as they are then.

    Raises:
        InputError: If no part of the piece has a known instrument, or the level lies off the scale.
    """
    parts = work.pieces.profile(piece_id).parts
    roles = zip(parts, roles_of(parts), strict=True)
    known = [part for part, role in roles if part.instrument and role is not Role.PRACTICE]
    if not known:
        raise InputError("No part of that piece has an instrument the planner knows.")
    taken = {section.name for section in work.ensembles.get(ensemble_id).sections}
    first: dict[str, Section] = {}
    for name, chair, part in _seats(known):
        first.setdefault(name, Section(0, name, part.instrument, chair, level=level))
    add_sections(work, ensemble_id, [section for name, section in first.items() if name not in taken], by=by)
    return get_ensemble(work, ensemble_id).sections


def _seats(parts: Sequence[PartProfile]) -> list[tuple[str, int, PartProfile]]:
    """Name and chair of each part's section; one whose name says nothing is called by its instrument."""
    found: list[tuple[str, int, PartProfile]] = []
    unnamed = Counter(part.instrument for part in parts if read_name(part.name).is_blank)
    counted: Counter[str] = Counter()
    for part in parts:
        reading = read_name(part.name)
        if not reading.is_blank:
            found.append((part.name, reading.chairs[0] if reading.chairs else 1, part))
            continue
        counted[part.instrument] += 1
        chair, name = counted[part.instrument], get_instrument(part.instrument).name
        found.append((f"{name} {chair}" if unnamed[part.instrument] > 1 else name, chair, part))
    return found
