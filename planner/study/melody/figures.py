"""What a bar of a part has in common with bars that are the tune elsewhere: theme and repetition."""

from dataclasses import dataclass

import numpy as np

from planner.study.notes.arrays import numbered
from planner.study.notes.columns import TICKS_PER_QUARTER, Columns, Floats, Ints, Line

SIZES = (4, 6)
"""Notes of the figures compared (house choice: a motif and a short theme)."""
FEATURES = ("tune", "how often", "again")
"""What is measured of the figures of each size, in order; ``figure_features`` says how."""
LONGEST_GAP = 4 * TICKS_PER_QUARTER
"""Longest time from note to note that is told from a longer one (house choice: a bar)."""
LEAST_MOVES = 2
"""Fewest moves to another note in a figure that says something (house choice: not a repeated note)."""
USUAL = 0.15
"""Chance of being the tune with which a figure starts that is heard nowhere else (house choice)."""


@dataclass(frozen=True, eq=False)
class Figures:
    """Every figure of so many notes in every line, rows in order of part and time.

    Attributes:
        part: Index of the part; shape ``(n_figures,)``.
        measures: The measure of each of its notes; shape ``(n_figures, size)``.
        first: Where its first note stands in the line of the part; shape ``(n_figures,)``.
        name: A number, the same for figures with the same rhythm and the same steps of the staff.
        names: How many different ones there are.
    """

    part: Ints
    measures: Ints
    first: Ints
    name: Ints
    names: int


def figures_of(columns: Columns, size: int) -> Figures:
    """The figures of a size that move; higher or lower they have the same name."""
    tables = [_figures(part.line, size) for part in columns.parts]
    part = np.repeat(np.arange(len(tables)), [len(each) for each in tables])
    table = np.concatenate([*tables, np.zeros((0, 3 * size - 1), dtype=np.int64)])
    shape = table[:, size + 1 :]
    names, name = numbered(_coded(shape))
    return Figures(part, table[:, :size], table[:, size], name, len(names))


def _figures(line: Line, size: int) -> Ints:
    """Measures, first note, times and steps of each figure of a line; ``(n_figures, 3 * size - 1)``."""
    count = max(len(line) - size + 1, 0)
    gaps, steps = np.minimum(np.diff(line.onset), LONGEST_GAP), np.diff(line.diatonic)
    moved = np.append(0, (steps != 0).cumsum())
    first = np.flatnonzero(moved[size - 1 :][:count] - moved[:count] >= LEAST_MOVES)
    notes = first[:, None] + np.arange(size)
    to_next = notes[:, :-1]
    return np.concatenate([line.measure[notes], first[:, None], gaps[to_next], steps[to_next]], axis=1)


def _coded(shape: Ints) -> Ints:
    """One number for each row, by chance the same for different rows once in 2**63 pairs or so."""
    code = np.zeros(len(shape), dtype=np.uint64)
    for column in shape.T:
        code = (code ^ column.astype(np.uint64)) * np.uint64(0x9E3779B97F4A7C15)
        code ^= code >> np.uint64(29)
    return code.astype(np.int64)


def figure_features(figures: Figures, chance: Floats) -> Floats:
    """What the figures that touch each bar of each part are elsewhere; shape ``(n_measures, n_parts, 3)``.

    The mean of three values of a figure: with what chance it is the tune in other bars (``tune``), the
    logarithm of how often that is, and 1 (``how often``), and whether it is heard in other bars at all
    (``again``). Who plays together is heard once.

    Args:
        figures: The figures.
        chance: With what chance each bar of each part is the tune; shape ``(n_measures, n_parts)``.
    """
    measures, parts = chance.shape
    own = chance[figures.measures, figures.part[:, None]].mean(axis=1)
    heard, at = numbered(figures.name * measures + figures.measures[:, 0])
    there = np.minimum(np.bincount(at, own, minlength=len(heard)), 1.0)
    name = heard // max(measures, 1)
    tunes = np.bincount(name, there, minlength=figures.names)[figures.name] - there[at]
    times = np.bincount(name, minlength=figures.names)[figures.name] - 1
    values = ((tunes + USUAL) / (times + 1), np.log1p(np.maximum(tunes, 0.0)), times > 0)
    touched = (figures.measures * parts + figures.part[:, None]).T.reshape(-1)
    count = np.bincount(touched, minlength=measures * parts)
    sums = [
        np.bincount(touched, np.tile(value, figures.measures.shape[1]), minlength=len(count))
        for value in values
    ]
    found = np.stack(sums, axis=-1) / np.maximum(count, 1)[:, None]
    found[count == 0, 0] = USUAL
    return found.reshape(measures, parts, len(FEATURES))
