"""How well the study finds the home key and the local keys, against people and against music21."""

import csv
import warnings
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from music21 import analysis, converter, corpus

from planner.adapters.scores.reader import read_score
from planner.core.score import Score
from planner.study.notes.columns import columns_of
from planner.study.tonal.keys import KeyStudy, find_keys
from tests.benchmarks.agreement import agreement
from tests.benchmarks.human import (
    HumanSpan,
    chorale_pairs,
    human_keys,
    human_spans,
    madrigal_pairs,
    song_pairs,
)
from tests.benchmarks.rows import Row
from tests.reference import reference_folder


@dataclass(frozen=True, slots=True)
class Analysed:
    """A score with what the analyst wrote; ``held`` where the weights were not learned from it."""

    set: str
    name: str
    path: Path
    score: Score
    spans: list[HumanSpan]
    held: bool

    @property
    def starts(self) -> list[float]:
        """Start of each measure in quarters."""
        return [float(measure.start_quarters) for measure in self.score.measures]


@cache
def analysed() -> tuple[Analysed, ...]:
    """Every pair that fits, in a fixed order; every second one is held back from learning."""
    sets = {"chorales": chorale_pairs(), "madrigals": madrigal_pairs(), "songs": song_pairs()}
    found: list[Analysed] = []
    for name, pairs in sets.items():
        for pair in pairs:
            score = read_score(pair.score)
            spans = human_spans(pair, score)
            if spans:
                held = len(found) % 2 == 1
                found.append(Analysed(name, pair.name, pair.score, score, spans, held))
    return tuple(found)


def study_keys(score: Score) -> KeyStudy:
    """The study's keys of a score."""
    return find_keys(columns_of(score))


def windowed_keys(path: Path, window: int = 16) -> list[tuple[float, str]]:
    """music21's windowed key analysis: the key of the window around each quarter.

    The window is a house choice: four measures of 4/4.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        music = converter.parse(path)
        analyzer = analysis.windowed.WindowedAnalysis(
            music.flatten(), analysis.discrete.KrumhanslSchmuckler()
        )
        solutions, _ = analyzer.analyze(window)
    half = window / 2
    return [(at + half if at else 0.0, _solution_name(found)) for at, found in enumerate(solutions)]


def _solution_name(found: Any) -> str:
    return f"{found[0].name.replace('-', 'b')} {found[1]}"


def local_agreement(pieces: list[Analysed]) -> float:
    """Share of time on which the study and the analyst name the same local key."""
    same = total = 0.0
    for piece in pieces:
        ours = [(piece.starts[s.measure] + s.offset_quarters, s.key) for s in study_keys(piece.score).spans]
        found = agreement([(s.start, s.end, s.key) for s in piece.spans], ours)
        same, total = same + found[0], total + found[1]
    return same / max(total, 1e-9)


def windowed_agreement(pieces: list[Analysed]) -> float:
    """The same for music21's windowed analysis."""
    same = total = 0.0
    for piece in pieces:
        found = agreement([(s.start, s.end, s.key) for s in piece.spans], windowed_keys(piece.path))
        same, total = same + found[0], total + found[1]
    return same / max(total, 1e-9)


def labelled_keys() -> list[tuple[str, str, str]]:
    """File, expected and found home key of the labelled scores."""
    root = reference_folder()
    if root is None:
        return []
    rows = []
    with (root / "keys" / "expected_keys.csv").open(encoding="utf-8") as lines:
        for row in csv.DictReader(lines):
            expected = f"{row['tonic_music21_spelling'].replace('-', 'b')} {row['mode']}"
            rows.append((row["file"], expected, study_keys(read_score(root / row["file"])).home_key))
    return rows


def chorale_homes() -> list[tuple[str, str, str, str]]:
    """Name, first key, last key and found home key of every chorale that has an analysis."""
    rows = []
    for pair in chorale_pairs():
        score = read_score(pair.score)
        first, last = human_keys(pair, score)
        rows.append((pair.name, first, last, study_keys(score).home_key))
    return rows


def prelude_home() -> str:
    """Home key of the only prelude of the Well-Tempered Clavier in music21's corpus (BWV 846)."""
    return study_keys(read_score(Path(corpus.getWork("bach/bwv846")))).home_key


def rows() -> list[Row]:
    """The figures."""
    found = []
    labelled = labelled_keys()
    if labelled:
        right = sum(expected == ours for _, expected, ours in labelled)
        found.append(Row(f"home key, labelled scores, of {len(labelled)}", right, 23, "pieces"))
    homes = chorale_homes()
    steady = [row for row in homes if row[1] == row[2]]
    found.append(
        Row(
            f"home key, {len(steady)} chorales, first key = last key",
            sum(row[1] == row[3] for row in steady) / len(steady),
            0.90,
        )
    )
    found.append(Row("home key, prelude BWV 846", float(prelude_home() == "C major"), 1.0))
    for name in ("chorales", "madrigals", "songs"):
        held = [piece for piece in analysed() if piece.set == name and piece.held]
        if held:
            ours, theirs = local_agreement(held), windowed_agreement(held)
            found.append(Row(f"local key, {len(held)} {name} held back", ours))
            found.append(Row("  music21 windowed analysis, same pieces", theirs))
            found.append(Row("  gain over it", 100 * (ours - theirs), 10.0, "points"))
    return found
