"""How well the study finds the home key and the local keys, against people and against music21."""

import csv
import warnings
from collections import Counter, defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
from music21 import analysis, converter, corpus

from planner.adapters.scores.reader import read_score
from planner.core.fact import FactKind
from planner.core.key_notes import fifths_of_key
from planner.core.score import Score
from planner.study.notes.columns import Columns, columns_of
from planner.study.tonal.decode import signatures_of
from planner.study.tonal.harmony import find_harmony
from planner.study.tonal.keys import KeyStudy, find_keys
from planner.study.tonal.sure_keys import sure_keys
from tests.benchmarks.agreement import agreement
from tests.benchmarks.analysed import Analysed, analysed
from tests.benchmarks.human import chorale_pairs, human_keys
from tests.benchmarks.learn_harmony import fold_tables, reading_with
from tests.benchmarks.rows import Row
from tests.reference import reference_folder


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


Keys = list[tuple[float, str]]


def local_keys(piece: Analysed) -> Keys:
    """Where each local key of the study begins, in quarters, and its name."""
    return [(piece.starts[s.measure] + s.offset_quarters, s.key) for s in study_keys(piece.score).spans]


def unseen_keys(piece: Analysed) -> Keys:
    """The same with weights learned without the piece and its composer."""
    with reading_with(fold_tables(piece.fold)):
        return local_keys(piece)


def local_agreement(pieces: list[Analysed], reader: Callable[[Analysed], Keys] = local_keys) -> float:
    """Share of time on which the study and the analyst name the same local key."""
    same = total = 0.0
    for piece in pieces:
        found = agreement([(s.start, s.end, s.key) for s in piece.spans], reader(piece))
        same, total = same + found[0], total + found[1]
    return same / max(total, 1e-9)


@dataclass(frozen=True, slots=True)
class Regions:
    """How the study and the analysts cut some pieces into keys.

    Attributes:
        ours, theirs: Number of stretches in one key.
        major_as_minor: Share of the analysts' time in major that the study calls minor.
        minor_as_major: The other way.
    """

    ours: int
    theirs: int
    major_as_minor: float
    minor_as_major: float


def cut_regions(pieces: list[Analysed]) -> Regions:
    """Regions and modes of some pieces, read with weights learned without them."""
    ours = theirs = 0
    wrong = {"major": 0.0, "minor": 0.0}
    time = {"major": 1e-9, "minor": 1e-9}
    for piece in pieces:
        keys = unseen_keys(piece)
        ours += len(keys)
        theirs += 1 + sum(a.key != b.key for a, b in pairwise(piece.spans))
        modes = [(start, name.split()[1]) for start, name in keys]
        for mode in time:
            spans = [(s.start, s.end, mode) for s in piece.spans if s.key.endswith(mode)]
            same, total = agreement(spans, modes)
            wrong[mode], time[mode] = wrong[mode] + total - same, time[mode] + total
    return Regions(ours, theirs, wrong["major"] / time["major"], wrong["minor"] / time["minor"])


@dataclass(frozen=True, slots=True)
class Named:
    """Keys that a player's sheet names, and how many of them analysts hear so.

    Attributes:
        stretches: Stretches in another key, and those that analysts hear in it in every bar.
        homes: Pieces whose opening key is named, and those in which analysts hear it in the first bar and in
            the last one under its signature.
    """

    stretches: tuple[int, int]
    homes: tuple[int, int]


def named_keys(pieces: Sequence[Analysed]) -> Named:
    """What sheets name of some pieces, read with weights learned without them and their composers' songs."""
    stretches, homes = Counter[bool](), Counter[bool]()
    for piece in pieces:
        columns = columns_of(piece.score)
        with reading_with(fold_tables(piece.fold)):
            keys = find_keys(columns)
            sure = sure_keys(columns, keys, find_harmony(columns, keys).cadences)
        for each in sure:
            bars = [_heard_in(piece, at, each.key) for at in range(each.measure, each.end_measure + 1)]
            stretches[all(bars)] += 1
        named = _opening_key(columns, keys)
        if named is not None:
            key, end = named
            homes[_heard_in(piece, 0, key) and _heard_in(piece, end, key)] += 1
    return Named((stretches.total(), stretches[True]), (homes.total(), homes[True]))


def _opening_key(columns: Columns, keys: KeyStudy) -> tuple[str, int] | None:
    """The key that a part at concert pitch would be named, and the last measure under its signature."""
    home = next((fact for fact in keys.facts if fact.kind is FactKind.HOME_KEY), None)
    signatures = signatures_of(columns)
    if home is None or home.terms or not keys.spans:
        return None
    changes = np.flatnonzero(signatures != signatures[0]).tolist()
    end = min([*changes, len(signatures)]) - 1
    key, last = keys.spans[0].key, [span.key for span in keys.spans if span.measure <= end][-1:]
    is_signed = fifths_of_key(key) == int(signatures[0])
    return (key, end) if is_signed and last == [key] else None


def _heard_in(piece: Analysed, measure: int, key: str) -> bool:
    """Whether the analyst hears a key for half of a bar or more; a bar not analysed is passed over."""
    bar = piece.score.measures[measure]
    start, end = float(bar.start_quarters), float(bar.start_quarters + bar.length_quarters)
    heard: defaultdict[str, float] = defaultdict(float)
    for span in piece.spans:
        heard[span.key] += max(0.0, min(span.end, end) - max(span.start, start))
    return 2 * heard[key] >= sum(heard.values())


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
    named = named_keys(analysed()[1::2])
    found += [
        Row(
            f"other keys named on sheets, {named.stretches[0]} stretches of every second piece",
            named.stretches[1] / max(named.stretches[0], 1),
            1.0,
        ),
        Row(
            f"opening keys named on sheets, {named.homes[0]} of every second piece",
            named.homes[1] / max(named.homes[0], 1),
            0.95,
        ),
    ]
    for name, floor in LOCAL_FLOORS.items():
        pieces = [piece for piece in analysed() if piece.set == name]
        if pieces:
            found += _local_rows(name, pieces, floor)
    return found


LOCAL_FLOORS = {"songs": 0.80, "chorales": 0.80, "madrigals": 0.63}
"""The songs: what is asked. Chorales and madrigals: what other weights had reached on half of them."""


def _local_rows(name: str, pieces: list[Analysed], floor: float) -> list[Row]:
    """Local keys, each piece read with weights learned without it and its composer's songs."""
    cut, some = cut_regions(pieces), [piece for piece in pieces if piece.fold == 0]
    ours, theirs = local_agreement(some, unseen_keys), windowed_agreement(some)
    return [
        Row(
            f"local key, {len(pieces)} {name} left out of learning in turn",
            local_agreement(pieces, unseen_keys),
            floor,
        ),
        Row(f"  music21 windowed analysis, {len(some)} of them", theirs),
        Row("  gain over it on these", 100 * (ours - theirs), 10.0, "points"),
        Row("  stretches in one key, against the analysts'", cut.ours / cut.theirs),
        Row("  time in major called minor", cut.major_as_minor),
        Row("  time in minor called major", cut.minor_as_major),
    ]
