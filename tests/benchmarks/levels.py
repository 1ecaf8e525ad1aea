"""How well levels follow graded music: ``python -m tests.benchmarks.levels [fit|pieces|samples]``.

``fit`` prints the weights fitted anew to all graded pieces, as they stand in
``planner/study/difficulty/weights.py``; ``pieces`` prints every graded piece with its level and
``samples`` every piece of the sample library; without a word it prints the figures. The
hymns' mark of 1 to 5 and the piano pieces' grade of 1 to 9 are put on the level scale by
``SLOPE`` levels a step; only differences within a set count. Cross-validation: ten folds
drawn at random from all pieces of a set, the seed being the number of the draw; weights are
fitted on nine folds of both sets, the tenth only rated; scales and prior are the same in
every fold.
"""

import csv
import json
import sys
import time
import warnings
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import music21
import numpy as np
from scipy.optimize import nnls
from scipy.stats import spearmanr

from planner.adapters.scores.reader import read_score
from planner.core.difficulty import DIMENSIONS
from planner.core.ensemble import LOWEST_LEVEL
from planner.core.score import Score
from planner.errors import PlannerError
from planner.study.basics import basic_facts
from planner.study.difficulty.difficulty import measure_dimensions, of_piece, rate
from planner.study.difficulty.evidence import gather
from planner.study.difficulty.weights import WEIGHTS
from planner.study.facts import StudyFacts
from planner.study.notes.columns import columns_of
from planner.study.spots.spots import find_spots
from tests.benchmarks.rows import Row
from tests.reference import reference_folder

SLOPE = 0.7
SETS = (("hymns", "complexity_1_to_5"), ("chopin", "henle_grade_1_to_9"))
FOLDS, DRAWS = 10, 10
PRIOR: dict[str, float] = {
    "rhythm": 0.17, "meter": 0.04, "key": 0.13, "range": 0.21, "motion": 0.13,
    "density": 0.15, "independence": 0.72, "roadmap": 0.03, "expression": 0.03, "endurance": 0.04,
}  # fmt: skip
"""Weights before any graded music is seen.

Source: house choice. How independently the lines move leads, because reading several lines at once is
what separates graded four-part hymns and, after range and density, graded piano music.
"""
SHRINKAGE = 100.0
"""How many graded pieces the prior weighs in the fit. Source: house choice, against over-fitting."""


@dataclass(frozen=True)
class Graded:
    """One set of graded pieces: names, grades, levels by dimension and the level given."""

    names: tuple[str, ...]
    grades: np.ndarray
    levels: np.ndarray
    given: np.ndarray


def facts_of(score: Score) -> StudyFacts:
    """The facts that levels rest on, as the study settles them."""
    return basic_facts(columns_of(score))


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


def fit_weights(
    groups: Sequence[tuple[np.ndarray, np.ndarray]], prior: dict[str, float], shrinkage: float = SHRINKAGE
) -> dict[str, float]:
    """Weights of 0 or more that follow the grades within each group, held near a prior.

    Only differences within a group count: two sets of grades need not share a scale's beginning.

    Args:
        groups: For each set, dimension levels of shape ``(n_pieces, n_dimensions)`` in the order of
            ``DIMENSIONS``, and its grades as levels, shape ``(n_pieces,)``.
        prior: Weight of each dimension to hold to.
        shrinkage: Strength of the hold, 0 for none.

    Returns:
        A weight for each dimension.

    Source:
        Least squares with non-negative coefficients (Lawson & Hanson 1974) and a ridge towards the prior.

    Example:
        >>> nothing = (np.zeros((0, 10)), np.zeros(0))
        >>> fit_weights([nothing], PRIOR)["meter"]
        0.04
    """
    start = np.array([prior[name] for name in DIMENSIONS])
    rows = [np.sqrt(shrinkage) * np.eye(len(DIMENSIONS))]
    answers = [np.sqrt(shrinkage) * start]
    for levels, grades in groups:
        if len(grades):
            rows.append(levels - levels.mean(axis=0))
            answers.append(grades - grades.mean())
    found, _ = nnls(np.vstack(rows), np.concatenate(answers))
    return {name: round(float(w), 3) for name, w in zip(DIMENSIONS, found, strict=True)}


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

    yield from sample_rows()
    yield from cost_rows()


SAMPLES = Path(__file__).resolve().parents[2] / "sample_library"


def sample_levels() -> list[tuple[str, float, float]]:
    """Title, level meant by the maker of the setting, and level found, for every sample piece."""
    manifest = json.loads((SAMPLES / "manifest.json").read_text(encoding="utf-8"))
    pieces = manifest if isinstance(manifest, list) else manifest["pieces"]
    found = []
    for piece in pieces:
        score = read_score(SAMPLES / piece["file"])
        level = rate(columns_of(score), facts_of(score)).level
        found.append((piece["title"], float(piece["level"]), float(level or 0.0)))
    return found


def sample_rows() -> Iterator[Row]:
    """How far the levels of the sample library are from those its pieces were written for."""
    levels = np.array([(meant, found) for _, meant, found in sample_levels()])
    if len(levels):
        apart = np.abs(levels[:, 0] - levels[:, 1])
        note = f"{len(levels)} pieces, largest {apart.max():.2f}"
        yield Row(
            "sample library: mean distance from the level meant",
            float(apart.mean()),
            0.5,
            "level",
            True,
            note,
        )
        yield Row(
            "sample library: level found and level meant", agreement(levels[:, 1], levels[:, 0]), 0.85, "rho"
        )


def cost_rows() -> Iterator[Row]:
    """Processor time of ranges, levels and spots over music21's parse of the same file."""
    folder = reference_folder()
    files = sorted(folder.glob("ensembles/*/*.mxl"))[::5] if folder else []
    ratios = []
    for path in files:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            score = read_score(path)
            begin = time.process_time()
            music21.converter.parse(path, forceSource=True)
            parse = time.process_time() - begin
        columns, facts = columns_of(score), facts_of(score)
        begin = time.process_time()
        evidence = gather(columns, facts)
        rate(columns, facts, evidence)
        find_spots(columns, facts, evidence)
        ratios.append((time.process_time() - begin) / parse)
    if ratios:
        note = f"{len(ratios)} ensemble files"
        name = "ranges, levels and spots over music21's parse, median"
        yield Row(name, float(np.median(ratios)), 0.06, "ratio",
                  True, note)  # fmt: skip


def main(words: list[str]) -> None:
    """Print the fit, the pieces, or the figures."""
    if words[:1] == ["fit"]:
        for name, weight in refit(read_sets()).items():
            print(f'"{name}": {weight},')
    elif words[:1] == ["samples"]:
        for title, meant, level in sample_levels():
            print(f"{meant:g}  {level:.2f}  {level - meant:+.2f}  {title}")
    elif words[:1] == ["pieces"]:
        for each in read_sets():
            for at in np.lexsort((each.given, each.grades)).tolist():
                print(f"{each.grades[at]:g}  {each.given[at]:.2f}  {each.names[at]}")
    else:
        for row in rows():
            print(f"{row.name:<66} {row.value:.3f} {row.note}")


if __name__ == "__main__":
    main(sys.argv[1:])
