"""What the check of drawn statements finds: every kind has a check, a planted false statement is found."""

from dataclasses import replace

import pytest

from planner.core.fact import Fact, FactKind
from planner.services.sheets.player.sheet import sheet_lines
from tests.benchmarks import truth
from tests.checks import some
from tests.study.fact_checks import SAMPLES, sample
from tests.study.statement_checks import (
    CHECKS,
    JUDGED,
    bars_to_find,
    every_statement,
    is_countable,
    on_sheets,
    verdict,
)

[PATH] = [path for path in SAMPLES if path.stem == "fairground-march"]


def stated():
    _, profile = sample(PATH.stem)
    return list(on_sheets(PATH, profile))


def test_every_kind_of_fact_that_counting_can_settle_has_a_check():
    assert set(FactKind) - JUDGED <= set(CHECKS)


def test_the_statements_are_the_sentences_of_the_guides():
    _, profile = sample(PATH.stem)
    lines = [line for part in profile.parts for line in sheet_lines(profile, part)]
    signed = [line for line in lines if line.text.startswith("Your signature")]
    resting = {" ".join(line.text.split()) for line in lines if line not in signed}
    assert {each.sentence for each in stated()} == resting
    assert all(line.facts for line in some(lines) if line not in signed)
    assert {each.fact for each in stated()} < {each.fact for each in every_statement(PATH, profile)}


def test_nothing_on_the_sheets_of_a_piece_is_false():
    bare, profile = sample(PATH.stem)
    found = [(each, verdict(bare, profile, each)) for each in some(stated())]
    assert [each.sentence for each, is_true in found if is_true is False] == []
    counted = [is_true for each, is_true in found if is_countable(each)]
    assert counted.count(True) > 0.95 * len(counted)


def with_spots_later(profile, by):
    """The profile with each spot of its first part said to be so many bars later than it is."""
    part, last = profile.parts[0], profile.measures - 1
    spots = tuple(
        replace(
            spot,
            measure=spot.measure + by,
            end_measure=None,
            challenges=tuple(replace(c, measure=c.measure + by, end_measure=None) for c in spot.challenges),
        )
        for spot in part.spots
        if spot.measure + by <= last
    )
    others = [fact for fact in profile.facts if fact.kind is not FactKind.SPOT]
    facts = [Fact(FactKind.SPOT, part.name, ((s.measure, s.measure),), terms=s.kinds) for s in spots]
    return replace(profile, parts=(replace(part, spots=spots), *profile.parts[1:]), facts=(*others, *facts))


def test_planted_false_statements_are_found():
    bare, profile = sample(PATH.stem)
    false = with_spots_later(profile, 3)
    moved = [each for each in every_statement(PATH, false) if each.fact.kind is FactKind.SPOT]
    verdicts = [verdict(bare, false, each) for each in some(moved)]
    assert verdicts.count(False) >= 0.6 * len(verdicts)


def test_a_draw_takes_kinds_by_turns_and_is_the_same_for_a_seed():
    every = [truth.Judged(each, True) for each in stated()]
    chosen = truth.drawn(every, 15, seed=3)
    assert chosen == truth.drawn(every, 15, seed=3)
    assert len({each.stated.kind for each in chosen}) == 15
    assert len(truth.drawn(every, 10_000, seed=3)) == len(every)


def test_a_kind_stated_less_often_is_named():
    before = {"one": {"meter": [1, 1], "spot": [5, 3]}, "gone": {"tempo": [9, 9]}}
    now = {"one": {"meter": [1, 1], "spot": [4, 3]}}
    assert truth.stated_less(before, now) == ["spot"]
    assert truth.stated_less(before, now, where=1) == []


def test_another_kind_may_answer_the_same_question():
    before = {"one": {"dynamics": [2, 2], "dynamic-extremes": [3, 3]}}
    assert truth.stated_less(before, {"one": {"dynamics": [5, 5]}}) == []
    assert truth.stated_less(before, {"one": {"dynamics": [4, 4]}}) == ["dynamics"]


def test_a_file_that_is_several_pieces_now_is_not_compared():
    before = {"one": {"meter": [1, 1], "spot": [5, 3]}}
    assert truth.stated_less(before, {"one": {"meter": [4, 4], "spot": [1, 1]}}) == []


@pytest.mark.parametrize("kind", [FactKind.HOME_KEY, FactKind.PATTERN])
def test_keys_are_for_the_ear_and_marks_for_counting(kind):
    found = [each for each in stated() if each.fact.kind is kind]
    assert {is_countable(each) for each in some(found)} == {kind is FactKind.PATTERN}


@pytest.mark.parametrize(
    ("sentence", "lost"),
    [
        ("Bar 3: run.", []),
        ("Run in bars 1–3.", ["1"]),
        ("Run in bars 1 and 2 of the second numbering and in bar 3.", []),
        ("Run in bar 3 of the second numbering.", ["3"]),
        ("Run in bar 1 of the third numbering and bar 9.", ["1", "9"]),
    ],
)
def test_a_number_that_stands_twice_is_found_only_by_its_numbering(sentence, lost):
    bare, _ = sample(PATH.stem)
    twice = replace(bare, numbers=["1", "2", "3", "1", "2"], pages=[bare.pages[0][:5]])
    found = bars_to_find(twice, replace(stated()[0], sentence=sentence.lower()))
    assert found == lost
