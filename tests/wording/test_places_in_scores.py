"""No sentence about any score names a bar that is not on its page, or shows markup."""

import re

import pytest

from planner.adapters.scores.reader import read_score
from planner.study.study import study
from planner.wording.study_json import study_to_dict
from tests.reference import reference_folder, sampled
from tests.study.fact_checks import SAMPLES, sample

REFERENCE = reference_folder()
SCORES = [
    path
    for folder in ("songs", "ensembles", "melody_ccbysa")
    for path in (sampled(sorted((REFERENCE / folder).rglob("*.mxl")), 6) if REFERENCE else [])
]
WRONG = re.compile(
    r"\b[Bb]ars? 0\b|\b[Bb]ars? (?:the|X|pickup)|\bX\d|\b(\d+)–\1\b|\b[Bb]ar \d+[a-z]\b"
    r"|</?[A-Za-z][^<>]*>|&#?\w+;|[\ue000-\uf8ff]"
)
"""Number 0, a number that is none, a span from a bar to itself, markup, entities, signs of a music font."""


def said_of(profile):
    data = study_to_dict(profile)
    yield from (data["title"], data["composer"], data["rights"], data["roadmap"]["spoken"])
    yield from (each["sentence"] for each in [*data["statements"], *data["issues"]])
    for part in data["parts"]:
        yield part["name"]
        yield from (each["why"] for each in [*part["spots"], *part["patterns"], *part["contributions"]])


@pytest.mark.parametrize("path", SAMPLES[::8], ids=lambda path: path.stem)
def test_no_sentence_of_the_sample_library(path):
    said = list(said_of(sample(path.stem)[1]))
    assert len(said) > 20
    assert not [sentence for sentence in said if WRONG.search(sentence)]


@pytest.mark.slow
@pytest.mark.parametrize("path", SCORES, ids=lambda path: path.stem[:40])
def test_no_sentence_of_a_score_nobody_here_wrote(path):
    profile = study(read_score(path))
    said = list(said_of(profile))
    if profile.measure_numbers[0] == "0" and 0 not in profile.uncounted:  # a full bar of that number
        said = [re.sub(r"\b([Bb]ars?) 0\b", r"\1 1", sentence) for sentence in said]
    assert len(said) > 20
    assert not [sentence for sentence in said if WRONG.search(sentence)]


@pytest.mark.parametrize(
    "sentence", ["Bar 0: run.", "bars X1–4", "Bars 8–8: run.", "<b>dolce</b>", "in bar 12a"]
)
def test_a_sentence_that_does_is_found(sentence):
    assert WRONG.search(sentence)
