"""Which part has the tune in each bar, and how sure that is."""

from dataclasses import dataclass

import numpy as np

from planner.study.form.doublings import bar_contents
from planner.study.melody import bars, figures
from planner.study.melody.bars import bar_features
from planner.study.melody.figures import SIZES, Figures, figure_features, figures_of
from planner.study.melody.learned_weights import ALONE, WITH_FIGURES
from planner.study.notes.columns import Bools, Columns, Floats, Ints, PartColumns
from planner.study.notes.ranges import family_of

AROUND = 2
"""Bars before and after a bar that are looked at with it (house choice: a phrase of four or five bars)."""
SWITCH, AFTER_END = 1.5, 0.6
"""What it costs to pass the tune on, and how much less where the part that had it rests at the bar line.

In natural logarithms of a chance: a tune that passes on must be four and a half times as likely elsewhere.
House choice; the figures hardly change between 0 and 2.
"""
SINGERS, ONE_SINGER = 1.0, 4.0
"""What is added for singers among instruments, and for the only one, in logarithms (house choice).

Source: who sings words to an accompaniment has the tune while singing (common practice), and files name
singers by the sound that plays them, "Oboe" or "Clarinet". The analysts' movements cannot teach it: one of
them has voices, a chorus in imitation with trumpets above.
"""
LEAST_SUNG = 0.25
"""Share of its notes with a syllable from which a part sings words: a mean of four notes to a syllable, more
than songs and choruses have (house choice)."""
LEAST_SYLLABLES = 4
"""Fewest syllables of a part that sings: fewer are a cue or a remark set as a lyric (house choice)."""
_LEAST_CHANCE = 1e-3


@dataclass(frozen=True, eq=False)
class Evidence:
    """What is known of each bar of each part before anything is the tune.

    Attributes:
        values: The features of the bar and their means around it; shape ``(n_measures, n_parts, n)``.
        plays: Where a part sounds at all; shape ``(n_measures, n_parts)``.
        favor: What is added for each part, whatever it plays; shape ``(n_parts,)``.
        figures: The figures of each of ``SIZES``.
    """

    values: Floats
    plays: Bools
    favor: Floats
    figures: tuple[Figures, ...]


NAMES_ALONE = (*bars.FEATURES, *(f"{name} around" for name in bars.FEATURES))
"""What each number of ``ALONE`` weighs."""
NAMES_WITH_FIGURES = (
    *NAMES_ALONE,
    *(f"{name} of {size}" for size in SIZES for name in figures.FEATURES),
    "chance alone",
)
"""What each number of ``WITH_FIGURES`` weighs."""


def evidence_of(columns: Columns) -> Evidence:
    """What is known of each bar of each part."""
    found = bar_features(columns)
    values = np.concatenate([found.values, _around(found.values, found.plays)], axis=-1)
    return Evidence(values, found.plays, _favor(columns), tuple(figures_of(columns, size) for size in SIZES))


def _around(values: Floats, plays: Bools) -> Floats:
    """Means over the bars around each, of those in which the part plays."""
    count = len(values)
    padded = np.zeros((count + 2 * AROUND, *values.shape[1:]))
    played = np.zeros((count + 2 * AROUND, *plays.shape[1:]))
    padded[AROUND : AROUND + count], played[AROUND : AROUND + count] = values, plays
    window = range(2 * AROUND + 1)
    total = sum((padded[at : at + count] for at in window), np.zeros_like(values))
    times = sum((played[at : at + count] for at in window), np.zeros(plays.shape))
    return np.where(plays[..., None], total / np.maximum(times, 1.0)[..., None], 0.0)


def _favor(columns: Columns) -> Floats:
    singing = np.array([sings(part) for part in columns.parts], dtype=bool)
    return np.where(singing & ~singing.all(), ONE_SINGER if singing.sum() == 1 else SINGERS, 0.0)


def sings(part: PartColumns) -> bool:
    """Whether a part is a voice: by its name, or by the words under its one staff, whatever its name."""
    if family_of(part) == "voice":
        return True
    struck = [note for note in part.part.notes if note.is_struck]
    sung = sum(1 for note in struck if note.lyric)
    return part.part.staves == 1 and sung >= max(LEAST_SYLLABLES, LEAST_SUNG * len(struck))


def chances(values: Floats, evidence: Evidence, weights: Floats) -> Floats:
    """With what chance each part has the tune in each bar; rows of 1, of 0 where nobody plays."""
    score = np.where(evidence.plays, values @ weights + evidence.favor, -np.inf)
    best = score.max(axis=1, keepdims=True, initial=-np.inf)
    raised = np.exp(score - np.where(np.isfinite(best), best, 0.0))
    return np.asarray(raised / np.maximum(raised.sum(axis=1, keepdims=True), 1e-300))


def with_figures(evidence: Evidence, alone: Floats) -> Floats:
    """The values of a bar, with what its figures are elsewhere, when each bar is the tune by a chance."""
    found = [figure_features(each, alone) for each in evidence.figures]
    own = np.log(alone + _LEAST_CHANCE)[..., None]
    values = np.concatenate([evidence.values, *found, own], axis=-1)
    return np.where(evidence.plays[..., None], values, 0.0)


@dataclass(frozen=True, eq=False)
class Claims:
    """Who has the tune.

    Attributes:
        part: Index of the part in each bar, -1 where nobody plays; shape ``(n_measures,)``.
        chance: How sure that is, 0 to 1: the chance of that part and of all who play the same bar.
        every: The same for every part; shape ``(n_measures, n_parts)``.
    """

    part: Ints
    chance: Floats
    every: Floats


def claim_tune(columns: Columns, alone: Floats = ALONE, with_them: Floats = WITH_FIGURES) -> Claims:
    """Who has the tune in each bar.

    First each bar is judged by itself and what is around it; then again, with what its figures were judged
    to be elsewhere: what was the tune once is the tune again, in any part. The best path through the parts
    is the claim: the tune stays where it is unless another part is clearly likelier to have it.

    Args:
        columns: The score.
        alone: Weights of ``NAMES_ALONE``.
        with_them: Weights of ``NAMES_WITH_FIGURES``.

    Example:
        >>> from planner.core.score import Score
        >>> from planner.study.notes.columns import columns_of
        >>> claim_tune(columns_of(Score("Empty", (), ()))).part.tolist()
        []
    """
    evidence = evidence_of(columns)
    if not evidence.plays.any():
        nothing = np.zeros(evidence.plays.shape)
        return Claims(np.full(len(nothing), -1), nothing.sum(axis=1), nothing)
    first = chances(evidence.values, evidence, alone)
    second = _together(columns, chances(with_figures(evidence, first), evidence, with_them))
    path = _best_path(columns, second, evidence.plays)
    sounds = evidence.plays.any(axis=1)
    sure = np.where(sounds, second[np.arange(len(path)), path], 0.0)
    return Claims(np.where(sounds, path, -1), sure, second)


def _together(columns: Columns, chance: Floats) -> Floats:
    """The chance of each part with that of all others that play the same bar, in any octave."""
    notes = bar_contents(columns).notes
    found = np.zeros_like(chance)
    for at in range(chance.shape[1]):
        same = (notes == notes[:, [at]]) & (notes[:, [at]] != 0)
        same[:, at] = True
        found[:, at] = np.where(same, chance, 0.0).sum(axis=1)
    return found


def _best_path(columns: Columns, chance: Floats, plays: Bools) -> Ints:
    """The most likely path through the parts; a bar in which nobody plays changes nothing."""
    measures, parts = chance.shape
    score = np.where(plays, np.log(chance + 1e-9), _RESTS)
    score[~plays.any(axis=1)] = 0.0
    leave = SWITCH - AFTER_END * _rests_at_bar_line(columns)
    came = np.zeros((measures, parts), dtype=np.int64)
    reached = score[0].copy()
    own = np.arange(parts)
    for bar in range(1, measures):
        left = reached - leave[bar]
        best = int(left.argmax())
        stays = reached >= left[best]
        came[bar] = np.where(stays, own, best)
        reached = np.where(stays, reached, left[best]) + score[bar]
    path = np.zeros(measures, dtype=np.int64)
    path[-1] = reached.argmax()
    for bar in range(measures - 1, 0, -1):
        path[bar - 1] = came[bar, path[bar]]
    return path


_RESTS = -30.0
"""Logarithm of the chance of a part that rests (house choice: never, where anybody plays)."""


def _rests_at_bar_line(columns: Columns) -> Floats:
    """1 where a part does not sound at the end of the bar before; shape ``(n_measures, n_parts)``."""
    found = np.ones((len(columns.measure_start), len(columns.parts)))
    for part in columns.parts:
        line = part.line
        if len(line):
            before = np.searchsorted(line.onset, columns.measure_start) - 1
            ended = np.maximum.accumulate(line.end)[np.maximum(before, 0)]
            found[:, part.index] = (before < 0) | (ended < columns.measure_start)
    return found
