"""What a player must hold against the others: who attacks with whom."""

from dataclasses import dataclass

import numpy as np

from planner.study.notes.arrays import distinct, within
from planner.study.notes.attack_lines import AttackLine
from planner.study.notes.columns import Bools, Columns, Floats, Ints

SUPPORT = 3
"""Other lines that must attack with a player for the attack to be no lonelier than in a hymn sung by four.

Source: house choice.
"""


@dataclass(frozen=True, eq=False)
class Texture:
    """Independence of the parts.

    Attributes:
        unshared: For each part, the share of the beats it sounds in which others do not do what it does,
            strike or hold on; each counted by the square root of the share that is missing of ``SUPPORT``
            other lines (of those that sound, if they are fewer), so that the first that goes elsewhere
            counts most. None where no other part ever sounds with it.
        between_hands: For each part on several staves, the share of its attacks that one hand has alone; None
            for other parts.
    """

    unshared: tuple[float | None, ...]
    between_hands: tuple[float | None, ...]


def measure_texture(
    columns: Columns, lines_of_parts: tuple[tuple[AttackLine, ...], ...], beats: Ints, group: tuple[bool, ...]
) -> Texture:
    """Compare every part of the score with the others.

    In each measure parts that play the same rhythm on the same notes, octave aside, are one line, so that a
    doubling changes nothing for anybody. Whoever only accompanies the group is nobody to be held against.

    Args:
        columns: The score.
        lines_of_parts: For each part its lines, none for a silent one.
        beats: Ticks at which beats begin, ascending.
        group: For each part whether it is one of the group's own lines.
    """
    hands = tuple(_between_hands(lines) for lines in lines_of_parts)
    unshared: list[float | None] = [None] * len(columns.parts)
    playing = [(at, _merged(lines)) for at, lines in enumerate(lines_of_parts) if lines]
    if len(playing) < 2:
        return Texture(tuple(unshared), hands)
    moments = distinct(np.concatenate([onset for _, (onset, _, _) in playing]))
    attacks = np.zeros((len(playing), len(moments)), dtype=np.bool_)
    sounding = np.zeros_like(attacks)
    for row, (_, (onset, end, _)) in enumerate(playing):
        attacks[row, np.searchsorted(moments, onset)] = True
        last = np.searchsorted(onset, moments, side="right") - 1
        sounding[row] = (last >= 0) & (end[np.maximum(last, 0)] > moments)
    measure = np.searchsorted(columns.measure_start, moments, side="right") - 1
    codes = np.array([_codes(columns, onset, pitch) for _, (onset, _, pitch) in playing])
    own = np.array([group[at] for at, _ in playing])
    among = {
        True: _others(attacks[own], sounding[own], codes[own], measure),
        False: _others(attacks, sounding, codes, measure),
    }
    opens = np.flatnonzero(np.append(True, np.diff(np.searchsorted(beats, moments, side="right")) > 0))
    for row, (at, _) in enumerate(playing):
        others = among[bool(own[row])]
        plays = sounding[row] & others.accompanied
        if plays.any():
            parted = np.where(plays, np.where(attacks[row], others.moving, others.holding), 0.0)
            by_beat = np.maximum.reduceat(np.sqrt(parted), opens)
            unshared[at] = float(by_beat.sum() / np.maximum.reduceat(sounding[row], opens).sum())
    return Texture(tuple(unshared), hands)


@dataclass(frozen=True, eq=False)
class _Others:
    """What a line has of the others at each moment; arrays of shape ``(n_moments,)``.

    Attributes:
        moving: How far a line that attacks is left alone, 0 to 1: the share of the support missing.
        holding: The same for a line that holds on.
        accompanied: True where more than one line sounds.
    """

    moving: Floats
    holding: Floats
    accompanied: Bools


def _others(attacks: Bools, sounding: Bools, codes: Ints, measure: Ints) -> _Others:
    """How many lines attack and hold at each moment."""
    if not len(attacks):
        nobody = np.zeros(len(measure))
        return _Others(nobody, nobody, np.zeros(len(measure), dtype=np.bool_))
    line_of = _lines_of(codes)[:, measure]
    together, present = np.zeros_like(attacks), np.zeros_like(attacks)
    every = np.arange(len(measure))
    for row in range(len(attacks)):
        together[line_of[row], every] |= attacks[row]
        present[line_of[row], every] |= sounding[row]
    attacking, heard = together.sum(axis=0), present.sum(axis=0)
    need = within(heard - 1, 1, SUPPORT)
    moving, holding = (np.maximum(0.0, need - (alike - 1)) / need for alike in (attacking, heard - attacking))
    return _Others(np.minimum(moving, 1.0), np.minimum(holding, 1.0), heard > 1)


def _merged(lines: tuple[AttackLine, ...]) -> tuple[Ints, Ints, Ints]:
    """Attacks of all lines of one part: onsets, how far each reaches, and the pitch class on top."""
    if len(lines) == 1:
        line = lines[0]
        return line.onset, np.maximum.accumulate(line.end), _classes(line)
    onset = np.concatenate([line.onset for line in lines])
    order = np.argsort(onset, kind="stable")
    end = np.concatenate([line.end for line in lines])[order]
    pitch = np.concatenate([_classes(line) for line in lines])[order]
    onset = onset[order]
    opens = np.flatnonzero(np.append(True, onset[1:] != onset[:-1]))
    reach = np.maximum.accumulate(np.maximum.reduceat(end, opens))
    return onset[opens], reach, pitch[opens]


def _classes(line: AttackLine) -> Ints:
    classes: Ints = np.where(np.isnan(line.top), -1.0, line.top % 12).astype(np.int64)
    return classes


def _codes(columns: Columns, onset: Ints, pitch: Ints) -> Ints:
    """A number for each measure, equal for equal attacks on equal pitch classes; 0 where none is struck."""
    measure = np.searchsorted(columns.measure_start, onset, side="right") - 1
    offset = (onset - columns.measure_start[measure]).astype(np.uint64)
    mixed = (offset * np.uint64(16) + (pitch + 1).astype(np.uint64) + np.uint64(1)) * np.uint64(
        0xBF58476D1CE4E5B9
    )
    mixed = (mixed ^ (mixed >> np.uint64(29))) * np.uint64(0x94D049BB133111EB)
    codes = np.zeros(len(columns.measure_start), dtype=np.uint64)
    starts = np.flatnonzero(np.append(True, measure[1:] != measure[:-1]))
    codes[measure[starts]] = np.add.reduceat(mixed ^ (mixed >> np.uint64(32)), starts)
    return codes.view(np.int64)


def _lines_of(codes: Ints) -> Ints:
    """For each part and measure the first part that plays the same there; shape ``(n_parts, n_measures)``.

    Where a part strikes nothing it goes on with the line that it was.
    """
    struck = codes != 0
    last = np.maximum.accumulate(np.where(struck, np.arange(codes.shape[1]), 0), axis=1)
    carried = np.take_along_axis(codes, last, axis=1)
    found: Ints = np.array([(carried == row).argmax(axis=0) for row in carried], dtype=np.int64)
    return found


def _between_hands(lines: tuple[AttackLine, ...]) -> float | None:
    if len(lines) < 2:
        return None
    onset = np.sort(np.concatenate([line.onset for line in lines]))
    opens = np.flatnonzero(np.append(True, onset[1:] != onset[:-1]))
    counts = np.diff(np.append(opens, len(onset)))
    return float((counts == 1).mean())
