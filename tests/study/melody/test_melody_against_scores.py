"""What is said of the tune, against the bare notes and the sources of the sample library."""

from dataclasses import replace

import pytest

from planner.core.fact import FactKind
from planner.core.profile import PatternKind
from tests.benchmarks import melody as figures
from tests.checks import some
from tests.reference import reference_data, sampled
from tests.study.fact_checks import SAMPLES, is_comparable, read_twice, sample, verdicts
from tests.study.fact_checks_form import every_pattern
from tests.study.fact_checks_melody import CHECKS

CHOSEN = ("lantern-street", "brother-johns-round", "quiet-harbor", "six-small-steps")


@pytest.mark.parametrize("name", CHOSEN)
def test_nothing_false_is_said_of_the_tune_in_sample_pieces(name):
    found = list(verdicts(CHECKS, *sample(name)))
    assert len(found) > 8
    assert [fact for fact, verdict in found if not verdict] == []


def a_bar_later(fact):
    places = tuple((first + 1, last + 1) for first, last in fact.places)
    return replace(fact, places=places)


def a_phrase_later(fact):
    return replace(fact, places=tuple((first + 4, last + 4) for first, last in fact.places))


def another_part(fact):
    return replace(fact, parts=(fact.part,))


def a_step_higher(fact):
    numbers = tuple((name, each + (name == "steps")) for name, each in fact.numbers)
    return replace(fact, numbers=numbers)


@pytest.mark.parametrize(
    ("kind", "falsify"),
    [
        (FactKind.HAS_TUNE, a_phrase_later),
        (FactKind.DOUBLES_TUNE, a_bar_later),
        (FactKind.DOUBLES_TUNE, another_part),
        (FactKind.ACCOMPANIES, another_part),
        (FactKind.ANSWERS, a_step_higher),
        (FactKind.ANSWERS, another_part),
    ],
)
def test_false_facts_about_the_tune_are_found(kind, falsify):
    """A true fact moved by a bar may be true there too: most are not."""
    lies = [
        CHECKS[kind](bare, profile, falsify(fact))
        for bare, profile in map(sample, CHOSEN)
        for fact in profile.facts
        if fact.kind is kind and all(last + 4 < profile.measures for _, last in fact.places)
    ]
    assert lies.count(False) > 0.6 * len(lies) > 0


def test_who_is_handed_the_tune_by_the_source_has_it():
    """Of all bars of the pieces that the weights were not learned from; the sheets speak of fewer."""
    held = [each for each in figures.sample_tunes() if each.held]
    assert len(held) == 18
    assert figures.band_share() >= 0.88


@pytest.mark.slow
@pytest.mark.parametrize("path", sampled(SAMPLES, 10), ids=lambda path: path.stem)
def test_nothing_false_is_said_of_the_tune_in_other_sample_pieces(path):
    assert [fact for fact, verdict in verdicts(CHECKS, *read_twice(path)) if not verdict] == []


@pytest.mark.slow
def test_nothing_false_is_said_of_the_tune_or_of_unisons_in_real_scores():
    data = reference_data()
    every = [
        path for folder in ("ensembles", "songs", "melody_ccbysa") for path in (data / folder).rglob("*.mxl")
    ]
    checked = 0
    for path in some(sampled(sorted(every), 20)):
        bare, profile = read_twice(path)
        if is_comparable(bare, profile):
            found = list(verdicts(CHECKS, bare, profile))
            assert [(path.name, fact) for fact, verdict in found if not verdict] == []
            checked += len(found)
            doubled = [each for each in every_pattern(bare, profile) if each[1].kind is PatternKind.UNISON]
            assert [(path.name, each) for each in doubled if not each[2]] == []
    assert checked > 10
