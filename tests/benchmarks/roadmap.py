"""Whether the order of play holds: no bar left out in silence, published orders, orders known from making.

Run: ``python -m tests.benchmarks.study_figures roadmap``; with ``PLANNER_WHOLE_SWEEPS=1`` music21's corpus
is taken whole, Humdrum kern and ABC as well (more than an hour).
"""

import csv
from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path

import music21
from hypothesis import HealthCheck, Phase, given, seed, settings

from planner.adapters.scores.reader import read_score, read_scores
from planner.core.score import Score
from planner.errors import ScoreReadError
from planner.study.roadmap.play_order import find_play_order
from tests.benchmarks.rows import Row
from tests.reference import WHOLE, reference_folder, sampled
from tests.study.roadmap.random_roadmaps import roadmaps

FOLDERS = (
    "ensembles", "songs", "melody_ccbysa", "roman_numerals_ccbysa", "keys", "levels_panel", "difficulty",
    "repeats", "abc", "robustness",
)  # fmt: skip
SUFFIXES = (".mxl", ".musicxml", ".xml", ".krn", ".abc", ".mei")
MADE = 2000
"""How many random roadmaps are walked."""
CORPUS_XML, CORPUS_OTHER = 200, 60
"""How many files of music21's corpus a run takes, in MusicXML and in other formats."""

MOVEMENTS = {
    "sq8913219": (0, 221, 482, 583),
    "sq9719026": (0, 266, 345, 420, 464),
    "sq7434431": (0, 166, 251, 417),
    "sq8088531": (0, 108, 171, 257),
    "sq10372717": (0, 155, 329, 443),
    "sq10414906": (0, 77, 141, 217),
    "sq8806881": (0, 128, 188, 214, 270),
    "sq7302710": (0, 164, 260, 368),
    "sq16138966": (0, 193, 266, 384),
    "sq10490761": (0, 161),
    "sq8438915": (0, 80),
    "sq8438999": (0, 99),
    "sq7158117": (0, 164, 395, 498),
}
"""Where the movements of a file begin, by the end of its name: read by eye from the numbered headings and bar
numbers on the pages. Every other file of the reference data holds one movement."""


def silent_bars(score: Score) -> list[int]:
    """Written bars that are never played and that no issue tells of."""
    study = find_play_order(score)
    told = {int(at) for issue in study.issues if issue.slug == "bars-unplayed" for at in issue.all("measure")}
    return sorted(set(range(len(score.measures))) - set(study.play_order) - told)


@cache
def reference_pieces() -> dict[Path, tuple[Score, ...]]:
    """Every score of the reference data that can be read, with its pieces."""
    root = reference_folder()
    found: dict[Path, tuple[Score, ...]] = {}
    for folder in FOLDERS if root else ():
        for path in sorted((root / folder).rglob("*")):
            if path.suffix in SUFFIXES:
                try:
                    found[path] = read_scores(path)
                except ScoreReadError:
                    continue
    return found


def corpus_files(suffixes: Sequence[str]) -> list[Path]:
    """The files of music21's corpus with those endings."""
    root = Path(music21.__file__).parent / "corpus"
    return [path for path in sorted(root.rglob("*")) if path.suffix in suffixes]


def corpus_pieces(suffixes: Sequence[str], at_most: int) -> Iterator[tuple[Path, Sequence[Score]]]:
    """A sample of music21's corpus with the first piece of each file; in a whole sweep all pieces of all."""
    for path in sampled(corpus_files(suffixes), at_most):
        try:
            yield path, read_scores(path) if WHOLE else (read_score(path),)
        except ScoreReadError:
            continue


def movement_counts() -> tuple[int, int, int]:
    """Beginnings of later movements: found and true, found, true."""
    right = found = true = 0
    for path, pieces in reference_pieces().items():
        if path.suffix not in (".mxl", ".musicxml", ".xml"):
            continue
        starts = [sum(len(piece.measures) for piece in pieces[:at]) for at in range(1, len(pieces))]
        expected = next((known for end, known in MOVEMENTS.items() if path.stem.endswith(end)), (0,))[1:]
        right, found, true = right + len({*starts} & {*expected}), found + len(starts), true + len(expected)
    return right, found, true


def published_orders() -> tuple[int, int]:
    """Orders that an engraving library asserts for its own test scores: how many are found, of how many."""
    root = reference_folder()
    if root is None:
        return 0, 0
    folder = root / "repeats" / "lomse"
    cases = list(csv.DictReader((folder / "expected_order.csv").read_text(encoding="utf-8").splitlines()))
    right = 0
    for case in cases:
        order = [at + 1 for at in find_play_order(read_score(folder / case["file"])).play_order]
        right += order == [int(number) for number in case["measure_positions_in_play_order"].split()]
    return right, len(cases)


def made_orders() -> tuple[int, int]:
    """Of random roadmaps, each made from its order of play: how many are found, of how many."""
    outcomes: list[bool] = []

    @seed(8)
    @settings(
        max_examples=MADE, deadline=None, database=None, phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @given(roadmaps())
    def walk(made: tuple[Score, list[int]]) -> None:
        outcomes.append(list(find_play_order(made[0]).play_order) == made[1])

    walk()
    return sum(outcomes), len(outcomes)


def _silent_rows(name: str, scores: Sequence[Score], files: int, floor: int) -> Iterator[Row]:
    yield Row(f"{name}: files walked", files, floor, "files")
    left = [len(find_left(score)) for score in scores]
    yield Row("  bars that the roadmap does not reach, all told in an issue", sum(left), None, "bars")
    yield Row("  bars silently unplayed", sum(len(silent_bars(s)) for s in scores), 0, "bars", at_most=True)


def find_left(score: Score) -> set[int]:
    """Written bars that are never played."""
    return set(range(len(score.measures))) - set(find_play_order(score).play_order)


def rows() -> list[Row]:
    """The figures."""
    found: list[Row] = []
    reference = reference_pieces()
    if reference:
        scores = [piece for pieces in reference.values() for piece in pieces]
        found += _silent_rows("reference data", scores, len(reference), 500)
        right, split, true = movement_counts()
        found.append(Row(f"beginnings of movements found, of {true}", right / true, 1.0))
        found.append(Row(f"  right ones among {split} found", right / max(split, 1), 1.0))
        right, cases = published_orders()
        found.append(Row(f"orders of an engraving library's test scores, of {cases}", right / cases, 1.0))
    for name, suffixes, at_most in (
        ("music21's corpus, MusicXML", (".mxl", ".musicxml", ".xml"), CORPUS_XML),
        ("music21's corpus, kern and ABC", (".krn", ".abc"), CORPUS_OTHER),
    ):
        pieces = list(corpus_pieces(suffixes, at_most))
        floor = int(0.95 * (len(corpus_files(suffixes)) if WHOLE else at_most))
        found += _silent_rows(name, [each for _, scores in pieces for each in scores], len(pieces), floor)
    right, made = made_orders()
    found.append(Row(f"orders of random roadmaps, of {made}", right / made, 1.0))
    return found
