"""How many notes a second an instrument plays and a reader takes in, and how dense the bars of a part are."""

from dataclasses import dataclass

import numpy as np

from planner.core.instruments import get_instrument
from planner.study.notes.arrays import first_places, quantile
from planner.study.notes.columns import TICKS_PER_QUARTER, Columns, Floats, Ints, PartColumns, asked_once

SPAN_NOTES = (2.0, 4.0)
"""Notes read ahead by amateurs and by professionals, at the piano.

Source: Furneaux and Land, "The effects of skill on the eye-hand span during musical sight-reading",
Proc. R. Soc. Lond. B 266 (1999): about two and about four. That they are the two ends of the level scale is
a house choice.
"""

SPAN_SECONDS = 0.7
"""Seconds read ahead at a fast tempo.

Source: the same paper: about 0.7 s when the tempo is fast, 1 s on the whole, 1.3 s when it is slow. That the
span in notes over this time is the most a reader can take in is a house choice.
"""

BUSY_QUANTILE = 0.9
"""The busiest tenth of a part's playing bars sets its tempo. House choice."""

REPEATED_WEIGHT = 0.5
"""What a repeated note counts towards the notes to be read. House choice."""

MOST_BY_FAMILY: dict[str, float] = {
    "keyboard": 12.0, "percussion": 12.0, "woodwind": 12.0, "strings": 12.0, "plucked": 10.0, "brass": 9.0,
    "voice": 8.0,
}  # fmt: skip
MOST_BY_GROUP: dict[str, float] = {
    "trumpet-bflat": 10.0, "bassoon": 10.0, "oboe": 10.0, "double-bass": 9.0, "horn-f": 8.0,
    "trombone": 7.0, "trombone-bass": 6.0, "tuba": 7.0, "timpani": 10.0,
}  # fmt: skip
MOST_OF_UNKNOWN = 12.0
"""Notes a second that good players keep up for some bars, by instrument. From memory: sixteenths at 132
are 9 a second and single tonguing ends about there; fingers and bows go to about 12."""


def most_notes_per_second(instrument: str) -> float:
    """Notes a second that an instrument can play for some bars.

    Args:
        instrument: Its id in the table; empty when not known.

    Example:
        >>> most_notes_per_second("trombone"), most_notes_per_second("flute"), most_notes_per_second("")
        (7.0, 12.0, 12.0)
    """
    if not instrument:
        return MOST_OF_UNKNOWN
    found = get_instrument(instrument)
    by_group = MOST_BY_GROUP.get(found.id) or MOST_BY_GROUP.get(found.group)
    return by_group or MOST_BY_FAMILY.get(found.family, MOST_OF_UNKNOWN)


def notes_per_second(level: float, instrument: str = "") -> float:
    """Notes a second that a reader of a level can take in and play.

    The span was measured at the piano; where an instrument speaks more slowly than fingers move, it goes down
    with the square root of what the instrument can play (house choice: half the limit is the eye's).

    Example:
        >>> round(notes_per_second(0.5), 2), round(notes_per_second(6.0), 2)
        (2.86, 5.71)
    """
    share = (min(max(level, 0.5), 6.0) - 0.5) / 5.5
    eye = (SPAN_NOTES[0] + share * (SPAN_NOTES[1] - SPAN_NOTES[0])) / SPAN_SECONDS
    speaks = min(1.0, most_notes_per_second(instrument) / MOST_OF_UNKNOWN)
    return float(eye * speaks**0.5)


@dataclass(frozen=True, eq=False)
class PartDensity:
    """Notes of a part in each measure, chords once; shape ``(n_measures,)``.

    Attributes:
        part: The part.
        counts: As played.
        loads: As read: a note on the same place as the one before counts by ``REPEATED_WEIGHT``.
    """

    part: PartColumns
    counts: Floats
    loads: Floats

    def busy(
        self, lengths: Floats, where: slice | Ints = slice(None), share: float = BUSY_QUANTILE
    ) -> tuple[float, float]:
        """Notes to be read and to be played a unit of length in the busiest tenth of the playing measures.

        Args:
            lengths: Length of each measure in some unit, shape ``(n_measures,)``.
            where: Only these measures.
            share: Share of the playing measures that are no busier.
        """
        counts, loads, length = self.counts[where], self.loads[where], lengths[where]
        playing = (counts > 0) & (length > 0)
        if not playing.any():
            return 0.0, 0.0
        per_length = length[playing]
        load, rate = (quantile(each[playing] / per_length, share) for each in (loads, counts))
        return load, rate


@asked_once
def densities_of(columns: Columns) -> tuple[PartDensity, ...]:
    """How dense the bars of each part are."""
    return tuple(density_of(part, len(columns.measure_length)) for part in columns.parts)


def density_of(part: PartColumns, measures: int) -> PartDensity:
    """How dense the bars of a part are."""
    struck = np.flatnonzero(part.struck)
    onsets, first = first_places(part.onset[struck])
    if not len(onsets):
        return PartDensity(part, np.zeros(measures), np.zeros(measures))
    heads = struck[first]
    places = part.diatonic[heads]
    weights = np.ones(len(heads))
    weights[1:][places[1:] == places[:-1]] = REPEATED_WEIGHT
    at = part.measure[heads]
    counts = np.bincount(at, minlength=measures).astype(np.float64)
    loads = np.bincount(at, weights=weights, minlength=measures).astype(np.float64)
    return PartDensity(part, counts, loads)


def quarters_of(columns: Columns) -> Floats:
    """Length of each written measure in quarters, shape ``(n_measures,)``."""
    quarters: Floats = columns.measure_length / TICKS_PER_QUARTER
    return quarters


def fastest_playable(densities: tuple[PartDensity, ...], quarters: Floats, where: slice) -> float:
    """Quarters a minute above which the densest bars of a passage are not playable; inf without notes.

    Args:
        densities: Of all parts.
        quarters: Length of each measure, shape ``(n_measures,)``.
        where: The measures of the passage.
    """
    limits = []
    for density in densities:
        _, rate = density.busy(quarters, where)
        if rate > 0:
            limits.append(60.0 * most_notes_per_second(density.part.part.instrument) / rate)
    return min(limits, default=float("inf"))
