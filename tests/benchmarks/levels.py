"""How well levels follow graded music: ``python -m tests.benchmarks.levels [fit|pieces]``.

``fit`` prints the weights fitted anew to all graded pieces, as they stand in
``planner/analysis/level_weights.py``; ``pieces`` prints every graded piece with its level;
without a word it prints the figures. The hymns' mark of 1 to 5 and the piano pieces' grade
of 1 to 9 are put on the level scale by ``SLOPE`` levels a step; only differences within a
set count. Cross-validation: ten folds drawn at random from all pieces of a set, the seed
being the number of the draw; weights are fitted on nine folds of both sets, the tenth only
rated; scales and prior are the same in every fold.
"""

import csv
import sys
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.stats import spearmanr

from planner.adapters.scores.reader import read_score
from planner.analysis.columns import columns_of
from planner.analysis.difficulty import of_piece, rate
from planner.analysis.dimensions import measure_dimensions
from planner.analysis.evidence import gather
from planner.analysis.facts import StudyFacts
from planner.analysis.level_weights import PRIOR, SHRINKAGE, WEIGHTS, fit_weights
from planner.analysis.meter import find_meters
from planner.analysis.roadmap import find_play_order
from planner.analysis.tempo import find_tempo
from planner.analysis.tonality import find_keys
from planner.core.ensemble import LOWEST_LEVEL
from planner.core.profile import DIMENSIONS
from planner.core.score import Score
from planner.errors import PlannerError
from tests.benchmarks.rows import Row
from tests.reference import reference_folder

SLOPE = 0.7
SETS = (("hymns", "complexity_1_to_5"), ("chopin", "henle_grade_1_to_9"))
FOLDS, DRAWS = 10, 10


@dataclass(frozen=True)
class Graded:
    """One set of graded pieces: names, grades, levels by dimension and the level given."""

    names: tuple[str, ...]
    grades: np.ndarray
    levels: np.ndarray
    given: np.ndarray


def facts_of(score: Score) -> StudyFacts:
    """The facts that levels rest on, as the study settles them."""
    columns = columns_of(score)
    meters = find_meters(columns)
    tempo, keys = find_tempo(columns, meters.spans), find_keys(columns)
    return StudyFacts(
        meters.spans, meters.pulses, find_play_order(score).roadmap, keys.home_key, keys.spans,
        (), (), (), (), tempo.tempo, tempo.quarter_bpm,
    )  # fmt: skip


def graded_files(folder: Path, kind: str, column: str) -> Iterator[tuple[Path, float]]:
    """Each labelled file of a set with its grade."""
    with (folder / kind / "labels.csv").open(encoding="utf-8") as labels:
        for row in csv.DictReader(labels):
            yield folder / kind / row["file"], float(row[column])


def read_set(folder: Path, kind: str, column: str) -> Graded:
    """Read and rate one set."""
    names, grades, levels, given = [], [], [], []
    for path, grade in graded_files(folder, kind, column):
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            try:
                score = read_score(path)
            except PlannerError as error:
                print(f"not rated: {error}", file=sys.stderr)
                continue
        columns, facts = columns_of(score), facts_of(score)
        evidence = gather(columns, facts)
        dimensions = measure_dimensions(columns, facts, evidence)
        whole = {each.name: each.level for each in of_piece(dimensions)}
        names.append(path.name)
        grades.append(grade)
        levels.append([whole.get(name, LOWEST_LEVEL) - LOWEST_LEVEL for name in DIMENSIONS])
        given.append(rate(columns, facts, evidence).level)
    return Graded(tuple(names), np.array(grades), np.array(levels), np.array(given, dtype=float))


def agreement(levels: np.ndarray, grades: np.ndarray) -> float:
    """Spearman's rank correlation."""
    return float(spearmanr(levels, grades).statistic)


def cross_validated(sets: list[Graded], draw: int) -> list[float]:
    """Agreement on each set when every piece is rated by weights that never saw its fold."""
    random = np.random.default_rng(draw)
    orders = [random.permutation(len(each.grades)) for each in sets]
    held = [np.zeros(len(each.grades)) for each in sets]
    for fold in range(FOLDS):
        tests = [order[fold::FOLDS] for order in orders]
        groups = []
        for each, test in zip(sets, tests, strict=True):
            train = np.setdiff1d(np.arange(len(each.grades)), test)
            groups.append((each.levels[train], SLOPE * each.grades[train]))
        weights = fit_weights(groups, PRIOR, SHRINKAGE)
        vector = np.array([weights[name] for name in DIMENSIONS])
        for each, test, out in zip(sets, tests, held, strict=True):
            out[test] = each.levels[test] @ vector
    return [agreement(out, each.grades) for out, each in zip(held, sets, strict=True)]


def refit(sets: list[Graded]) -> dict[str, float]:
    """Weights fitted to every graded piece."""
    return fit_weights([(each.levels, SLOPE * each.grades) for each in sets], PRIOR, SHRINKAGE)


def read_sets() -> list[Graded]:
    """Both sets, or an empty list without the reference data."""
    folder = reference_folder()
    return [read_set(folder / "difficulty", *each) for each in SETS] if folder else []


def rows() -> Iterator[Row]:
    """The figures of the levels."""
    sets = read_sets()
    if not sets:
        return
    draws = np.array([cross_validated(sets, draw) for draw in range(DRAWS)])
    for at, (kind, _) in enumerate(SETS):
        each, found = sets[at], draws[:, at]
        note = f"{len(each.grades)} pieces, {FOLDS} folds, {DRAWS} draws, lowest {found.min():.3f}"
        yield Row(
            f"piece level and grade, {kind}, cross-validated", float(found.mean()), 0.75, "rho", note=note
        )
        shipped = agreement(each.given, each.grades)
        yield Row(f"piece level and grade, {kind}, as study() gives it", shipped, 0.75, "rho")
    now, fitted = (np.array([w[name] for name in DIMENSIONS]) for w in (WEIGHTS, refit(sets)))
    difference = float(np.abs(now - fitted).max())
    yield Row(
        "shipped weights against a new fit, largest difference", difference, 0.02, "level", at_most=True
    )


def main(words: list[str]) -> None:
    """Print the fit, the pieces, or the figures."""
    if words[:1] == ["fit"]:
        for name, weight in refit(read_sets()).items():
            print(f'"{name}": {weight},')
    elif words[:1] == ["pieces"]:
        for each in read_sets():
            for at in np.lexsort((each.given, each.grades)).tolist():
                print(f"{each.grades[at]:g}  {each.given[at]:.2f}  {each.names[at]}")
    else:
        for row in rows():
            print(f"{row.name:<66} {row.value:.3f} {row.note}")


if __name__ == "__main__":
    main(sys.argv[1:])
