"""However a file is damaged, it is read or refused by name, in time and within memory."""

import os
import time
from collections import Counter

import pytest

from planner.adapters.scores.reader import read_score
from planner.adapters.scores.worker import ScoreStudyPool
from planner.core.profile import PieceProfile
from planner.core.score import Score
from planner.errors import ScoreReadError
from planner.study.study import study
from tests.adapters.scores.mutations import damaged_copies
from tests.adapters.scores.test_reading import FOLDER
from tests.reference import reference_data

SEED = 20260907
LIMIT_S = 60.0
PATTERNS = (
    "robustness/testsuite/*", "robustness/osmd/*", "repeats/lomse/*.xml", "ensembles/chorale/*",
    "ensembles/choir/*", "ensembles/string_quartet/Mozart*", "difficulty/hymns/A*",
)  # fmt: skip


def small_sources():
    return sorted(FOLDER.glob("*.musicxml"))


def test_damaged_files_are_read_or_refused_by_name(tmp_path):
    outcomes = Counter()
    for path in damaged_copies(small_sources(), tmp_path, 250, SEED):
        began = time.perf_counter()
        try:
            score = read_score(path)
        except ScoreReadError as error:
            assert path.name in str(error)  # noqa: PT017
            outcomes["refused"] += 1
        else:
            assert isinstance(score, Score)
            assert all(
                note.onset_quarters >= 0 and note.duration_quarters >= 0
                for p in score.parts
                for note in p.notes
            )
            outcomes["read"] += 1
        assert time.perf_counter() - began < LIMIT_S
    assert min(outcomes["read"], outcomes["refused"]) > 50, outcomes


def test_the_same_seed_does_the_same_damage(tmp_path):
    first, second = tmp_path / "a", tmp_path / "b"
    first.mkdir()
    second.mkdir()
    made = [damaged_copies(small_sources(), folder, 20, 1) for folder in (first, second)]
    assert [p.read_bytes() for p in made[0]] == [p.read_bytes() for p in made[1]]


@pytest.mark.slow
def test_two_thousand_damaged_files_are_studied_or_refused_within_their_limits(tmp_path):
    data = reference_data()
    found = sorted(path for pattern in PATTERNS for path in data.glob(pattern))
    sources = small_sources() + [
        p for p in found if p.suffix in (".xml", ".musicxml", ".mxl") and p.stat().st_size
    ]
    paths = damaged_copies(sources, tmp_path, 2000, SEED)
    began = time.perf_counter()
    outcomes = dict(ScoreStudyPool(study, time_limit_s=LIMIT_S).study_files(paths))
    seconds = time.perf_counter() - began
    assert sorted(outcomes) == list(range(2000))
    kinds = Counter(type(outcome).__name__ for outcome in outcomes.values())
    print(f"{dict(kinds)} in {seconds:.0f} s on {os.cpu_count()} cores")
    for place, outcome in outcomes.items():
        if not isinstance(outcome, PieceProfile):
            assert isinstance(outcome, ScoreReadError)
            assert paths[place].name in str(outcome)
            assert not any(w in outcome.reason for w in ("longer than", "broke down", "memory")), str(outcome)
    faults = [str(o) for o in outcomes.values() if isinstance(o, ScoreReadError) and "studied (" in o.reason]
    assert not faults, faults[:5]
