"""Stations proposed for an ensemble: groups by the family of their instruments."""

from planner.core.ensemble import Ensemble
from planner.core.instruments import get_instrument
from planner.core.term import Station

_GROUPS = {
    "woodwind": "Winds",
    "brass": "Brass",
    "percussion": "Percussion",
    "keyboard": "Percussion",
    "strings": "Strings",
    "plucked": "Strings",
}
"""Rooms by family: keyboards go with the percussion, harps and guitars with the strings (house choice)."""


def propose_stations(ensemble: Ensemble) -> tuple[Station, ...]:
    """Groups that could read in rooms of their own, in the order in which their sections sit.

    Instruments go by family; singers each with their own section. Fewer than two groups are none.
    """
    groups: dict[str, list[int]] = {}
    for section in ensemble.sections:
        family = get_instrument(section.instrument).family
        groups.setdefault(_GROUPS.get(family, section.name), []).append(section.id)
    if len(groups) < 2:
        return ()
    return tuple(Station(name, tuple(ids)) for name, ids in groups.items())
