"""How well levels follow graded music.

``python -m tests.benchmarks.levels [fit|worst|panel|pieces|samples]``: ``fit`` prints the weights fitted anew
to the graded parts, as they stand in ``planner/study/difficulty/weights.py``; ``worst`` the twelve parts of
the panel that are furthest off, with what makes their levels; ``panel`` all of them; ``pieces`` every graded
piece with its level and ``samples`` every piece of the sample library; without a word it prints the figures.

**The panel** holds parts that were graded from the picture of their page by the published charts, two or
three times each; machine readings, evidence with an error of about a third of a level. The pictures showed
one part alone, so that independence cannot show in them. Cross-validation: ten folds of pieces, drawn at
random five times, the seed being the number of the draw; the weights of what is played and both bases are
fitted on nine folds, the tenth only rated. Scales, prior, least weights and the weights of what is sung are
the same in every fold. **Hymns and piano pieces** carry marks of an editor and of a publisher; nothing is
fitted to them.
"""

import csv
import json
import sys
import time
import warnings
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import music21
import numpy as np
from scipy.optimize import nnls
from scipy.stats import spearmanr

from planner.adapters.scores.reader import read_score
from planner.core.difficulty import DIMENSIONS
from planner.core.ensemble import HIGHEST_LEVEL, LOWEST_LEVEL
from planner.core.profile import Contribution
from planner.core.score import Score
from planner.errors import PlannerError
from planner.levels.adjustment import share_of
from planner.study.basics import basic_facts
from planner.study.difficulty.difficulty import measure_dimensions, rate
from planner.study.difficulty.evidence import gather
from planner.study.difficulty.weights import PLAYED, SUNG, scale_of
from planner.study.facts import StudyFacts
from planner.study.notes.columns import columns_of
from planner.study.spots.spots import find_spots
from planner.wording.study.difficulty import measured_words
from tests.benchmarks.rows import Row
from tests.reference import reference_folder

ROOT = Path(__file__).resolve().parents[2]
SAMPLES = ROOT / "sample_library"
SETS = (("hymns", "complexity_1_to_5", 0.75), ("chopin", "henle_grade_1_to_9", 0.77))
"""Sets of pieces with marks by people: folder, column, and the rank correlation that a level should reach."""
FOLDS, DRAWS = 10, 5
PRIOR: dict[str, float] = {
    "rhythm": 0.2, "variety": 0.2, "syncopation": 0.12, "meter": 0.15, "key": 0.08, "accidentals": 0.25,
    "transposition": 0.15, "range": 0.15, "position": 0.15, "ledger lines": 0.03, "clef": 0.1,
    "motion": 0.1, "notes": 0.12, "chords": 0.08, "density": 0.25, "runs": 0.2, "independence": 0.05,
    "hands": 0.1, "rests": 0.03, "roadmap": 0.02, "expression": 0.02, "endurance": 0.02,
}  # fmt: skip
"""Weights before any graded part is seen. Source: house choice."""
LEAST: dict[str, float] = {
    "meter": 0.15, "density": 0.25, "runs": 0.2, "independence": 0.05, "hands": 0.1, "rests": 0.02,
    "roadmap": 0.02, "expression": 0.02, "endurance": 0.02, "syncopation": 0.05, "key": 0.08, "chords": 0.05,
    "ledger lines": 0.02,
}  # fmt: skip
"""Least weights: what a picture of one page does not show (the others, the order of play), what the panel has
too little of (odd meters, hands), and what the laws ask for (twice as fast is harder)."""
SHRINKAGE = 100.0
"""How many graded parts the prior weighs in the fit. Source: house choice, against over-fitting."""
FAR = 1.0
"""Levels from which a part is far off."""


@dataclass(frozen=True)
class PanelPart:
    """One graded part.

    Attributes:
        name, piece, kind: Of the part, its file, and the kind of ensemble.
        grade: Mean of the graders, 0.5 to 6.
        given: Level that the study gives.
        levels: Levels of the dimensions above the lowest in the order of ``DIMENSIONS``.
        is_sung: Rated on the scale of singers.
        contributions: What makes the level.
    """

    name: str
    piece: str
    kind: str
    grade: float
    given: float
    levels: tuple[float, ...]
    is_sung: bool
    contributions: tuple[Contribution, ...]


def facts_of(score: Score) -> StudyFacts:
    """The facts that levels rest on, as the study settles them."""
    return basic_facts(columns_of(score))


def _read(path: Path) -> Score:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return read_score(path)


@cache
def panel() -> tuple[PanelPart, ...]:
    """Every graded part, read and rated; none without the reference data."""
    folder = reference_folder()
    if not folder:
        return ()
    with (folder / "levels_panel" / "grades.csv").open(encoding="utf-8") as grades:
        rows = list(csv.DictReader(grades))
    found = []
    for file in dict.fromkeys(row["file"] for row in rows):
        path = folder / "levels_panel" / file
        columns = columns_of(_read(path if path.exists() else ROOT / file))
        facts = basic_facts(columns)
        evidence = gather(columns, facts)
        dimensions = measure_dimensions(columns, facts, evidence)
        given = rate(columns, facts, evidence)
        for row in (row for row in rows if row["file"] == file):
            at = int(row["part_index"])
            own, each = {one.name.value: one.level for one in dimensions[at]}, evidence.parts[at]
            family = each.family if each else ""
            own.setdefault("independence", scale_of(family).by_itself)
            found.append(
                PanelPart(
                    row["part"], file, row["kind"], float(row["mean"]), float(given.parts[at].level or 0.0),
                    tuple(own.get(n, LOWEST_LEVEL) - LOWEST_LEVEL for n in DIMENSIONS),
                    family == "voice", given.parts[at].contributions,
                )
            )  # fmt: skip
    return tuple(found)


@dataclass(frozen=True)
class Fitted:
    """Weights in the order of ``DIMENSIONS``, and where a part begins."""

    weights: np.ndarray
    base: float

    def rate(self, levels: np.ndarray) -> np.ndarray:
        """Levels of parts, held to the ends of the scale."""
        return np.clip(levels @ self.weights + self.base, LOWEST_LEVEL, HIGHEST_LEVEL)


def fit_played(levels: np.ndarray, grades: np.ndarray, shrinkage: float = SHRINKAGE) -> Fitted:
    """Weights that follow the grades, none below its least, held near the prior; the base is free.

    Args:
        levels: Dimension levels above the lowest, shape ``(n_parts, n_dimensions)``.
        grades: As levels, shape ``(n_parts,)``.
        shrinkage: Strength of the hold, 0 for none.

    Source:
        Least squares with non-negative coefficients (Lawson & Hanson 1974) and a ridge towards the prior.
    """
    prior, least = (np.array([table.get(name, 0.0) for name in DIMENSIONS]) for table in (PRIOR, LEAST))
    count, ones = len(DIMENSIONS), np.ones((len(grades), 1))
    hold = np.sqrt(shrinkage) * np.eye(count)
    rows = np.vstack([np.hstack([levels, ones, -ones]), np.hstack([hold, np.zeros((count, 2))])])
    found, _ = nnls(rows, np.concatenate([grades - levels @ least, np.sqrt(shrinkage) * (prior - least)]))
    return Fitted(found[:count] + least, float(found[count] - found[count + 1]))


def fit_sung(levels: np.ndarray, grades: np.ndarray) -> Fitted:
    """The shipped weights of what is sung, with the base that fits the grades."""
    weights = np.array([SUNG.weights[name] for name in DIMENSIONS])
    return Fitted(weights, float((grades - levels @ weights).mean()))


def cross_validated(parts: Sequence[PanelPart], draw: int) -> np.ndarray:
    """The level of every part by a fit that never saw its piece."""
    pieces = sorted({part.piece for part in parts})
    order = np.random.default_rng(draw).permutation(len(pieces))
    fold_of = {pieces[at]: place % FOLDS for place, at in enumerate(order)}
    fold = np.array([fold_of[part.piece] for part in parts])
    levels, grades = np.array([part.levels for part in parts]), np.array([part.grade for part in parts])
    sung, found = np.array([part.is_sung for part in parts]), np.zeros(len(parts))
    for at in range(FOLDS):
        for kind, fit in ((~sung, fit_played), (sung, fit_sung)):
            train, test = (fold != at) & kind, (fold == at) & kind
            if test.any():
                found[test] = fit(levels[train], grades[train]).rate(levels[test])
    return found


def agreement(levels: np.ndarray, grades: np.ndarray) -> float:
    """Spearman's rank correlation."""
    return float(spearmanr(levels, grades).statistic)


def panel_rows() -> Iterator[Row]:
    """How the levels of parts follow their grades, cross-validated by piece, and by kind of ensemble."""
    parts = panel()
    if not parts:
        return
    grades, kinds = np.array([part.grade for part in parts]), np.array([part.kind for part in parts])
    draws = np.array([cross_validated(parts, draw) for draw in range(DRAWS)])
    note = f"{len(parts)} parts of {len({part.piece for part in parts})} pieces, {FOLDS} folds, {DRAWS} draws"
    apart = np.abs(draws - grades)
    rho = np.mean([agreement(draw, grades) for draw in draws])
    yield Row("panel: level and grade, cross-validated by piece", float(rho), 0.94, "rho", note=note)
    yield Row("panel: mean difference, cross-validated", float(apart.mean()), 0.30, "level", True, note)
    far = float((apart > FAR).mean())
    yield Row("panel: off by more than 1.0, cross-validated", far, 0.02, "share", True, note)
    for kind in sorted(set(kinds)):
        here = kinds == kind
        own = np.mean([agreement(draw[here], grades[here]) for draw in draws])
        text = f"{here.sum()} parts, mean difference {apart[:, here].mean():.2f}"
        yield Row(f"panel: {kind}, cross-validated", float(own), None, "rho", note=text)
    given = np.array([part.given for part in parts])
    text = f"mean difference {np.abs(given - grades).mean():.3f}; fitted to these parts"
    yield Row(
        "panel: level and grade, as the study gives it", agreement(given, grades), 0.92, "rho", note=text
    )
    now = np.array([PLAYED.weights[name] for name in DIMENSIONS])
    difference = float(np.abs(now - refit()[0].weights).max())
    yield Row("shipped weights and a new fit, largest difference", difference, 0.03, "level", True)


def refit() -> tuple[Fitted, Fitted]:
    """Weights of what is played, and of what is sung, fitted to every graded part."""
    levels, grades, sung = (
        np.array([getattr(part, name) for part in panel()]) for name in ("levels", "grade", "is_sung")
    )
    return fit_played(levels[~sung], grades[~sung]), fit_sung(levels[sung], grades[sung])


@cache
def graded_pieces(kind: str, column: str) -> tuple[tuple[str, float, float], ...]:
    """File, mark and level of each piece of a set that can be read."""
    folder = reference_folder()
    if not folder:
        return ()
    found = []
    with (folder / "difficulty" / kind / "labels.csv").open(encoding="utf-8") as labels:
        for row in csv.DictReader(labels):
            try:
                score = _read(folder / "difficulty" / kind / row["file"])
            except PlannerError as error:
                print(f"not rated: {error}", file=sys.stderr)
                continue
            level = rate(columns_of(score), facts_of(score)).level
            found.append((row["file"], float(row[column]), float(level or 0.0)))
    return tuple(found)


def piece_rows() -> Iterator[Row]:
    """How the levels of whole pieces follow marks that people gave them."""
    for kind, column, floor in SETS:
        pieces = graded_pieces(kind, column)
        if pieces:
            marks, levels = np.array([(mark, level) for _, mark, level in pieces]).T
            note = f"{len(pieces)} pieces, nothing fitted to them"
            yield Row(f"piece level and mark, {kind}", agreement(levels, marks), floor, "rho", note=note)


@cache
def sample_levels() -> tuple[tuple[str, float, float], ...]:
    """Title, level meant by the maker of the setting, and level found, for every sample piece."""
    manifest = json.loads((SAMPLES / "manifest.json").read_text(encoding="utf-8"))
    pieces = manifest if isinstance(manifest, list) else manifest["pieces"]
    found = []
    for piece in pieces:
        score = _read(SAMPLES / piece["file"])
        level = rate(columns_of(score), facts_of(score)).level
        found.append((piece["title"], float(piece["level"]), float(level or 0.0)))
    return tuple(found)


def sample_rows() -> Iterator[Row]:
    """How far the levels of the sample library are from those its pieces were written for."""
    levels = np.array([(meant, found) for _, meant, found in sample_levels()])
    apart = np.abs(levels[:, 0] - levels[:, 1])
    note = f"{len(levels)} pieces, largest {apart.max():.2f}"
    yield Row(
        "sample library: mean distance from the level meant", float(apart.mean()), 0.5, "level", True, note
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
        score = _read(path)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
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
        name = "ranges, levels and spots over music21's parse, median"
        yield Row(name, float(np.median(ratios)), 0.06, "ratio", True, f"{len(ratios)} ensemble files")


def rows() -> Iterator[Row]:
    """The figures of the levels."""
    yield from panel_rows()
    yield from piece_rows()
    yield from sample_rows()
    yield from cost_rows()


def _print_fit() -> None:
    for title, fitted in zip(("played", "sung"), refit(), strict=True):
        print(f"{title}: base {fitted.base:.2f}")
        for name, weight in zip(DIMENSIONS, fitted.weights, strict=True):
            print(f'  "{name}": {weight:.2f},')


def _print_parts(parts: Sequence[PanelPart]) -> None:
    print("grade  level  part")
    for part in parts:
        print(f"{part.grade:5.2f}  {part.given:5.2f}  {part.name}, {part.piece} ({part.kind})")
        made = sorted(part.contributions, key=share_of, reverse=True)[:5]
        print("              " + "; ".join(
            f"{each.name} {share_of(each):.2f} ({measured_words(each.evidence)})" for each in made
        ))  # fmt: skip


def main(words: list[str]) -> None:
    """Print the fit, the parts, the pieces, or the figures."""
    by_distance = sorted(panel(), key=lambda part: -abs(part.given - part.grade))
    match words[:1]:
        case ["fit"]:
            _print_fit()
        case ["worst"]:
            _print_parts(by_distance[:12])
        case ["panel"]:
            _print_parts(by_distance)
        case ["samples"]:
            for title, meant, level in sample_levels():
                print(f"{meant:g}  {level:.2f}  {level - meant:+.2f}  {title}")
        case ["pieces"]:
            for kind, column, _ in SETS:
                for file, mark, level in sorted(graded_pieces(kind, column), key=lambda each: each[1:]):
                    print(f"{mark:g}  {level:.2f}  {file}")
        case _:
            for row in rows():
                print(f"{row.name:<66} {row.value:.3f} {row.note}")


if __name__ == "__main__":
    main(sys.argv[1:])
