"""What the study costs beside music21's own parse of the same file, and how the cost grows.

``python -m tests.benchmarks.study_cost`` prints every song too.
"""

import statistics
import time
import warnings
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from music21 import converter

from planner.adapters.scores.reader import read_score
from planner.core.score import Score
from planner.study.form.form import find_form
from planner.study.form.patterns import find_patterns
from planner.study.notes.columns import Columns, columns_of
from planner.study.study import study
from planner.study.tonal.harmony import find_harmony
from planner.study.tonal.keys import find_keys
from tests.benchmarks.rows import Row, line
from tests.reference import reference_folder

SONG_LIMIT = 0.60
"""The whole study over music21's parse, on every song."""


def four_questions(columns: Columns) -> None:
    """Keys, harmony, form and patterns of a score."""
    find_harmony(columns, find_keys(columns))
    find_form(columns)
    find_patterns(columns)


def seconds(work: Callable[[], object], times: int = 3) -> float:
    """Processor seconds of the quickest of a few runs."""
    best = float("inf")
    for _ in range(times):
        begin = time.process_time()
        work()
        best = min(best, time.process_time() - begin)
    return best


def study_seconds(score: Score, times: int = 3) -> float:
    """Seconds of the four questions, lines of the parts included, nothing kept from a run before."""
    return seconds(lambda: four_questions(columns_of(score)), times) - seconds(
        lambda: columns_of(score), times
    )


def parse_seconds(path: Path) -> float:
    """Seconds of music21's parse of the same file."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return seconds(lambda: converter.parse(path, forceSource=True), 1)


def doubled(score: Score) -> Score:
    """The score played twice as one score of twice the length."""
    count = len(score.measures)
    end = score.measures[-1].start_quarters + score.measures[-1].length_quarters
    more = tuple(
        replace(m, index=m.index + count, start_quarters=m.start_quarters + end) for m in score.measures
    )
    parts = tuple(
        replace(part, notes=(*part.notes, *(replace(n, measure=n.measure + count) for n in part.notes)))
        for part in score.parts
    )
    return replace(score, measures=(*score.measures, *more), parts=parts)


@dataclass(frozen=True, slots=True)
class FileCost:
    """One file: cost of the four questions, and of the whole study, over the parse (ratios)."""

    name: str
    questions: float
    study: float


def file_costs(folder: str) -> list[FileCost]:
    """Each score in a folder of the reference data, in order of its name."""
    root = reference_folder()
    files = sorted((root / folder).rglob("*.mxl")) if root else []
    found = []
    for path in files:
        score, parse = read_score(path), parse_seconds(path)
        whole = seconds(lambda score=score: study(score))
        found.append(FileCost(path.name, study_seconds(score) / parse, whole / parse))
    return found


def growth() -> float:
    """Cost of a score of twice the length over the cost of the score: a quartet of 314 bars."""
    root = reference_folder()
    if root is None:
        return 0.0
    path = next((root / "ensembles").rglob("*D.703*.mxl"))
    score = read_score(path)
    return study_seconds(doubled(score)) / study_seconds(score)


def rows() -> list[Row]:
    """The figures; nothing where the reference data is missing."""
    return figures(file_costs("ensembles"), file_costs("songs"))


def figures(found: list[FileCost], songs: list[FileCost]) -> list[Row]:
    """The figures of the ensembles and of the songs."""
    if not found or not songs:
        return []
    worst = max(found, key=lambda cost: cost.questions)
    dearest = max(found, key=lambda cost: cost.study)
    dearest_song = max(songs, key=lambda cost: cost.study)
    of = f"over music21's parse, median of {len(found)}"
    questions = statistics.median(cost.questions for cost in found)
    whole = statistics.median(cost.study for cost in found)
    above = sum(cost.study > SONG_LIMIT for cost in songs)
    return [
        Row(f"whole study {of}", whole, 0.25, "ratio", True),
        Row("  the dearest file", dearest.study, None, "ratio", note=dearest.name),
        Row(f"  the dearest of {len(songs)} songs", dearest_song.study, SONG_LIMIT, "ratio", True,
            note=f"{dearest_song.name}; {above} above {SONG_LIMIT}"),
        Row("  the songs, median", statistics.median(cost.study for cost in songs), None, "ratio"),
        Row(f"  keys, harmony, form, patterns {of}", questions, None, "ratio"),
        Row("  the dearest file", worst.questions, None, "ratio", note=worst.name),
        Row("  cost of a score of twice the length", growth(), 2.2, "ratio", True),
    ]  # fmt: skip


def main() -> None:
    """Print every song with its ratios, the dearest last, and below it the figures."""
    songs = file_costs("songs")
    print("study   questions  song")
    for cost in sorted(songs, key=lambda cost: cost.study):
        print(f"{cost.study:5.3f}   {cost.questions:9.3f}  {cost.name}")
    for row in figures(file_costs("ensembles"), songs):
        print(line(row))


if __name__ == "__main__":
    main()
