"""Meter and tempo in words."""

from planner.core.fact import Fact, FactKind
from planner.wording.sentences import sentence_of
from tests.fakes import make_profile


def test_a_passage_against_its_meter():
    fact = Fact(FactKind.AGAINST_METER, places=((0, 1),), terms=("hemiola",))
    said = sentence_of(fact, make_profile(measure_numbers=("1", "2")))
    assert said == "Bars 1–2: two bars of 3/4 move as three half notes (hemiola)."
