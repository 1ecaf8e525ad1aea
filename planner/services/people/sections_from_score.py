"""Make an ensemble's sections from the parts of a score it plays."""

from planner.core.ensemble import Section
from planner.core.instruments import recognise
from planner.errors import InputError
from planner.services.people.roster import add_section, get_ensemble
from planner.services.ports import UnitOfWork


def add_sections_from_piece(
    work: UnitOfWork, ensemble_id: int, piece_id: int, *, level: float
) -> tuple[Section, ...]:
    """Add one section for each part of a piece whose instrument is known and whose name is still free.

    Args:
        work: An open unit of work.
        ensemble_id: Whose sections.
        piece_id: A piece of the library.
        level: Level each section starts at.

    Returns:
        The sections of the ensemble as they are then.

    Raises:
        InputError: If no part of the piece has a known instrument, or the level lies off the scale.
    """
    parts = work.pieces.profile(piece_id).parts
    known = [part for part in parts if part.instrument]
    if not known:
        raise InputError("No part of that piece has an instrument the planner knows.")
    taken = {section.name for section in work.ensembles.get(ensemble_id).sections}
    for part in known:
        if part.name not in taken:
            taken.add(part.name)
            chair = recognise(part.name).chair or 1
            add_section(work, ensemble_id, Section(0, part.name, part.instrument, chair, level=level))
    return get_ensemble(work, ensemble_id).sections
