"""Where the music comes to rest: cadences by their last two chords and the pause after them."""

import numpy as np

from planner.analysis.chords import CHORDS, KEYS, Chord
from planner.analysis.columns import TICKS_PER_QUARTER, Columns, Ints
from planner.analysis.sonority import Sonority
from planner.core.profile import Cadence


def find_cadences(columns: Columns, sonority: Sonority, key: Ints, chord: Ints) -> tuple[Cadence, ...]:
    """Cadences where at least half of the parts stop together: on a long note, a fermata or before a rest."""
    rests = _rest_ticks(columns)
    found: list[Cadence] = []
    for tick in rests:
        at = int(np.searchsorted(sonority.start, tick, side="right")) - 1
        before = at - 1
        while before >= 0 and chord[before] == chord[at] and key[before] == key[at]:
            before -= 1
        mode = KEYS[key[at]].is_minor
        last = CHORDS[mode][chord[at]]
        prior = CHORDS[mode][chord[before]] if before >= 0 and key[before] == key[at] else None
        kind = cadence_kind(prior, last)
        if kind:
            measure = int(sonority.measure[at])
            offset = float((tick - columns.measure_start[measure]) / TICKS_PER_QUARTER)
            found.append(Cadence(measure, offset, kind, KEYS[key[at]].name))
    return tuple(found)


def cadence_kind(prior: Chord | None, last: Chord) -> str:
    """The kind of cadence two chords make, or empty."""
    if last.root == 0 and last.function == "tonic" and prior is not None:
        if prior.function == "dominant" and "/" not in prior.figure:
            return "authentic"
        return "plagal" if prior.root == -1 else ""
    if last.figure in ("V", "V7"):
        return "half"
    if last.figure in ("vi", "VI") and prior is not None and prior.figure in ("V", "V7"):
        return "deceptive"
    return ""


def _rest_ticks(columns: Columns) -> list[int]:
    """Onsets at which at least half of the sounding parts begin a note that ends a phrase."""
    votes: dict[int, int] = {}
    sounding = 0
    for part in columns.pitched():
        line = part.line
        if not len(line):
            continue
        sounding += 1
        notes = part.part.notes
        fermata = np.array([notes[at].has_fermata for at in line.note])
        gap = np.append(line.onset[1:] - line.end[:-1], TICKS_PER_QUARTER)
        closes = fermata | (gap >= TICKS_PER_QUARTER // 2)
        for tick in line.onset[closes].tolist():
            votes[tick] = votes.get(tick, 0) + 1
    return sorted(tick for tick, count in votes.items() if 2 * count >= max(sounding, 1))
