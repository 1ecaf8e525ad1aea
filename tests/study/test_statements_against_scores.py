"""Every sentence that can be checked by counting is checked against the bare notes of its file."""

import re
from collections import Counter
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from planner.adapters.scores.reader import read_score
from planner.study.study import study
from planner.wording.sentences import statements_of
from tests.checks import some
from tests.reference import reference_data, sampled
from tests.study.bare_score import read_bare
from tests.study.statement_checks import verdicts_for_all, verdicts_for_parts

SAMPLES = sorted((Path(__file__).resolve().parents[2] / "sample_library").glob("*.mxl"))
QUICK = {"lantern-street", "fairground-march", "quiet-harbor"}


def verdicts(path):
    """Place, sentence and verdict of every statement about a file."""
    profile, bare = study(read_score(path)), read_bare(path)
    return [
        *verdicts_for_all(bare, statements_of(profile)),
        *verdicts_for_parts(bare, statements_of(profile)),
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
@pytest.mark.parametrize(
    "path", sampled((p for p in SAMPLES if p.stem not in QUICK), 10), ids=lambda path: path.stem
)
def test_nothing_false_is_said_of_the_other_sample_pieces(path):
    assert check(path) > 60


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
    return statements_of(study(read_score(path))), read_bare(path)


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


@pytest.mark.parametrize(
    "sentence",
    [
        "Bars 21–36: concert B♭ major, the relative major.",  # the coda begins in the home key
        "Full close in concert B♭ major in bar 28.",
        "Sections: introduction (bars 1–4), A (bars 5–12), A′ (bars 13–20), B (bars 21–36), "
        "coda (bars 37–42).",
    ],
)
def test_what_a_musician_reads_in_the_score_is_said(sentence):
    assert sentence in [s.sentence for s in lantern_street()[0]]


def test_no_close_is_told_where_a_phrase_sets_out():
    told = [s.sentence for s in lantern_street()[0] if " close in " in s.sentence and not s.part]
    assert told
    assert not [sentence for sentence in told if re.search(r"in bar (25|33)\.", sentence)]


def test_a_second_ending_belongs_to_the_strain_that_it_ends():
    [path] = [path for path in SAMPLES if path.stem == "fairground-march"]
    [form] = [s.sentence for s in statements_of(study(read_score(path))) if s.sentence.startswith("Sections")]
    assert "A (bars 5–14), B (bars 15–22), C (bars 23–38)" in form


@pytest.mark.slow
def test_a_pedal_does_not_turn_a_key_into_its_neighbour():
    """Beethoven, op. 21, third movement, bars 21–36: D flat major, with C natural in the bass line."""
    [path] = sorted((reference_data() / "ensembles" / "orchestra").glob("Beethoven_Op.21_3.mxl"))
    told = [s.sentence for s in statements_of(study(read_score(path))) if s.topic == "key"]
    assert "Bars 21–36: concert D♭ major." in told
    assert not [sentence for sentence in told if "G♭ major" in sentence]


def test_no_part_is_flooded():
    statements, bare = lantern_street()
    for part in some(bare.parts):
        own = Counter(s.topic for s in statements if s.part == part.name)
        assert own["patterns"] <= 5
        assert own["spots"] <= 5
        assert own["accidentals"] <= 8
