"""Every kind of fact has its words."""

from planner.core.fact import FactKind
from planner.wording.study.sentences import SENTENCES


def test_every_kind_of_fact_has_one_sentence():
    assert set(SENTENCES) == set(FactKind)
