"""Every sentence that can be checked by counting is checked against the bare notes of its file."""

from collections import Counter
from functools import cache
from pathlib import Path

import pytest

from planner.adapters.scores.reader import read_score
from planner.study.study import study
from planner.wording.study.sentences import statements_of
from tests.checks import some
from tests.reference import reference_data, sampled
from tests.study import fact_checks, fact_checks_form, fact_checks_melody, fact_checks_page
from tests.study.bare_score import read_bare
from tests.study.fact_checks import is_comparable

SAMPLES = sorted((Path(__file__).resolve().parents[2] / "sample_library").glob("*.mxl"))
CHECKS = {**fact_checks_form.CHECKS, **fact_checks_melody.CHECKS, **fact_checks_page.CHECKS}
QUICK = {"lantern-street", "fairground-march", "quiet-harbor"}


def verdicts(path):
    """Place, sentence or fact, and verdict of everything the study has to say about a file."""
    profile, bare = study(read_score(path)), read_bare(path)
    assert is_comparable(bare, profile)
    return [
        *((fact.part, fact, verdict) for fact, verdict in fact_checks.verdicts(CHECKS, bare, profile)),
    ]


def check(path):
    """How many statements were checked, none of which may be false."""
    found = verdicts(path)
    assert [(place, sentence) for place, sentence, verdict in found if verdict is False] == []
    return Counter(verdict for _, _, verdict in found)[True]


@pytest.mark.parametrize("path", [p for p in SAMPLES if p.stem in QUICK], ids=lambda path: path.stem)
def test_nothing_false_is_said_of_three_sample_pieces(path):
    assert check(path) > 100


@pytest.mark.slow
@pytest.mark.parametrize(
    "path", sampled((p for p in SAMPLES if p.stem not in QUICK), 10), ids=lambda path: path.stem
)
def test_nothing_false_is_said_of_the_other_sample_pieces(path):
    assert check(path) > 40


def is_numbered_once(path):
    """False for a file of several movements, in which a bar number does not tell the bar."""
    numbers = read_bare(path).numbers
    return len(set(numbers)) == len(numbers)


@pytest.mark.slow
def test_nothing_false_is_said_of_real_scores():
    data = reference_data() / "ensembles"
    every = [path for folder in ("orchestra", "string_quartet") for path in (data / folder).glob("*.mxl")]
    paths = sampled(sorted(filter(is_numbered_once, every)), 4)
    assert paths
    assert sum(map(check, paths)) > 100 * len(paths)


@cache
def lantern_street():
    [path] = [path for path in SAMPLES if path.stem == "lantern-street"]
    return statements_of(study(read_score(path))), read_bare(path)


def test_no_part_is_flooded():
    statements, bare = lantern_street()
    for part in some(bare.parts):
        own = Counter(s.topic for s in statements if s.part == part.name)
        assert own["spots"] <= 5
        assert own["accidentals"] <= 8
