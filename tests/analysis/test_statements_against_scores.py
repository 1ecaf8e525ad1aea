"""Every sentence that can be checked by counting is checked against the bare notes of its file."""

import re
from collections import Counter
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from planner.adapters.scores.reader import read_score
from planner.analysis.study import study
from tests.analysis.bare_score import read_bare
from tests.analysis.statement_checks import verdicts_for_all, verdicts_for_parts
from tests.reference import reference_data

SAMPLES = sorted((Path(__file__).resolve().parents[2] / "sample_library").glob("*.mxl"))
QUICK = {"lantern-street", "fairground-march", "quiet-harbor"}


def verdicts(path):
    """Place, sentence and verdict of every statement about a file."""
    profile, bare = study(read_score(path)), read_bare(path)
    return [
        *verdicts_for_all(bare, profile.statements),
        *verdicts_for_parts(bare, profile.statements),
    ]


def check(path):
    """How many statements were checked, none of which may be false."""
    found = verdicts(path)
    assert [(place, sentence) for place, sentence, verdict in found if verdict is False] == []
    return Counter(verdict for _, _, verdict in found)[True]


@pytest.mark.parametrize("path", [p for p in SAMPLES if p.stem in QUICK], ids=lambda path: path.stem)
def test_nothing_false_is_said_of_three_sample_pieces(path):
    assert check(path) > 120


@pytest.mark.slow
@pytest.mark.parametrize("path", [p for p in SAMPLES if p.stem not in QUICK], ids=lambda path: path.stem)
def test_nothing_false_is_said_of_the_other_sample_pieces(path):
    assert check(path) > 60


def is_numbered_once(path):
    """False for a file of several movements, in which a bar number does not tell the bar."""
    numbers = read_bare(path).numbers
    return len(set(numbers)) == len(numbers)


@pytest.mark.slow
def test_nothing_false_is_said_of_real_scores():
    checked = 0
    for folder in ("orchestra", "string_quartet"):
        for path in sorted((reference_data() / "ensembles" / folder).glob("*.mxl")):
            if is_numbered_once(path):
                checked += check(path)
    assert checked > 1200


LIES = (
    (r"bars 5–20", "bars 5–24"),
    (r"(\d+)–(\d+) come again, the same, in bars \d+–\d+", r"\1–\2 come again, the same, in bars 1–4"),
    (r"G♯ first in bar 8", "G♯ first in bar 9"),
    (r"F♯ in bars 16–19, twice", "F♯ in bars 16–19, three times"),
    (r"in bar 40 you have G,", "in bar 40 you have A♭,"),
    (r"Bar 13: entrance after 12 bars", "Bar 13: entrance after 14 bars"),
    (r"from B♭4 to G5", "from B♭4 to F5"),
    (r"5 mf, 11–12", "5 ff, 11–12"),
    (r"(\d+) slurs", "77 slurs"),
    (r"Bars 21–36: concert B♭ major", "Bars 21–36: concert E major"),
    (r"A′ \(bars 13–20\)", "A′ (bars 13–19)"),
    (r"42 bars are written", "43 bars are written"),
    (r"about 1 min 53 s", "about 2 min 53 s"),
)


@cache
def lantern_street():
    [path] = [path for path in SAMPLES if path.stem == "lantern-street"]
    return study(read_score(path)).statements, read_bare(path)


@pytest.mark.parametrize(("truth", "lie"), LIES)
def test_a_planted_mistake_is_found(truth, lie):
    statements, bare = lantern_street()
    said = [
        replace(s, sentence=re.sub(truth, lie, s.sentence))
        for s in statements
        if re.search(truth, s.sentence)
    ]
    assert said
    found = [*verdicts_for_all(bare, said), *verdicts_for_parts(bare, said)]
    assert [verdict for _, _, verdict in found if verdict is False]
