"""Every spot of the sample pieces is checked against the bare notes of its file, and lies are found out."""

from collections import Counter
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from planner.adapters.scores.reader import read_score
from planner.core.difficulty import ChallengeKind
from planner.core.fact import FactKind
from planner.study.study import study
from tests.reference import reference_data, sampled
from tests.study.bare_score import read_bare
from tests.study.fact_checks_spots import CHECKS, checked_parts, compass_of, verdicts_for_spots

SAMPLES = sorted((Path(__file__).resolve().parents[3] / "sample_library").glob("*.mxl"))
NAMES = {"bright-morning-overture", "fairground-march", "hall-of-the-mountain-king"}
QUICK = [path for path in SAMPLES if path.stem in NAMES]
OTHERS = [path for path in SAMPLES if path not in QUICK]


@cache
def studied(path):
    return study(read_score(path)), read_bare(path)


def check(path):
    """How many challenges were checked, none of which may be false."""
    profile, bare = studied(path)
    found = list(verdicts_for_spots(bare, profile))
    assert [(part.name, challenge) for part, challenge, verdict in found if verdict is False] == []
    return Counter(verdict for _, _, verdict in found)[True]


@pytest.mark.parametrize("path", QUICK, ids=lambda path: path.stem)
def test_every_challenge_of_three_sample_pieces_is_in_the_score(path):
    assert check(path) > 40


@pytest.mark.slow
@pytest.mark.parametrize("path", OTHERS, ids=lambda path: path.stem)
def test_every_challenge_of_the_other_sample_pieces_is_in_the_score(path):
    assert check(path) >= 10


@pytest.mark.slow
def test_every_challenge_of_real_scores_is_in_the_score():
    """A minuet whose quarters run by at five a second is in every sample."""
    folders = [reference_data() / "ensembles" / name for name in ("orchestra", "string_quartet")]
    paths = [path for folder in folders for path in sorted(folder.glob("*.mxl"))]
    checked = 0
    for path in sampled(paths, 8, always=[path for path in paths if path.stem == "Beethoven_Op.21_3"]):
        numbers = read_bare(path).numbers
        if len(set(numbers)) == len(numbers):
            checked += check(path)
    assert checked > 100


@pytest.mark.parametrize("path", QUICK, ids=lambda path: path.stem)
def test_every_spot_is_a_fact_of_its_part(path):
    profile, _ = studied(path)
    facts = {(f.part, f.places, f.terms) for f in profile.facts if f.kind == FactKind.SPOT}
    spots = {(p.name, ((s.measure, s.end_measure),), s.kinds) for p in profile.parts for s in p.spots}
    assert facts == spots
    assert len(spots) > 20


@pytest.mark.parametrize("path", QUICK, ids=lambda path: path.stem)
def test_the_compass_of_each_part_is_what_stands_in_its_file(path):
    profile, bare = studied(path)
    compared = [(part.name, compass_of(bare_part), part.written_range)
                for bare_part, part in checked_parts(bare, profile)]  # fmt: skip
    assert len(compared) > 5
    assert [each for each in compared if each[1] != each[2]] == []


def numbers_plus(add):
    return lambda it: replace(it, numbers=tuple((name, value + add) for name, value in it.numbers))


LIES = {
    ChallengeKind.RUN: numbers_plus(40),
    ChallengeKind.SYNCOPATION: numbers_plus(20),
    ChallengeKind.WIDE_LEAP: lambda it: replace(it, notes=(it.notes[0], "C9")),
    ChallengeKind.REGISTER_CHANGE: numbers_plus(2),
    ChallengeKind.ACCIDENTAL_CLUSTER: numbers_plus(9),
    ChallengeKind.ENTRANCE_AFTER_REST: numbers_plus(-1),
    ChallengeKind.EXPOSED_ENTRANCE: lambda it: replace(it, measure=it.measure + 1),
    ChallengeKind.SUDDEN_DYNAMIC: lambda it: replace(it, terms=it.terms[::-1]),
    ChallengeKind.METER_CHANGE: lambda it: replace(it, terms=("7/16",)),
    ChallengeKind.KEY_CHANGE: numbers_plus(1),
    ChallengeKind.BREAK_CROSSING: numbers_plus(20),
    ChallengeKind.SLIDE_MOVE: numbers_plus(40),
    ChallengeKind.VALVE_CHANGE: numbers_plus(40),
}
"""By kind, how a true challenge is made a false one."""


@pytest.mark.parametrize("kind", LIES, ids=str)
def test_a_false_challenge_is_found_out(kind):
    """Each true challenge of the kind in the quick pieces is made false, and found to be so."""
    tried = 0
    for path in QUICK:
        profile, bare = studied(path)
        for part, challenge, verdict in verdicts_for_spots(bare, profile):
            if challenge.kind == kind and verdict:
                assert CHECKS[kind](bare, part, LIES[kind](challenge)) is False
                tried += 1
    assert tried
