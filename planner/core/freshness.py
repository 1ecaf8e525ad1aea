"""Whether a piece is fresh: has nobody in the room met it?"""

from collections.abc import Iterable, Sequence
from datetime import date

from planner.core.ensemble import Ensemble, Exposure, Player, Section


def find_met_pieces(
    ensemble: Ensemble,
    exposures: Iterable[Exposure],
    on: date,
    others: Sequence[Ensemble] = (),
) -> dict[int, Exposure]:
    """Pieces that someone in the room can know on a day, each with one exposure that says so.

    An exposure counts unless every player of the section is known by name and came
    after it. In doubt it counts. A player of the same name in another ensemble is
    taken for the same person.

    Args:
        ensemble: Who reads.
        exposures: Of this ensemble and, if given, of the ``others``.
        on: The day of the reading; an exposure later than it still counts, as it is already planned.
        others: Other ensembles some of the players may also belong to.

    Example:
        >>> band = Ensemble(1, "Band", sections=(Section(1, "Flute", "flute"),))
        >>> sorted(find_met_pieces(band, [Exposure(1, 7, "performed")], date(2026, 9, 1)))
        [7]
    """
    elsewhere = {other.id: other for other in others if other.id != ensemble.id}
    met: dict[int, Exposure] = {}
    for exposure in exposures:
        if exposure.piece_id in met:
            continue
        if exposure.ensemble_id == ensemble.id:
            known = _met_here(ensemble, exposure, on)
        else:
            other = elsewhere.get(exposure.ensemble_id)
            known = other is not None and _met_there(ensemble, other, exposure, on)
        if known:
            met[exposure.piece_id] = exposure
    return met


def _met_here(ensemble: Ensemble, exposure: Exposure, on: date) -> bool:
    sections = [s for s in ensemble.sections if exposure.section_id in (None, s.id)]
    if not sections:
        return True
    return any(_section_met(section, exposure, on) for section in sections)


def _section_met(section: Section, exposure: Exposure, on: date) -> bool:
    present = [player for player in section.players if is_present(player, on)]
    if len(present) < section.size or not present:
        return True
    return any(_was_there(player, exposure.on) for player in present)


def _met_there(ensemble: Ensemble, other: Ensemble, exposure: Exposure, on: date) -> bool:
    here = {_key(p) for s in ensemble.sections for p in s.players if is_present(p, on)}
    return any(
        _key(player) in here and _was_there(player, exposure.on)
        for section in other.sections
        if exposure.section_id in (None, section.id)
        for player in section.players
    )


def is_present(player: Player, on: date) -> bool:
    """Whether a player belongs to the section on a day."""
    return (player.joined is None or player.joined <= on) and (player.left is None or on <= player.left)


def _was_there(player: Player, on: date | None) -> bool:
    return on is None or is_present(player, on)


def _key(player: Player) -> str:
    return " ".join(player.name.casefold().split())
