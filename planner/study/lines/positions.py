"""How high on the fingerboard the left hand must go."""

import numpy as np

from planner.study.lines.technique_tables import REACH, STRINGS
from planner.study.notes.columns import Ints


def positions_needed(group: str, notes: Ints) -> Ints:
    """Lowest left-hand position in which each note can be played; 0 below the open strings.

    Args:
        group: Violin, viola, cello or double bass.
        notes: Written MIDI numbers.

    Example:
        >>> positions_needed("violin", np.array([55, 83, 84])).tolist()
        [1, 1, 2]
    """
    strings, reach = np.array(STRINGS[group]), np.array(REACH[group])
    string = np.searchsorted(strings, notes, side="right") - 1
    above = notes - strings[np.maximum(string, 0)]
    place = np.where(string >= 0, np.searchsorted(reach, above, side="left") + 1, 0)
    found: Ints = np.where(above == 0, 1, place)
    return found
