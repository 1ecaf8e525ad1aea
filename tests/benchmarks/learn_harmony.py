"""Learn the weights of key and chord from human analyses, and measure them on composers left out.

``python -m tests.benchmarks.learn_harmony`` writes the table kept in
``planner/study/tonal/learned_weights.py``, learned from every analysis. What the figures say comes from other
weights: ``fold_tables()`` learns them anew for each group of composers, from the music of the others alone.

The weights are those that make the analysts' keys and chords likeliest (a conditional random field:
Lafferty, McCallum and Pereira 2001; Sutton and McCallum 2012), drawn back towards plain sense
(``starting_weights``), by L-BFGS.
"""

import sys
import textwrap
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from pathlib import Path as File
from unittest.mock import patch

import numpy as np
from music21 import key as m21key
from music21 import roman
from scipy.optimize import minimize

from planner.core.score import Score
from planner.study.notes.columns import TICKS_PER_QUARTER, columns_of
from planner.study.notes.sonority import Sonority, sonority_of
from planner.study.tonal.chords import CHORDS, N_CHORDS, N_KEYS, key_index
from planner.study.tonal.decode import Chain, Path, Sums, signatures_of, sums_of
from planner.study.tonal.heard import CHORD_VIEWS, KEY_VIEWS, Heard, heard_of, starts_of
from planner.study.tonal.likelihood import (
    CHORD_USES,
    KEY_USES,
    MINOR,
    WEIGHT_SHAPES,
    Tables,
    Weights,
    evidence,
    likely_keys,
    places,
    signature_places,
    tables_of,
)
from tests.benchmarks.analysed import Analysed, analysed
from tests.benchmarks.human import HumanSpan

ROUNDS = 16
"""Steps of the search. More of them fit the learning pieces better and others no better (0.82 of
function by time on composers left out after 10, 0.81 after 40)."""
SHARES = {"chorales": 1.0, "songs": 1.0, "madrigals": 0.1}
"""How much a piece of each set teaches: the many madrigals are far from tonal music.

Function by time, each piece left out of learning (songs, chorales, madrigals): 0.81, 0.82, 0.71 with 0.4;
0.82, 0.85, 0.69 with 0.1; 0.82, 0.84, 0.63 without them. Chosen by looking at those figures.
"""
HOLD = 12.0
"""How strongly all weights are held to where they start. From 1 to 12 songs left out gain 0.1 of a point."""
LOOSE = {"change": 0.3, "new_key": 0.3}
"""Weights held less: they start from a guess."""
TIGHT = {
    "kind": 3.0, "degree": 2.0, "bass_degree": 2.0, "ahead": 4.0, "behind": 4.0, "around": 4.0,
    "bass_around": 4.0, "signature": 2.0, "stay": 2.0,
}  # fmt: skip
"""Weights held more: there are many of them, or they count in every slice."""


@dataclass
class Example:
    """A piece to learn from: what is heard, and the keys and chords of its analyst."""

    sonority: Sonority
    signatures: np.ndarray
    heard: Heard
    keys: np.ndarray
    truth: Path
    share: float = 1.0

    @property
    def at(self) -> np.ndarray:
        """Place among ``keys`` of the key of each slice."""
        found = np.zeros(N_KEYS, dtype=np.int64)
        found[self.keys.reshape(-1)] = np.arange(self.keys.size)
        return found[self.truth.key]


def chord_place(figure: str, key: str, function: str) -> int:
    """The chord of our vocabulary nearest to an analyst's numeral."""
    tonic, mode = key.split()
    numeral = roman.RomanNumeral(figure, m21key.Key(tonic.replace("b", "-"), mode))
    classes = {(pc - numeral.key.tonic.pitchClass) % 12 for pc in numeral.pitchClasses}
    root = (numeral.root().pitchClass - numeral.key.tonic.pitchClass) % 12
    costs = []
    for chord in CHORDS[mode == "minor"]:
        own = {(7 * (chord.root + tone)) % 12 for tone in chord.tones}
        cost = len(own ^ classes) + 1.5 * (chord.function != function) + (7 * chord.root % 12 != root)
        costs.append(cost)
    return int(np.argmin(costs))


_place_of = cache(chord_place)


def example(score: Score, spans: list[HumanSpan]) -> Example:
    """A piece with the analyst's key and chord of each slice; where he says nothing, what he said last."""
    columns = columns_of(score)
    sonority, signatures, heard = sonority_of(columns), signatures_of(columns), heard_of(columns)
    known = [span for span in spans if key_index(span.key) is not None]
    starts = np.array([span.start for span in known])
    middle = (sonority.start + sonority.end) / 2 / TICKS_PER_QUARTER
    at = np.maximum(np.searchsorted(starts, middle, side="right") - 1, 0)
    keys = np.array([key_index(span.key) for span in known])[at]
    chords = np.array([_place_of(span.figure, span.key, span.function) for span in known])[at]
    likely = likely_keys(heard, signatures[sonority.measure])
    asked = np.array([_with_the_true(row, keys[MINOR[keys] == mode]) for mode, row in enumerate(likely)])
    kept = np.flatnonzero(np.isin(keys, asked))
    nearest = kept[np.clip(np.searchsorted(kept, np.arange(len(keys))), 0, len(kept) - 1)]
    return Example(sonority, signatures, heard, asked, Path(keys[nearest], chords[nearest]))


def _with_the_true(likely: np.ndarray, true: np.ndarray) -> np.ndarray:
    """As many keys as are likely, those of the analyst first."""
    kept = [key for key, _ in Counter(true.tolist()).most_common(len(likely))]
    kept += [key for key in likely.tolist() if key not in kept]
    return np.array(sorted(kept[: len(likely)]))


def add(into: Weights, name: str, where: np.ndarray, amount: np.ndarray) -> None:
    """Add to the gradient of the weights at some places; -1 is no weight."""
    row, used = into[name].reshape(-1), where >= 0
    where, amount = np.broadcast_arrays(where, amount)
    row += np.bincount(where[used], weights=amount[used], minlength=len(row))


class Slope:
    """How the likelihood of the analyses changes with each weight: counted in them, less what is expected."""

    def __init__(self) -> None:
        self.of_chords = np.zeros((N_KEYS, N_CHORDS, sum(width for _, width in CHORD_VIEWS)))
        self.of_keys = np.zeros((N_KEYS, sum(width for _, width in KEY_VIEWS)))
        self.of_signatures = np.zeros(19)
        self.change = np.zeros((6, 2, N_CHORDS, N_CHORDS))
        self.modulation = np.zeros((6, N_KEYS, N_KEYS))
        self.entry, self.leave = np.zeros((2, N_CHORDS)), np.zeros((2, N_CHORDS))

    def add(self, one: Example, tables: Tables) -> float:
        """Add a piece; the logarithm of the likelihood of its analysis."""
        keys = one.keys.reshape(-1)
        score = evidence(one.sonority, one.heard, one.signatures, keys, tables)
        sums = sums_of(Chain(one.sonority.weight, one.keys, score), tables)
        apart = -sums.share
        rows = np.arange(len(score))
        apart[rows, one.at, one.truth.chord] += 1.0
        self._heard(one, keys, apart * one.share)
        self._true_steps(one)
        self._expected_steps(one, sums, tables)
        return one.share * (self._value(one, score, tables) - sums.total)

    def _heard(self, one: Example, keys: np.ndarray, apart: np.ndarray) -> None:
        by_chord = apart.reshape(len(apart), -1).T.astype(np.float32) @ one.heard.chord.astype(np.float32)
        self.of_chords[keys] += by_chord.reshape(len(keys), N_CHORDS, -1)
        of_key = apart.sum(axis=2)
        self.of_keys[keys] += of_key.T @ one.heard.key
        signs = signature_places(one.signatures[one.sonority.measure])[:, keys]
        np.add.at(self.of_signatures, signs, of_key * one.heard.quarters[:, None])

    def _true_steps(self, one: Example) -> None:
        key, chord, weight = one.truth.key, one.truth.chord, one.sonority.weight[1:]
        mode, moved = MINOR[key], key[1:] != key[:-1]
        stays = ~moved
        np.add.at(
            self.change, (weight[stays], mode[1:][stays], chord[:-1][stays], chord[1:][stays]), one.share
        )
        np.add.at(self.modulation, (weight[moved], key[:-1][moved], key[1:][moved]), one.share)
        np.add.at(self.entry, (mode[1:][moved], chord[1:][moved]), one.share)
        np.add.at(self.leave, (mode[:-1][moved], chord[:-1][moved]), one.share)
        self.entry[mode[0], chord[0]] += one.share

    def _expected_steps(self, one: Example, sums: Sums, tables: Tables) -> None:
        keys = one.keys.reshape(-1)
        half = len(keys) // 2
        each = (len(sums.before), 2, half, N_CHORDS)
        before, own = sums.before.reshape(each), sums.own.reshape(each)
        left = (before * tables.leave[:, None]).sum(axis=3).reshape(len(before), -1)
        reached = (own * tables.entry[:, None]).sum(axis=3).reshape(len(before), -1)
        self.entry -= one.share * sums.share[0].reshape(2, -1, N_CHORDS).sum(axis=1)
        for weight in range(6):
            to = np.flatnonzero(one.sonority.weight[1:] == weight) + 1
            for mode in (0, 1):
                pairs = before[to - 1, mode].reshape(-1, N_CHORDS).T @ own[to, mode].reshape(-1, N_CHORDS)
                self.change[weight, mode] -= one.share * pairs * tables.change[weight, mode]
            step = sums.step[weight]
            self.modulation[weight][np.ix_(keys, keys)] -= one.share * (left[to - 1].T @ reached[to]) * step
            arriving = (left[to - 1] @ step).reshape(len(to), 2, half, 1) * own[to]
            leaving = (reached[to] @ step.T).reshape(len(to), 2, half, 1) * before[to - 1]
            self.entry -= one.share * arriving.sum(axis=(0, 2)) * tables.entry
            self.leave -= one.share * leaving.sum(axis=(0, 2)) * tables.leave

    def _value(self, one: Example, score: np.ndarray, tables: Tables) -> float:
        key, chord, weight = one.truth.key, one.truth.chord, one.sonority.weight[1:]
        mode, moved = MINOR[key], key[1:] != key[:-1]
        stays = ~moved
        value = score[np.arange(len(score)), one.at, chord].sum() + np.log(tables.entry[mode[0], chord[0]])
        value += np.log(
            tables.change[weight[stays], mode[1:][stays], chord[:-1][stays], chord[1:][stays]]
        ).sum()
        value += np.log(tables.modulation[weight[moved], key[:-1][moved], key[1:][moved]]).sum()
        value += np.log(tables.entry[mode[1:][moved], chord[1:][moved]]).sum()
        return float(value + np.log(tables.leave[mode[:-1][moved], chord[:-1][moved]]).sum())

    def by_weight(self) -> Weights:
        """The slope by weight."""
        found = {name: np.zeros(shape) for name, shape in WEIGHT_SHAPES.items()}
        at, start = places(), starts_of(CHORD_VIEWS)
        for name, view, by in CHORD_USES:
            where = getattr(at, by)
            of_view = self.of_chords[:, :, start[view] : start[view] + where.shape[-1]]
            if by == "absent":
                of_view = self.of_chords[:, :, [start["sounds"]]] - of_view
            add(found, name, where, of_view if where.ndim == 3 else of_view.sum(axis=1))
        start = starts_of(KEY_VIEWS)
        for name, view, by in KEY_USES:
            where = getattr(at, by)
            add(found, name, where, self.of_keys[:, start[view] : start[view] + where.shape[-1]])
        found["signature"] += self.of_signatures[:-1].reshape(2, 9)
        self._steps_by_weight(found)
        return found

    def _steps_by_weight(self, found: Weights) -> None:
        at, same = places(), np.arange(N_CHORDS)
        new = self.change.copy()
        new[:, :, same, same] = 0.0
        found["stay"] += self.change[:, :, same, same].sum(axis=0)
        by_place = new.sum(axis=(1, 2, 3))
        found["change"] += by_place[:5]
        found["change"][4] += by_place[5]  # what sets in anew changes chords as after a pause
        pairs = new.sum(axis=0)
        found["habit"] += pairs.sum(axis=1)
        for name in ("functions", "roots", "special"):
            add(found, name, getattr(at, name), pairs)
        found["new_key"] += self.modulation.sum(axis=(1, 2))[:5]
        add(found, "modulation", at.modulation, self.modulation[:5].sum(axis=0))
        found["entry"] += self.entry
        found["exit"] += self.leave


def learn(examples: list[Example], *, say: Callable[[str], None] = lambda text: None) -> Weights:
    """The weights that make the analyses of some pieces likeliest, held to plain sense."""
    start = _row(starting_weights())
    firmness = {**dict.fromkeys(WEIGHT_SHAPES, 1.0), **LOOSE, **TIGHT}
    hold = _row({name: np.full(shape, HOLD * firmness[name]) for name, shape in WEIGHT_SHAPES.items()})

    def unlikely(row: np.ndarray) -> tuple[float, np.ndarray]:
        tables, slope = tables_of(_weights(row)), Slope()
        value = sum(slope.add(one, tables) for one in examples)
        away = row - start
        say(f"{value:.1f}")
        return 0.5 * float((hold * away * away).sum()) - value, hold * away - _row(slope.by_weight())

    found = minimize(unlikely, start, jac=True, method="L-BFGS-B", options={"maxiter": ROUNDS, "maxcor": 15})
    return _weights(found.x)


def _row(weights: Weights) -> np.ndarray:
    return np.concatenate([weights[name].reshape(-1) for name in WEIGHT_SHAPES])


def _weights(row: np.ndarray) -> Weights:
    found, at = {}, 0
    for name, shape in WEIGHT_SHAPES.items():
        size = int(np.prod(shape))
        found[name] = row[at : at + size].reshape(shape)
        at += size
    return found


def starting_weights() -> Weights:
    """Plain musical sense to start from."""
    weights = {name: np.zeros(shape) for name, shape in WEIGHT_SHAPES.items()}
    weights["role"][:] = (1.6, 1.6, 1.4, 1.2, 1.0, -1.2)
    scale = ({-1, 0, 1, 2, 3, 4, 5}, {-4, -3, -2, -1, 0, 1, 2, 3, 5})
    for mode in (0, 1):
        for away in range(-9, 10):
            weights["degree"][mode, away + 9] = 0.0 if away in scale[mode] else -1.2
    weights["bass"][:] = (1.2, 0.6, -0.1, 0.1, -0.8, -2.0, -2.0, 1.0, -2.0)
    weights["absent"][:] = (-0.8, -0.8, -0.3, -1.5)
    for away in range(-4, 5):
        weights["signature"][:, away + 4] = -0.1 * abs(away)
    weights["habit"][:], weights["entry"][:] = -2.5, -2.5
    for mode in (0, 1):
        for at, chord in enumerate(CHORDS[mode]):
            if chord.figure in ("I", "i", "V", "V7", "IV", "iv", "ii", "viio"):
                weights["habit"][mode, at] = weights["entry"][mode, at] = -0.8
        weights["functions"][mode, 2, 0] = 0.8
        weights["functions"][mode, 1, 2] = 0.6
        weights["functions"][mode, 2, 1] = -0.6
    weights["special"][:] = (1.0, -1.0, 1.5, -2.0)
    weights["change"][:] = (-2.2, -1.4, -1.0, -0.8, -0.4)
    weights["new_key"][:] = (-3.4, -2.8, -2.6, -2.4, -1.6)
    for old in (0, 1):
        for new in (0, 1):
            for away in range(-6, 7):
                signs = away - 3 * (new - old)
                weights["modulation"][old * 2 + new, away + 6] = -0.5 * abs(signs)
    return weights


@cache
def fold_tables(fold: int) -> Tables:
    """The weights with which a fold of ``analysed()`` is read, learned from the other folds."""
    pieces = zip(_lessons(), analysed(), strict=True)
    return tables_of(learn([lesson for lesson, piece in pieces if piece.fold != fold]))


@cache
def _lessons() -> tuple[Example, ...]:
    """What each of ``analysed()`` teaches, in its order."""
    return tuple(_lesson(piece) for piece in analysed())


def _lesson(piece: Analysed) -> Example:
    one = example(piece.score, piece.spans)
    one.share = SHARES[piece.set]
    return one


@contextmanager
def reading_with(tables: Tables) -> Iterator[None]:
    """The study reads with other weights than it ships with."""
    with patch("planner.study.tonal.keys.learned_tables", lambda: tables):
        yield


TABLE = File(__file__).parents[2] / "planner" / "study" / "tonal" / "learned_weights.py"


def main() -> None:
    """Learn from every analysis and write the table."""
    examples = list(_lessons())
    learned = learn(examples, say=lambda text: print(text, file=sys.stderr))
    opens, closes = "_WEIGHTS: dict[str, tuple[float, ...]] = {\n", "}  # fmt: skip"
    head, _, tail = TABLE.read_text(encoding="utf-8").partition(opens)
    rows = "".join(f'    "{name}": (\n{_lines(table)}    ),\n' for name, table in learned.items())
    TABLE.write_text(head + opens + rows + tail[tail.index(closes) :], encoding="utf-8")


def _lines(table: np.ndarray) -> str:
    numbers = ", ".join(f"{round(float(value), 2) + 0.0:g}" for value in table.reshape(-1)) + ","
    return "\n".join(textwrap.wrap(numbers, 105, initial_indent=" " * 8, subsequent_indent=" " * 8)) + "\n"


if __name__ == "__main__":
    main()
