"""What the signatures, the accidentals and a transposition at sight ask of a part."""

from itertools import pairwise

import numpy as np

from planner.core.difficulty import Dimension, Measured, Quantity
from planner.core.ensemble import LOWEST_LEVEL
from planner.core.instruments import Instrument, get_instrument
from planner.study.difficulty.printed import PrintedNotes, in_force
from planner.study.difficulty.scales import (
    Anchors,
    DimensionLevel,
    bounded,
    expected_kinds,
    on_scale,
    power_mean,
)
from planner.study.notes.arrays import differences, distinct
from planner.study.notes.columns import Bools, Columns, Ints, PartColumns
from planner.study.notes.ranges import family_of

FIFTHS: Anchors = ((0, 0.5), (1, 0.75), (2, 1.25), (3, 2.0), (4, 2.75), (5, 3.5), (6, 4.5), (7, 5.0))
"""Sharps or flats as the player sees them, to level.

Source: MSHSAA solo matrix (at most 3 flats or 1 sharp, then 4 and 2, then all) and the key columns of
nemusicpub.com/grading, written for a B♭ instrument; steps between are ours.
"""
FIFTHS_SHARE: dict[str, float] = {"voice": 0.0, "keyboard": 0.35}
"""How much the signature counts for those who finger it differently, or not at all.

Source: house choice; the bare number of sharps and flats hardly predicts grade (our count on graded piano
pieces: rank correlation 0.13).
"""
KEY_POWER = 3.0
"""Exponent of the mean over bars: a fuller signature counts by its share. Source: house choice."""
SIGNATURE_CHANGES: Anchors = ((0, 0.0), (1, 0.3), (3, 0.8), (6, 1.4))

OUTSIDE: Anchors = ((0.0, 0.5), (0.06, 1.6), (0.12, 2.9), (0.2, 4.3), (0.4, 6.0))
"""Share of the notes outside the signature, to level."""
KINDS: Anchors = ((0.0, 0.5), (1.0, 0.6), (2.0, 1.2), (4.0, 2.6), (6.0, 4.0), (9.0, 5.4), (12.0, 6.0))
"""Different notes outside the signature expected among 64 notes, to level.

Source: house choice on the charts' order: no accidentals at ½, few at 1, at will from 3.
"""
NOTES_DRAWN = 64

TRANSPOSED_LEVEL = 4.0
"""Level of reading a part in another key than the player's instrument. From memory: horn players learn it in
college; orchestral parts of before 1850 ask for it throughout."""

READ_IN_ANOTHER_KEY = frozenset(
    {
        f"horn-{key}"
        for key in ("a", "aflat", "g", "e", "eflat", "d", "c", "bflat-basso", "a-basso", "bflat-alto")
    }
    | {f"trumpet-{key}" for key in ("e", "f", "g", "a")}
    | {"cornet-a"}
)
"""Instruments of old scores that are read on a horn in F, a trumpet or a cornet of today.

Source: common practice; trumpets in C, D and E♭ are played.
"""


def key_level(part: PartColumns, count: int) -> DimensionLevel:
    """Sharps or flats as written for the part, by the bars that stand in them, and their changes.

    Args:
        part: The part.
        count: Measures of the score.
    """
    share = FIFTHS_SHARE.get(family_of(part), 1.0)
    keys = part.part.keys_of(staff=1)
    changes = sum(a.fifths != b.fifths for a, b in pairwise(keys))
    level, evidence = LOWEST_LEVEL, [Measured(Quantity.SIGNATURE, 0)]
    if keys:
        bars = differences(np.array([key.measure for key in keys]), max(count, keys[-1].measure + 1))
        steps = np.array([on_scale(min(7, abs(key.fifths)), FIFTHS) for key in keys])
        if bars.sum():
            level += share * (power_mean(steps, KEY_POWER, bars) - LOWEST_LEVEL)
        fullest = max(keys, key=lambda key: abs(key.fifths))
        evidence = [Measured(Quantity.SIGNATURE, fullest.fifths, fullest.measure)]
    level += on_scale(changes, SIGNATURE_CHANGES)
    evidence += [Measured(Quantity.SIGNATURE_CHANGES, changes)] if changes else []
    return DimensionLevel(Dimension.KEY, bounded(level), tuple(evidence))


def accidentals_level(columns: Columns, part: PartColumns, printed: PrintedNotes) -> DimensionLevel:
    """Notes outside the signature: how many, and how many different ones.

    An altered note counts once in its bar, however often it is struck there: its accidental is read once.
    """
    first = _first_in_bar(columns, printed)
    outside, total = _outside(columns, part, printed, first), int(printed.pitched.sum())
    share = len(outside) / max(1, total)
    kinds = expected_kinds(outside, NOTES_DRAWN, total)
    level = (on_scale(share, OUTSIDE) + on_scale(kinds, KINDS)) / 2.0
    evidence = []
    if len(outside):
        evidence.append(Measured(Quantity.OUTSIDE_SIGNATURE, round(share, 4)))
        evidence.append(Measured(Quantity.DIFFERENT_ALTERED, len(distinct(outside))))
    return DimensionLevel(Dimension.ACCIDENTALS, level, tuple(evidence))


def _first_in_bar(columns: Columns, printed: PrintedNotes) -> Bools:
    """True for each note that its bar has not shown before on the same line and with the same accidental."""
    measure = np.searchsorted(columns.measure_start, printed.onset, side="right")
    place = np.stack([measure, printed.staff, printed.diatonic, printed.alter])
    first = np.zeros(len(printed), dtype=np.bool_)
    first[np.unique(place, axis=1, return_index=True)[1]] = True
    return first


def _outside(columns: Columns, part: PartColumns, printed: PrintedNotes, chosen: Bools) -> Ints:
    """A number for each chosen note outside its signature, equal for the same name."""
    fifths = np.zeros(len(printed), dtype=np.int64)
    for staff in range(1, max(1, part.part.staves) + 1):
        keys = part.part.keys_of(staff=staff)
        here = printed.staff == staff
        if keys and here.any():
            at = in_force(columns, [(key.measure, key.onset_quarters) for key in keys], printed.onset[here])
            fifths[here] = np.array([key.fifths for key in keys])[at]
    usual = 10 * (printed.rank < fifths).astype(np.int64) - 10 * (6 - printed.rank < -fifths)
    codes = 1000 * (printed.rank + 1) + printed.alter
    found: Ints = codes[chosen & printed.pitched & (printed.alter != usual)]
    return found


def transposition_level(instrument: Instrument) -> DimensionLevel | None:
    """What the player must transpose at sight; None where the instrument plays what is written."""
    usual = get_instrument(instrument.group)
    if instrument.id not in READ_IN_ANOTHER_KEY:
        return None
    by = instrument.transposition.semitones - usual.transposition.semitones
    evidence = (Measured(Quantity.TRANSPOSED_BY, by),)
    return DimensionLevel(Dimension.TRANSPOSITION, TRANSPOSED_LEVEL, evidence)
