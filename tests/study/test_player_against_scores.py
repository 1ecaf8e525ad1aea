"""What is said of breaths, high notes, signatures, clefs, accents and common rhythms, against bare files."""

from collections import Counter
from dataclasses import replace

import pytest

from planner.core.fact import FactKind
from tests.reference import reference_data, sampled
from tests.study.fact_checks import SAMPLES, is_comparable, read_twice, sample, verdicts
from tests.study.fact_checks_player import CHECKS

WHATEVER_STAVES = {FactKind.CLEF_CHANGES}
QUICK = ("fairground-march", "bright-morning-overture", "crosswind", "quiet-harbor")


def check(path):
    """How many facts of each kind were checked, none of which may be false."""
    bare, profile = read_twice(path)
    if not is_comparable(bare, profile):
        return Counter()
    one_staff = {
        part.name for part, own in zip(profile.parts, bare.parts, strict=True) if own.staves == 1
    } | {""}
    found = [
        (fact, is_true)
        for fact, is_true in verdicts(CHECKS, bare, profile)
        if fact.kind in WHATEVER_STAVES or fact.part in one_staff
    ]
    assert [fact for fact, is_true in found if is_true is False] == []
    return Counter(fact.kind for fact, _ in found)


@pytest.mark.parametrize("name", QUICK)
def test_what_is_said_to_players_is_true_of_sample_pieces(name):
    [path] = [path for path in SAMPLES if path.stem == name]
    assert check(path).total() > 5


@pytest.mark.slow
def test_what_is_said_to_players_is_true_of_real_scores():
    every = [path for folder in ("ensembles", "songs") for path in (reference_data() / folder).rglob("*.mxl")]
    kinds = sum(map(check, sampled(sorted(every), 12)), Counter())
    assert kinds[FactKind.HIGHEST_NOTE] > 10
    assert kinds[FactKind.BREATHS] > 3
    assert kinds[FactKind.CLEF_CHANGES] > 1
    assert kinds[FactKind.FIRST_NOTE] > 3


@pytest.mark.slow
def test_what_is_said_of_instruments_is_true_of_every_kind_of_score():
    every = [
        path
        for folder in ("ensembles/string_quartet", "ensembles/choir", "ensembles/orchestra", "songs")
        for path in sampled(sorted((reference_data() / folder).rglob("*.mxl")), 5)
    ]
    kinds = sum(map(check, [*every, *sampled(SAMPLES, 6)]), Counter())
    for kind in (FactKind.STRUCK, FactKind.DRUMS_TUNED, FactKind.FIRST_NOTE, FactKind.HIGH_POSITION):
        assert kinds[kind] > 3


def later(fact):
    return replace(fact, places=tuple((first + 1, last + 1) for first, last in fact.places))


def other_note(fact):
    return replace(fact, notes=("C2", *fact.notes[1:]))


FALSE = (
    ("fairground-march", FactKind.STRUCK, lambda fact: replace(fact, terms=("Triangle", *fact.terms[1:]))),
    ("fairground-march", FactKind.STRUCK, later),
    ("fairground-march", FactKind.DRUMS_TUNED, other_note),
    ("fairground-march", FactKind.HIGHEST_NOTE, later),
    ("fairground-march", FactKind.HIGHEST_NOTE, lambda fact: replace(fact, notes=("C3",))),
    ("fairground-march", FactKind.SIGNATURE_CHANGES, later),
    ("fairground-march", FactKind.TUNE_RETURNS, lambda fact: replace(fact, places=((4, 11), (22, 29)))),
    ("fairground-march", FactKind.OFFBEATS, lambda fact: replace(fact, places=((0, 1),))),
    ("fairground-march", FactKind.BREATHS, lambda fact: replace(fact, places=((1, 1),) * len(fact.places))),
    ("fairground-march", FactKind.ONE_RHYTHM, lambda fact: replace(fact, places=((4, 12),))),
    ("hall-of-the-mountain-king", FactKind.SAME_BEATS, lambda fact: replace(fact, numbers=(("beat", 3.0),))),
    ("hall-of-the-mountain-king", FactKind.SAME_BEATS, lambda fact: replace(fact, places=((0, 4),))),
    ("fairground-march", FactKind.BARS_BEGIN_SILENT, lambda fact: replace(fact, numbers=(("beat", 1.75),))),
    ("new-britain", FactKind.BARS_BEGIN_TIED, lambda fact: replace(fact, places=fact.places[1:])),
    ("fairground-march", FactKind.COUNTED_RESTS, later),
    ("greensleeves", FactKind.STOPS_EARLY, lambda fact: replace(fact, numbers=(("bars", 3.0),))),
    (
        "fairground-march",
        FactKind.HELD_NOTE,
        lambda fact: replace(fact, numbers=(("beats", 7.0), ("beat_quarters", 1.0))),
    ),
    ("fairground-march", FactKind.WIDEST_LEAP, later),
    ("fairground-march", FactKind.RHYTHM_TO_COUNT, lambda fact: replace(fact, numbers=fact.numbers[1:])),
    ("bright-morning-overture", FactKind.ACCENTED_BEATS, lambda fact: replace(fact, places=((0, 8),))),
)


@pytest.mark.parametrize(("piece", "kind", "change"), FALSE)
def test_a_false_fact_is_found(piece, kind, change):
    bare, profile = sample(piece)
    facts = [fact for fact in profile.facts if fact.kind is kind]
    assert facts
    for fact in facts:
        assert CHECKS[kind](bare, profile, fact)
        assert not CHECKS[kind](bare, profile, change(fact))
