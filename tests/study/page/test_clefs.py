"""Clefs and key signatures that change."""

from dataclasses import replace

from planner.core.score import Clef, KeySignature
from planner.study.page.clefs import clef_facts
from planner.study.page.signatures import signature_facts
from tests.builders import make_part, make_score

FOUR = "C4*4 | C4*4 | C4*4 | C4*4"


def test_each_new_clef_of_a_staff_is_a_change():
    clefs = (Clef(0, "F", 4), Clef(1, "C", 4), Clef(2, "C", 4), Clef(3, "F", 4))
    [fact] = clef_facts(make_score(replace(make_part(FOUR), clefs=clefs)))
    assert (fact.places, fact.terms) == (((1, 1), (3, 3)), ("tenor", "bass"))
    assert fact.numbers == (("staves", 1), ("staff", 1), ("staff", 1))


def test_staves_do_not_mix():
    clefs = (Clef(0, "G", 2), Clef(0, "F", 4, staff=2), Clef(2, "G", 2, staff=2))
    [fact] = clef_facts(make_score(replace(make_part(FOUR), staves=2, clefs=clefs)))
    assert (fact.places, fact.terms, fact.each("staff")) == (((2, 2),), ("treble",), (2,))


def test_one_clef_throughout_is_not_spoken_of():
    assert list(clef_facts(make_score(make_part(FOUR)))) == []


def test_each_new_signature_is_a_change_and_a_repeated_one_none():
    keys = (KeySignature(0, -2), KeySignature(1, -2), KeySignature(2, 1), KeySignature(3, -2))
    [fact] = signature_facts(make_score(replace(make_part(FOUR), keys=keys)))
    assert (fact.places, fact.each("fifths"), fact.number("before")) == (((2, 2), (3, 3)), (1, -2), -2)
    assert list(signature_facts(make_score(make_part(FOUR)))) == []
