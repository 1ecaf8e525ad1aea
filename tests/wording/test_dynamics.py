"""Dynamics in words."""

from dataclasses import replace

from planner.core.fact import Fact, FactKind, named
from planner.core.profile import DynamicUse
from planner.wording.study.sentences import sentence_of
from tests.fakes import make_profile


def sentence(fact, *uses):
    profile = make_profile(measure_numbers=tuple("12345678"))
    return sentence_of(fact, replace(profile, parts=(replace(profile.parts[0], dynamics=uses),)))


def test_marks_and_swells_are_named_with_their_bars():
    uses = DynamicUse(0, "mf"), DynamicUse(2, "crescendo", 3), DynamicUse(4, "f")
    fact = Fact(FactKind.DYNAMICS, "Flute", numbers=named(sudden=0))
    assert sentence(fact, *uses) == "Dynamics by bar: 1 mf, 3–4 crescendo, 5 f."


def test_swells_that_are_left_out_are_counted():
    uses = DynamicUse(0, "mf"), DynamicUse(2, "crescendo", 3), DynamicUse(4, "f")
    fact = Fact(FactKind.DYNAMICS, "Flute", numbers=named(sudden=0, swells=1))
    assert sentence(fact, *uses) == "Dynamics by bar: 1 mf, 5 f; and 1 swell."


def test_sudden_changes_follow_as_many_as_the_fact_says():
    uses = DynamicUse(0, "f"), DynamicUse(1, "p", None, "f"), DynamicUse(2, "ff", None, "p")
    fact = Fact(FactKind.DYNAMICS, "Flute", numbers=named(sudden=2))
    assert sentence(fact, *uses).endswith(" Sudden: f to p in bar 2 and p to ff in bar 3.")
    fewer = replace(fact, numbers=named(sudden=1))
    assert sentence(fewer, *uses).endswith(" Sudden: f to p in bar 2.")


def test_of_a_busy_page_the_extremes_are_named():
    fact = Fact(
        FactKind.DYNAMIC_EXTREMES,
        "Flute",
        places=((3, 3), (2, 2), (5, 5)),
        terms=("pp", "ff", "ff"),
        numbers=named(marks=24, swells=2, sudden=0),
    )
    assert sentence(fact) == "Dynamics from pp (bar 4) to ff (bars 3 and 6)."
    one = replace(fact, places=((3, 3),), terms=("pp",))
    assert sentence(one) == "Dynamics: pp (bar 4) is the only lasting mark."


def test_a_page_of_swells_alone_has_no_extremes():
    numbers = named(marks=0, swells=24, sudden=0)
    fact = Fact(FactKind.DYNAMIC_EXTREMES, "Flute", numbers=numbers)
    assert sentence(fact) == "Dynamics: swells only, no marks."
    accents = replace(fact, numbers=named(marks=3, swells=20, sudden=0))
    assert sentence(accents) == "Dynamics: swells and accents only, no lasting mark."


def test_a_bare_page_is_bare():
    assert sentence(Fact(FactKind.NO_DYNAMICS, "Flute")) == "No dynamics on the page."
