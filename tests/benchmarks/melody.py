"""How well the study finds who has the tune, against analysts' marks and against what nobody doubts.

The claim of a movement is made with weights learned from the other ones. Always naming the first violins,
or the highest part, shows what the figure is worth.
"""

from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path

import numpy as np

from planner.adapters.scores.reader import read_score
from planner.core.instruments import get_instrument
from planner.study.melody.certain import beyond_doubt
from planner.study.melody.claims import claim_tune
from planner.study.melody.melody import LEAST_ACCOMPANIED, sure_passages
from planner.study.notes.columns import Floats, columns_of
from tests.benchmarks.analysts_tunes import Movement, movements
from tests.benchmarks.learn_melody import band_lessons, learn, lesson_of
from tests.benchmarks.rows import Row
from tests.benchmarks.sample_tunes import sample_tunes
from tests.reference import reference_folder

Claims = Callable[[Movement], Sequence[int]]
"""The part claimed in each bar of a movement, -1 for none."""


def shares(claims: Claims) -> list[tuple[Movement, int]]:
    """Each movement with the number of its bars in which the claim is right."""
    found = []
    for movement in movements():
        claimed = claims(movement)
        found.append((movement, sum(movement.is_right(claimed[bar], bar) for bar in movement.bars)))
    return found


def share(found: list[tuple[Movement, int]]) -> float:
    """Share of all bars of all movements."""
    return sum(right for _, right in found) / max(sum(len(movement.bars) for movement, _ in found), 1)


def always_first_violin(movement: Movement) -> list[int]:
    """The first violins, of two the later (behind a solo), in every bar."""
    names = [part.part.name for part in movement.columns.parts]
    [*_, violin] = [index for index, name in enumerate(names) if name.startswith("Violin 1")]
    return [violin] * len(movement.analysts)


def always_highest(movement: Movement) -> list[int]:
    """The part with the highest mean sounding pitch in each bar; -1 where nobody strikes a note."""
    table = np.full((len(movement.analysts), len(movement.columns.parts)), -np.inf)
    for index, part in enumerate(movement.columns.parts):
        bars, first = np.unique(part.line.measure, return_index=True)
        if len(bars):
            count = np.diff(np.append(first, len(part.line)))
            table[bars, index] = np.add.reduceat(part.line.sounding, first) / count
    best = table.argmax(axis=1)
    return [int(part) if np.isfinite(row[part]) else -1 for row, part in zip(table, best, strict=True)]


@cache
def weights_without(name: str) -> tuple[Floats, Floats]:
    """Weights learned from the other movements and from the band pieces that are not kept back."""
    return learn([*(lesson_of(each) for each in movements() if each.name != name), *band_lessons()])


def learned_elsewhere(movement: Movement) -> list[int]:
    """The study's claim, with weights learned from the other movements."""
    return claim_tune(movement.columns, *weights_without(movement.name)).part.tolist()


def stated() -> tuple[float, float]:
    """Of the bars for which a sheet may say who has the tune, the share that is right; and how many they are.

    The claims are those of weights learned from the other movements; the second is a share of all bars.
    """
    right = told = bars = 0
    for movement in movements():
        claims = claim_tune(movement.columns, *weights_without(movement.name))
        for each in sure_passages(claims):
            inside = [bar for bar in movement.bars if each.first <= bar <= each.last]
            right += sum(movement.is_right(each.part, bar) for bar in inside)
            told += len(inside)
        bars += len(movement.bars)
    return right / max(told, 1), told / max(bars, 1)


def beyond_doubt_share() -> tuple[float, float]:
    """The same for the bars of which a sheet says that one part has the tune, the others left out."""
    right = told = bars = 0
    for movement in movements():
        claims = claim_tune(movement.columns, *weights_without(movement.name))
        for each in beyond_doubt(movement.columns, claims, sure_passages(claims), LEAST_ACCOMPANIED):
            inside = [bar for bar in movement.bars if each.first <= bar <= each.last]
            right += sum(movement.is_right(each.part, bar) for bar in inside)
            told += len(inside)
        bars += len(movement.bars)
    return right / max(told, 1), told / max(bars, 1)


def as_shipped(movement: Movement) -> list[int]:
    """The study's claim, with weights learned from this movement too."""
    return claim_tune(movement.columns).part.tolist()


def band_share() -> float:
    """Share of bars of the band pieces kept back in which the claim is a part that is handed the tune."""
    right = bars = 0
    for sample in sample_tunes():
        if sample.held:
            told = np.flatnonzero(sample.right.any(axis=1))
            right += int(sample.right[told, claim_tune(sample.columns).part[told]].sum())
            bars += len(told)
    return right / max(bars, 1)


def song_share() -> float:
    """Share of the bars in which the only singer of a song strikes a note that are claimed for the singer."""
    right = bars = 0
    for path in _reference("songs", "*.mxl"):
        columns = columns_of(read_score(path))
        families = [_family(part.part.instrument) for part in columns.parts]
        if families.count("voice") == 1 and len(families) > 1:
            voice = families.index("voice")
            sung = np.unique(columns.parts[voice].line.measure)
            right += int((claim_tune(columns).part[sung] == voice).sum())
            bars += len(sung)
    return right / max(bars, 1)


def hymn_share() -> float:
    """Share of the bars of four-part hymns that are claimed for the top voice."""
    right = bars = 0
    for path in _reference("difficulty/hymns", "*.mxl"):
        claimed = claim_tune(columns_of(read_score(path))).part
        right += int((claimed == 0).sum())
        bars += int((claimed >= 0).sum())
    return right / max(bars, 1)


def _family(instrument: str) -> str:
    return get_instrument(instrument).family if instrument else ""


def _reference(folder: str, pattern: str) -> list[Path]:
    root = reference_folder()
    return [] if root is None else sorted((root / folder).glob(pattern))


def rows() -> list[Row]:
    """The figures, on all movements together, and on music that nobody marked."""
    held = Row("tune, band pieces kept back, as their sources hand it out", band_share(), 0.88)
    if not movements():
        return [held]
    bars = sum(len(movement.bars) for movement in movements())
    found = shares(learned_elsewhere)
    each = ", ".join(f"{movement.name} {right / len(movement.bars):.2f}" for movement, right in found)
    return [
        Row(f"tune, {bars} bars, weights learned from the other movements", share(found), 0.72, note=each),
        Row("  the same on what they were learned from", share(shares(as_shipped))),
        Row("  always the first violins", share(shares(always_first_violin))),
        Row("  always the highest part", share(shares(always_highest))),
        Row("  of the bars that a sheet may speak of, those that are right", stated()[0], 0.80),
        Row("  bars that a sheet may speak of", stated()[1], 0.60),
        Row("  of the bars that it calls one part's, those that are right", beyond_doubt_share()[0], 0.90),
        Row("  bars that it calls one part's", beyond_doubt_share()[1], 0.40),
        held,
        Row("tune, songs, the singer while singing", song_share(), 0.95),
        Row("tune, hymns, the top voice", hymn_share(), 0.95),
    ]
