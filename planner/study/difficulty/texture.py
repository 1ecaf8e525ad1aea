"""How independently the parts move: who attacks with whom, and which rhythms go beside the tune."""

from dataclasses import dataclass

import numpy as np

from planner.study.notes.arrays import distinct, within
from planner.study.notes.attack_lines import AttackLine, most_in_window
from planner.study.notes.columns import Bools, Columns, Floats, Ints

WINDOW = 16
"""Measures in which partings are counted, so that a long piece is not harder for being long.

Source: house choice: two eight-bar phrases.
"""


SUPPORT = 3
"""Other lines that must attack with a player for the attack to be no lonelier than in a hymn sung by four.

Source: house choice.
"""


@dataclass(frozen=True, eq=False)
class Texture:
    """Independence of the parts and of the whole.

    Attributes:
        alone: For each part, attacks in its loneliest ``WINDOW`` measures, each counted by the share of
            ``SUPPORT`` other sounding lines that do not attack with it. 0 for a solo.
        unshared: For each part, the mean of that share over all its attacks, 0 to 1.
        beside: Different bar rhythms in the richest ``WINDOW`` measures that the top line never has there.
    """

    alone: tuple[float, ...]
    unshared: tuple[float, ...]
    beside: int


def measure_texture(columns: Columns, lines_of_parts: tuple[tuple[AttackLine, ...], ...]) -> Texture:
    """Compare every line of the score with the others."""
    lines = [line for group in lines_of_parts for line in group]
    silent = tuple(0.0 for _ in columns.parts)
    if len(lines) < 2:
        return Texture(silent, silent, 0)
    moments = distinct(np.concatenate([line.onset for line in lines]))
    attacks, sounding = _grid(lines, moments)
    together, present = attacks.sum(axis=0), sounding.sum(axis=0)
    need = within(present - 1, 1, SUPPORT)
    lonely = np.where(present > 1, np.maximum(0.0, need - (together - 1)) / need, 0.0)
    measure = np.searchsorted(columns.measure_start, moments, side="right") - 1
    alone, unshared = [0.0] * len(columns.parts), [0.0] * len(columns.parts)
    for line, row in zip(lines, attacks, strict=True):
        weights = np.where(row, lonely, 0.0)
        by_measure = np.bincount(measure, weights, len(columns.measure_start)).astype(np.float64)
        alone[line.part] = max(alone[line.part], most_in_window(by_measure, WINDOW))
        unshared[line.part] = max(unshared[line.part], float(weights.sum() / max(1, row.sum())))
    return Texture(tuple(alone), tuple(unshared), _beside(columns, lines))


def _grid(lines: list[AttackLine], moments: Ints) -> tuple[Bools, Bools]:
    """Which line attacks, and which sounds, at each moment; both of shape ``(n_lines, n_moments)``."""
    attacks = np.zeros((len(lines), len(moments)), dtype=np.bool_)
    sounding = np.zeros_like(attacks)
    for row, line in enumerate(lines):
        attacks[row, np.searchsorted(moments, line.onset)] = True
        last = np.searchsorted(line.onset, moments, side="right") - 1
        sounding[row] = (last >= 0) & (line.end[np.maximum(last, 0)] > moments)
    return attacks, sounding


def bar_rhythms(columns: Columns, line: AttackLine) -> Ints:
    """A number for the rhythm of each measure, equal for equal attack places; 0 where nothing is struck."""
    offset = (line.onset - columns.measure_start[line.measure]).astype(np.uint64)
    mixed = (offset + np.uint64(0x9E3779B97F4A7C15)) * np.uint64(0xBF58476D1CE4E5B9)
    mixed = (mixed ^ (mixed >> np.uint64(29))) * np.uint64(0x94D049BB133111EB)
    codes = np.zeros(len(columns.measure_start), dtype=np.uint64)
    starts = np.flatnonzero(np.append(True, line.measure[1:] != line.measure[:-1]))
    codes[line.measure[starts]] = np.add.reduceat(mixed ^ (mixed >> np.uint64(32)), starts)
    return codes.view(np.int64)


def _beside(columns: Columns, lines: list[AttackLine]) -> int:
    """Different bar rhythms beside those of the top line, in the richest window."""
    count = len(columns.measure_start)
    codes = np.array([bar_rhythms(columns, line) for line in lines])
    heights = np.array([_heights(line, count) for line in lines])
    top = codes[np.argmax(heights, axis=0), np.arange(count)]
    best = 0
    for start in range(0, max(1, count - WINDOW + 1), WINDOW // 4):
        span = slice(start, start + WINDOW)
        best = max(best, len(np.setdiff1d(codes[:, span], np.append(top[span], 0))))
    return best


def _heights(line: AttackLine, count: int) -> Floats:
    """Mean highest sounding pitch by measure; below everything where the line is silent or unpitched."""
    pitched = ~np.isnan(line.top)
    measure, top = line.measure[pitched], line.top[pitched]
    heads = np.bincount(measure, minlength=count)
    sums = np.bincount(measure, weights=top, minlength=count)
    means: Floats = np.divide(sums, heads, out=np.full(count, -1.0), where=heads > 0)
    return means
