"""Learn how much each sign speaks for a phrase end: ``python -m tests.benchmarks.learn_phrase_ends``.

It prints the table kept in ``planner/study/form/phrase_ends.py``. The ends are the fermatas of the chorales
in music21's corpus with odd catalogue numbers, taken out first, with their text and without; and in
every second song with piano of the reference data the syllables after which the text has a point and the
voice rests or a capital follows, with the text taken out. Logistic
regression with a ridge of 1, by Newton's method.
"""

from collections.abc import Iterator
from pathlib import Path

import numpy as np

from planner.adapters.scores.reader import read_score
from planner.study.form.leading_line import sung_part
from planner.study.form.phrase_ends import FEATURES, WEIGHTS, ends_of
from planner.study.notes.columns import TICKS_PER_QUARTER, Columns, Floats, Ints, columns_of
from planner.study.notes.sonority import sonority_of
from tests.benchmarks.closes import chorales, without_fermatas, without_text
from tests.reference import reference_folder

RIDGE, STEPS = 1.0, 40
TEXT = ("comma", "full_stop", "inside_word", "capital", "texted")
LEAST_ENDS = 3
"""Fewest ends in a song to learn from."""

Sample = tuple[Floats, Floats]
"""The features of each slice of a piece, and 1 where a phrase ends."""


def _sample(columns: Columns, ends: Ints) -> Sample:
    start = sonority_of(columns).start
    truth = np.zeros(len(start))
    truth[np.searchsorted(start, ends, side="right") - 1] = 1
    return ends_of(columns).features, truth


def chorale_samples() -> Iterator[Sample]:
    """The chorales that are learned from, each with its text and without."""
    for chorale in chorales():
        if not chorale.held:
            ends = np.array([round(begin * TICKS_PER_QUARTER) for begin, _ in chorale.fermatas])
            bare = without_fermatas(chorale.score)
            yield _sample(columns_of(bare), ends)
            yield _sample(columns_of(without_text(bare)), ends)


def song_samples() -> Iterator[Sample]:
    """Every second song, its text used for the ends and taken out of the features."""
    root = reference_folder()
    if root is None:
        return
    for folder in ("songs", "roman_numerals_ccbysa"):
        for path in sorted((root / folder).rglob("*.mxl"))[1::2]:
            found = song_sample(path)
            if found is not None:
                yield found


def song_sample(path: Path) -> Sample | None:
    """One song; None where nothing is sung or the text has too few points."""
    columns = columns_of(read_score(path))
    part = sung_part(columns)
    if part is None:
        return None
    line = part.line
    texts = [part.part.notes[at].lyric for at in line.note.tolist()]
    sung = [note for note, text in enumerate(texts) if text]
    ends = []
    for note, after in zip(sung, [*sung[1:], len(texts)], strict=True):
        point = texts[note].rstrip("\"'’”»)]")[-1:]
        rests = after == len(texts) or bool(line.onset[after] > line.end[after - 1])
        capital = after < len(texts) and texts[after].lstrip("\"'‘“«„([")[:1].isupper()
        if (point in ".;:!?" and point and (rests or capital)) or (point == "," and rests and capital):
            ends.append(int(line.onset[after - 1]))
    if len(ends) < LEAST_ENDS:
        return None
    features, truth = _sample(columns, np.array(ends, dtype=np.int64))
    features = features.copy()
    features[:, [FEATURES.index(name) for name in TEXT]] = 0
    return features, truth


def fitted(samples: list[Sample]) -> Floats:
    """The weights that make the ends most likely."""
    features = np.concatenate([sample[0] for sample in samples])
    truth = np.concatenate([sample[1] for sample in samples])
    weights = np.zeros(features.shape[1])
    for _ in range(STEPS):
        chance = 1 / (1 + np.exp(-features @ weights))
        slope = features.T @ (truth - chance) - RIDGE * weights
        bend = (features * (chance * (1 - chance))[:, None]).T @ features + RIDGE * np.eye(len(weights))
        weights += np.linalg.solve(bend, slope)
    return weights


def main() -> None:
    """Print the table beside the one that is kept."""
    for name, weight in zip(FEATURES, fitted([*chorale_samples(), *song_samples()]), strict=True):
        print(f'    "{name}": {weight:.2f},  # kept: {WEIGHTS[name]:.2f}')


if __name__ == "__main__":
    main()
