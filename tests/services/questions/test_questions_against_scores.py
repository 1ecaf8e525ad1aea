"""Every question that is asked of real scores is answered once more from the bare notes."""

from collections import Counter

import pytest

from planner.wording.questions import answer_words, question_words
from tests.reference import reference_data, sampled
from tests.services.questions.question_checks import asked_of
from tests.study.fact_checks import SAMPLES

QUICK = {"lightly-row"}
MOST_BYTES = 250_000
"""Of larger files the bare notes take too long to read. House choice."""


def check(path):
    """How many questions of a file were answered again, by kind; none may be answered wrongly or twice."""
    found = list(asked_of(path))
    wrong = [
        (
            each.question.part,
            question_words(each.question, each.profile),
            answer_words(each.question, each.profile),
        )
        for each in found
        if each.verdict is False
    ]
    assert wrong == []
    asked = Counter((each.question.part, question_words(each.question, each.profile)) for each in found)
    assert [question for question, times in asked.items() if times > 1] == []
    assert all(answer_words(each.question, each.profile).endswith(".") for each in found)
    return Counter(each.question.kind for each in found if each.verdict)


@pytest.mark.parametrize("path", [path for path in SAMPLES if path.stem in QUICK], ids=lambda path: path.stem)
def test_every_answer_about_a_sample_piece_is_right(path):
    assert check(path).total() > 60


@pytest.mark.slow
def test_every_answer_about_the_sample_library_is_right():
    counts = sum((check(path) for path in sampled(SAMPLES, 8)), Counter())
    assert counts.total() > 400


@pytest.mark.slow
def test_every_answer_about_songs_and_ensembles_is_right():
    data = reference_data()
    every = [path for folder in ("songs", "ensembles") for path in (data / folder).rglob("*.mxl")]
    paths = sampled(sorted(path for path in every if path.stat().st_size < MOST_BYTES), 12)
    counts = sum(map(check, paths), Counter())
    assert len(counts) > 15
    assert counts.total() > 12 * len(paths)
