"""However a file is damaged, it is read or refused by name, in time and within memory."""

from collections import Counter

import pytest

from planner.adapters.scores.reader import read_score
from planner.adapters.scores.worker import ScoreStudyPool
from planner.core.score import Score
from planner.errors import ScoreReadError
from planner.services.ports.scores import Studied
from planner.study.study import study
from tests.adapters.scores.mutations import damaged_copies
from tests.adapters.scores.test_reading import FOLDER
from tests.reference import reference_data, sampled

SEED = 20260907
LIMIT_S = 600.0
"""A file that is never finished with is refused at this limit, and the test fails."""
PATTERNS = (
    "robustness/testsuite/*", "robustness/osmd/*", "repeats/lomse/*.xml", "ensembles/chorale/*",
    "ensembles/choir/*", "ensembles/string_quartet/Mozart*", "difficulty/hymns/A*",
)  # fmt: skip


def small_sources():
    return sorted(FOLDER.glob("*.musicxml"))


def test_damaged_files_are_read_or_refused_by_name(tmp_path):
    outcomes = Counter()
    for path in damaged_copies(small_sources(), tmp_path, 250, SEED):
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
    assert min(outcomes["read"], outcomes["refused"]) > 50, outcomes


def test_the_same_seed_does_the_same_damage(tmp_path):
    first, second = tmp_path / "a", tmp_path / "b"
    first.mkdir()
    second.mkdir()
    made = [damaged_copies(small_sources(), folder, 20, 1) for folder in (first, second)]
    assert [p.read_bytes() for p in made[0]] == [p.read_bytes() for p in made[1]]


@pytest.mark.slow
def test_many_damaged_files_are_studied_or_refused_within_their_limits(tmp_path):
    data = reference_data()
    found = sorted(path for pattern in PATTERNS for path in data.glob(pattern))
    sources = small_sources() + [
        p for p in found if p.suffix in (".xml", ".musicxml", ".mxl") and p.stat().st_size
    ]
    paths = sampled(damaged_copies(sources, tmp_path, 2000, SEED), 250)
    outcomes = dict(ScoreStudyPool(study, time_limit_s=LIMIT_S).study_files(paths))
    assert sorted(outcomes) == list(range(len(paths)))
    assert Counter(type(outcome) for outcome in outcomes.values())[Studied] > len(paths) // 4
    for place, outcome in outcomes.items():
        if not isinstance(outcome, Studied):
            assert isinstance(outcome, ScoreReadError)
            assert paths[place].name in str(outcome)
            assert not any(w in outcome.reason for w in ("longer than", "broke down", "memory")), str(outcome)
    faults = [str(o) for o in outcomes.values() if isinstance(o, ScoreReadError) and "studied (" in o.reason]
    assert not faults, faults[:5]
