"""The floors under the truth of what sheets state; ``study_figures truth`` prints the figures."""

import json

import pytest

from tests.benchmarks import truth
from tests.checks import some
from tests.reference import reference_data, sampled
from tests.study.statement_checks import JUDGED, is_countable

pytestmark = pytest.mark.slow


def test_no_statement_on_a_sheet_that_counting_can_settle_is_false():
    reference_data()
    every = [each for path in sampled(truth.paths(), 16) for each in truth.judged(path)]
    countable = [each for each in some(every) if is_countable(each.stated)]
    assert [each.stated.sentence for each in countable if each.verdict is False] == []
    assert sum(each.verdict is True for each in countable) > 0.95 * len(countable)


def test_no_kind_that_counting_can_settle_is_stated_less_often_than_before():
    reference_data()
    before, now = json.loads(truth.BEFORE.read_text(encoding="utf-8")), truth.count_files()
    assert len(before.keys() & now.keys()) == len(before)
    assert [kind for kind in truth.stated_less(before, now) if kind not in JUDGED] == []
