"""Accidentals and expression of whole pieces, against the bare pages of their files."""

from dataclasses import replace

import pytest

from planner.core.fact import FactKind
from planner.core.profile import AccidentalKind
from tests.checks import some
from tests.reference import reference_folder, sampled
from tests.study.fact_checks import SAMPLES, is_comparable, read_twice, sample, verdicts
from tests.study.fact_checks_page import CHECKS, is_read_alike, is_true_accidental

REFERENCE = reference_folder()
MOVEMENTS = sampled(sorted((REFERENCE / "ensembles").rglob("*.mxl")), 8) if REFERENCE else []
EVERY = [
    *(pytest.param(path, id=path.stem) for path in SAMPLES[1::6]),
    *(
        pytest.param(path, id=path.stem, marks=pytest.mark.slow)
        for path in sampled((path for at, path in enumerate(SAMPLES) if at % 6 != 1), 8)
    ),
    *(pytest.param(path, id=path.stem[:40], marks=pytest.mark.slow) for path in MOVEMENTS),
]


@pytest.mark.parametrize("path", EVERY)
def test_every_fact_about_the_page_is_on_the_page(path):
    bare, profile = read_twice(path)
    if not is_comparable(bare, profile):
        pytest.skip("the reader divides the parts or bars of this file in its own way")
    found = list(verdicts(CHECKS, bare, profile))
    assert len(found) > len(profile.parts)
    assert [fact for fact, is_true in found if is_true is False] == []


def one_part_changed(profile, change):
    """Profiles each with one part that a change falsifies."""
    for part in profile.parts:
        changed = change(part)
        if changed != part:
            yield replace(profile, parts=tuple(changed if each is part else each for each in profile.parts))


def louder(part):
    """The part with its first mark a fortissimo."""
    uses = [replace(use, mark="fff") if at == 0 else use for at, use in enumerate(part.dynamics)]
    return replace(part, dynamics=tuple(uses))


def one_accent_more(part):
    found = [replace(each, count=each.count + 1) for each in part.articulations[:1]]
    return replace(part, articulations=(*found, *part.articulations[1:]))


@pytest.mark.parametrize(
    ("kind", "change"), [(FactKind.DYNAMICS, louder), (FactKind.ARTICULATIONS, one_accent_more)]
)
def test_a_false_value_of_a_part_is_found(kind, change):
    bare, profile = sample("lantern-street")
    falsified = list(one_part_changed(profile, change))
    assert falsified
    for false in falsified:
        found = [is_true for fact, is_true in verdicts(CHECKS, bare, false) if fact.kind is kind]
        assert False in found


def later(fact):
    return replace(fact, places=tuple((first + 1, last + 1) for first, last in fact.places))


def with_number(name, by):
    def change(fact):
        numbers = ((key, value + by if key == name else value) for key, value in fact.numbers)
        return replace(fact, numbers=tuple(numbers))

    return change


@pytest.mark.parametrize(
    ("piece", "kind", "change"),
    [
        ("lantern-street", FactKind.OUTSIDE_SIGNATURE, with_number("more", 1)),
        ("lantern-street", FactKind.IN_SIGNATURE, with_number("fifths", 1)),
        ("sakura", FactKind.FERMATAS, later),
        ("lantern-street", FactKind.WORDS, later),
        ("crosswind", FactKind.DYNAMIC_EXTREMES, later),
    ],
)
def test_a_false_fact_about_the_page_is_found(piece, kind, change):
    bare, profile = sample(piece)
    facts = [fact for fact in profile.facts if fact.kind is kind]
    assert facts
    assert [CHECKS[kind](bare, profile, fact) for fact in facts] == [True] * len(facts)
    assert [CHECKS[kind](bare, profile, change(fact)) for fact in facts] == [False] * len(facts)


def test_a_bare_page_is_not_said_of_a_part_with_dynamics():
    bare, profile = sample("lantern-street")
    marked = [fact for fact in profile.facts if fact.kind is FactKind.DYNAMICS]
    assert marked
    assert not any(CHECKS[FactKind.NO_DYNAMICS](bare, profile, fact) for fact in marked)


def a_bar_later(use):
    return replace(use, measure=use.measure + 1, measures=tuple(bar + 1 for bar in use.measures))


def once_more(use):
    return replace(use, times=use.times + 1)


def raised(use):
    return replace(use, pitch=f"{use.pitch}#")


@pytest.mark.parametrize(
    ("kind", "change"),
    [
        (AccidentalKind.FIRST, a_bar_later),
        (AccidentalKind.FIRST, once_more),
        (AccidentalKind.AGAIN, raised),
        (AccidentalKind.COURTESY, raised),
        (AccidentalKind.ENHARMONIC, raised),
    ],
)
def test_a_false_accidental_is_found(kind, change):
    lies = []
    for bare, profile in map(sample, ("lantern-street", "corner-cafe", "kites-in-march")):
        for paper, part in zip(bare.parts, profile.parts, strict=True):
            for use in part.accidentals:
                if (
                    use.kind is kind
                    and is_read_alike(paper, part)
                    and use.measures[-1] + 1 < profile.measures
                ):
                    assert is_true_accidental(paper, use)
                    lies.append(is_true_accidental(paper, change(use)))
    assert lies
    assert not any(lies)


def test_no_part_is_flooded_with_accidentals():
    _, profile = sample("lantern-street")
    kinds = (FactKind.OUTSIDE_SIGNATURE, FactKind.STILL_ALTERED, FactKind.REMINDERS)
    for fact in some(fact for fact in profile.facts if fact.kind in kinds):
        assert 0 < len(fact.notes) <= 4
