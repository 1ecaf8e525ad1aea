"""Whether music stays in one of the older modes rather than in the major or minor key it is nearest to."""

from dataclasses import dataclass

import numpy as np

from planner.study.notes.sonority import LOF_COUNT, LOF_LOW, Sonority
from planner.study.tonal.chords import Key


@dataclass(frozen=True, slots=True)
class Mode:
    """A scale that differs from major or minor in one note.

    Attributes:
        name: ``"Dorian"``.
        is_minor: Whether it is nearest to minor.
        low: Its lowest note on the line of fifths from the tonic; it has seven in a row.
        own: The note it has, in steps on the line of fifths from the tonic.
        usual: The note of the key that it has not.
    """

    name: str
    is_minor: bool
    low: int
    own: int
    usual: int


MODES = (
    Mode("Dorian", True, -3, 3, -4),
    Mode("Phrygian", True, -5, -5, 2),
    Mode("Lydian", False, 0, 6, -1),
    Mode("Mixolydian", False, -2, -2, 5),
)
"""Source: common practice names of the scales."""

LEAST_COVERED = 0.95
"""Least share of the sounding time in the notes of the mode (house choice: a few leading tones at closes)."""
LEAST_OWN, MOST_USUAL = 0.01, 0.25
"""Least share of the sounding time for the note that makes the mode, and most of the usual one for each of it
(house choice)."""


def mode_of(sonority: Sonority, home: Key) -> Mode | None:
    """The mode on the tonic of the home key in which the music stays; None for plain major and minor.

    Example:
        >>> [mode.name for mode in MODES if mode.is_minor]
        ['Dorian', 'Phrygian']
    """
    time = (sonority.mass * (sonority.end - sonority.start)[:, None]).sum(axis=0)
    total = float(time.sum())
    for mode in MODES:
        if mode.is_minor is not home.is_minor or not total:
            continue
        lof = np.arange(LOF_COUNT) + LOF_LOW - home.tonic
        covered = float(time[(lof >= mode.low) & (lof < mode.low + 7)].sum()) / total
        own, usual = (float(time[lof == step].sum()) / total for step in (mode.own, mode.usual))
        if covered >= LEAST_COVERED and own >= LEAST_OWN and usual <= MOST_USUAL * own:
            return mode
    return None
