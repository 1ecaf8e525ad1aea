"""Sections, phrases and patterns of whole pieces, against the bare notes of their files."""

from dataclasses import replace

import pytest

from planner.core.fact import FactKind
from planner.core.profile import PatternKind
from tests.checks import some
from tests.reference import reference_folder, sampled
from tests.study.fact_checks import SAMPLES, is_comparable, read_twice, sample, verdicts
from tests.study.fact_checks_form import CHECKS, every_pattern, is_true_pattern

REFERENCE = reference_folder()
MOVEMENTS = sampled(sorted((REFERENCE / "ensembles").rglob("*.mxl")), 8) if REFERENCE else []
EVERY = [
    *(pytest.param(path, id=path.stem) for path in SAMPLES[::6]),
    *(
        pytest.param(path, id=path.stem, marks=pytest.mark.slow)
        for path in sampled((path for at, path in enumerate(SAMPLES) if at % 6), 8)
    ),
    *(pytest.param(path, id=path.stem[:40], marks=pytest.mark.slow) for path in MOVEMENTS),
]


CHOSEN = ("lantern-street", "switchback", "quiet-harbor")


@pytest.mark.parametrize("path", EVERY)
def test_every_fact_about_form_and_every_pattern_is_in_the_notes(path):
    bare, profile = read_twice(path)
    if not is_comparable(bare, profile):
        pytest.skip("the reader divides the parts or bars of this file in its own way")
    assert [fact for fact, is_true in verdicts(CHECKS, bare, profile) if not is_true] == []
    assert [found for *found, is_true in every_pattern(bare, profile) if not is_true] == []


def test_the_sample_pieces_have_patterns_of_every_kind_to_check():
    found = [pattern.kind for name in CHOSEN for _, pattern, _ in every_pattern(*sample(name))]
    assert set(found) == set(PatternKind)
    assert len(found) > 200


def false_form(profile):
    """A profile whose second section ends a bar early."""
    first, second, *rest = profile.form
    return replace(profile, form=(first, replace(second, end_measure=second.end_measure - 1), *rest))


def false_phrases(profile):
    """A profile whose first phrase is a bar longer than it was."""
    first, *rest = profile.phrases
    return replace(profile, phrases=(replace(first, end_measure=first.end_measure + 1), *rest))


def false_share(profile):
    """A profile in which every note of every part stands in patterns."""
    facts = (
        replace(fact, numbers=(("share", 1.0),)) if fact.kind is FactKind.IN_PATTERNS else fact
        for fact in profile.facts
    )
    return replace(profile, facts=tuple(facts))


@pytest.mark.parametrize(
    ("kind", "falsify"),
    [
        (FactKind.SECTIONS, false_form),
        (FactKind.PHRASES, false_phrases),
        (FactKind.IN_PATTERNS, false_share),
    ],
)
def test_a_false_fact_about_form_is_found(kind, falsify):
    bare, profile = sample("fairground-march")
    found = [is_true for fact, is_true in verdicts(CHECKS, bare, falsify(profile)) if fact.kind is kind]
    assert False in found


def test_a_false_return_of_the_opening_is_found():
    bare, profile = sample("quiet-harbor")
    [fact] = [fact for fact in profile.facts if fact.kind is FactKind.OPENING_RETURNS]
    assert CHECKS[fact.kind](bare, profile, fact)
    late = tuple((first + 1, last + 1) for first, last in fact.places)
    assert not CHECKS[fact.kind](bare, profile, replace(fact, places=late))


def a_bar_later(pattern):
    """The pattern with its last place a bar later."""
    first, last = pattern.places[-1]
    return replace(pattern, places=(*pattern.places[:-1], (first + 1, last + 1)))


def one_note_more(pattern):
    return replace(pattern, notes=pattern.notes + 1)


def a_step_higher(pattern):
    return replace(pattern, steps=tuple(step + 1 for step in pattern.steps))


def an_octave_off(pattern):
    return replace(
        pattern, octaves=tuple(each + 1 for each in pattern.octaves) or (0,) * len(pattern.with_parts)
    )


def once_more(pattern):
    return replace(pattern, times=pattern.times + 1)


@pytest.mark.parametrize(
    ("kind", "falsify"),
    [
        (PatternKind.UNISON, a_bar_later),
        (PatternKind.UNISON, an_octave_off),
        (PatternKind.REPEAT, a_bar_later),
        (PatternKind.RHYTHM, a_bar_later),
        (PatternKind.RHYTHM, one_note_more),
        (PatternKind.SEQUENCE, a_step_higher),
        (PatternKind.SEQUENCE, one_note_more),
        (PatternKind.OSTINATO, once_more),
        (PatternKind.OSTINATO, one_note_more),
    ],
)
def test_false_patterns_are_found(kind, falsify):
    """A true pattern moved by a bar may be true there too, since patterns repeat: most are not."""
    verdicts_on_lies = [
        is_true_pattern(bare, profile, part.name, falsify(pattern))
        for bare, profile in map(sample, CHOSEN)
        for part in profile.parts
        for pattern in part.patterns
        if pattern.kind is kind and pattern.places[-1][1] + 1 < profile.measures
    ]
    assert verdicts_on_lies.count(False) > 0.6 * len(verdicts_on_lies) > 0


def test_a_coda_and_an_introduction_have_their_names():
    _, profile = sample("lantern-street")
    assert [(each.label, each.measure, each.end_measure) for each in profile.form] == [
        ("introduction", 0, 3), ("A", 4, 11), ("A", 12, 19), ("C", 20, 27), ("C", 28, 35), ("coda", 36, 41)
    ]  # fmt: skip


def test_a_second_ending_belongs_to_the_strain_that_it_ends():
    _, profile = sample("fairground-march")
    strains = [(each.label, each.measure, each.end_measure) for each in profile.form]
    assert {("A", 4, 13), ("B", 14, 21), ("Trio", 22, 29), ("Trio", 30, 37)} <= set(strains)


def test_no_part_is_flooded_with_patterns():
    _, profile = sample("lantern-street")
    for part in some(profile.parts):
        kinds = [fact.kind for fact in profile.facts if fact.part == part.name]
        assert kinds.count(FactKind.PATTERN) <= 4
        assert kinds.count(FactKind.IN_PATTERNS) <= 1
