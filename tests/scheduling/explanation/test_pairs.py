"""All pieces and sittings at once, against each pair judged by itself."""

import random
from dataclasses import replace

import numpy as np
import pytest

from planner.scheduling import check
from planner.scheduling.answer import ConflictKind
from planner.scheduling.explanation import pairs as pairs_module
from planner.scheduling.explanation.causes import every_cause, forbidding
from planner.scheduling.explanation.explain import find_conflict
from planner.scheduling.explanation.pairs import Lost, Pairs
from planner.scheduling.problem import PartAsked, PlanSection, PlanWish
from tests.checks import some
from tests.scheduling.small_problems import LIMIT_S, make_problem, piece, random_problem, section


def bans_and_pins(problem, chance):
    """The problem with more wishes, so that every rule occurs."""
    ids = [each.piece_id for each in problem.pieces]
    dates = [day.on for day in problem.days]
    bans = (PlanWish(chance.choice(ids)), PlanWish(chance.choice(ids), chance.choice(dates)))
    pins = (PlanWish(chance.choice(ids), chance.choice(dates)),)
    return replace(problem, bans=(*problem.bans, *bans), pins=(*problem.pins, *pins))


@pytest.fixture(scope="module")
def problems():
    chance = random.Random(9)
    return [bans_and_pins(random_problem(seed), chance) for seed in range(60)]


def some_causes(problem, chance):
    every = [cause for each in every_cause(problem).values() for cause in each]
    return frozenset(chance.sample(every, chance.randrange(len(every) + 1)))


def test_a_pair_is_allowed_just_when_no_cause_in_force_forbids_it(problems):
    chance, answers = random.Random(1), []
    for problem in problems:
        pairs = Pairs(problem)
        for causes in (some_causes(problem, chance), some_causes(problem, chance)):
            for i, who in enumerate(problem.pieces):
                for at, where in enumerate(problem.sittings):
                    found = forbidding(problem, who, where)
                    assert pairs.may(i, at, causes) == causes.isdisjoint(found)
                    answers.append((pairs.may(i, at, causes), *{cause.rule for cause in found}))
    rules = {rule for each in answers for rule in each[1:]}
    assert rules == set(pairs_module._PLAIN) | {check.BANS, check.READABLE}
    assert {each[0] for each in answers} == {False, True}


def test_obstacles_are_counted_and_held_against_rules(problems):
    rules, kinds = {check.READABLE, check.FORCES}, set()
    for problem in problems:
        pairs = Pairs(problem)
        for at, where in enumerate(problem.sittings):
            found = [forbidding(problem, who, where) for who in problem.pieces]
            assert pairs.obstacles(at).tolist() == [len(causes) for causes in found]
            only = [{cause.rule for cause in causes} <= rules for causes in found]
            assert pairs.only(at, rules).tolist() == only
            kinds |= {(len(causes) > 0, is_only) for causes, is_only in zip(found, only, strict=True)}
    assert kinds == {(False, True), (True, True), (True, False)}


def test_causes_come_with_the_pieces_that_their_rule_alone_keeps_out(problems):
    chance, seen = random.Random(2), 0
    for problem in problems:
        pairs, causes = Pairs(problem), some_causes(problem, chance)
        for at, where in enumerate(problem.sittings):
            wanted = set()
            for who in problem.pieces:
                here = causes.intersection(forbidding(problem, who, where))
                if len({cause.rule for cause in here}) == 1:
                    wanted |= {(cause.rule, cause.on, cause.section_ids, who.piece_id) for cause in here}
            found = [
                (cause.rule, cause.on, cause.section_ids, piece_id)
                for cause in pairs.alone(at, causes)
                for piece_id in cause.piece_ids
            ]
            assert (len(found), set(found)) == (len(wanted), wanted)
            seen += len(found)
    assert seen > 100


def test_more_sections_than_one_word_has_bits():
    count = 130
    sections = tuple(PlanSection(n + 1, f"S{n}", 1, (2.0,), (0.3,)) for n in range(count))
    chance = random.Random(4)
    pieces = tuple(
        piece(
            at + 1,
            parts=tuple(PartAsked(n + 1, chance.choice((2.0, 2.0, 2.0, 5.0))) for n in range(count) if n % 3),
        )
        for at in range(4)
    )
    problem = replace(make_problem(days=1), sections=sections, pieces=pieces)
    pairs = Pairs(problem)
    found = [forbidding(problem, who, problem.sittings[0]) for who in pieces]
    assert pairs.obstacles(0).tolist() == [len(causes) for causes in some(found)]
    only_the_last = frozenset({max(found[0], key=lambda cause: cause.section_ids)})
    assert not pairs.may(0, 0, only_the_last)


@pytest.mark.parametrize("lost", [0.0, 0.25, 1.0])
def test_a_chance_just_at_the_limit_is_judged_as_the_check_does(lost):
    """Parts that lie within a hair of the limit, either way, and sections that are known exactly."""
    problem = make_problem(days=1)
    problem = replace(problem, limits=replace(problem.limits, lost=lost))
    edge = next(
        level / 1000
        for level in range(2000, 6001)
        if forbidding(replace(problem, limits=replace(problem.limits, lost=0.25)), piece(1, level / 1000),
                      problem.sittings[0])
    )  # fmt: skip
    levels = [edge - 0.001 + step * 1e-7 for step in range(20_000)]
    sure = section(2, 1, error=0.0)
    problem = replace(
        problem,
        sections=(problem.sections[0], sure),
        pieces=tuple(piece(n, level) for n, level in enumerate(levels[::500], 1)),
    )
    found = [forbidding(problem, who, problem.sittings[0]) for who in problem.pieces]
    assert Pairs(problem).obstacles(0).tolist() == [len(causes) for causes in found]


def test_who_is_lost_is_worked_out_once_and_anew_for_pieces_only_wished_for(monkeypatch):
    problem = replace(make_problem(days=1), pieces=(piece(1, 5.0), piece(2)))
    lost, asked = Lost(), []
    real = pairs_module.PartTables.lost_on
    monkeypatch.setattr(
        pairs_module.PartTables,
        "lost_on",
        lambda self, day: asked.append([each.piece_id for each in self.pieces]) or real(self, day),
    )
    assert Pairs(problem, lost).obstacles(0).tolist() == [2, 0]
    wider = replace(problem, pieces=(piece(2), piece(-1, 5.0), piece(1, 5.0)))
    for _ in range(2):
        assert Pairs(wider, lost).obstacles(0).tolist() == [0, 2, 2]
    assert asked == [[1, 2], [-1], [-1]]
    nothing = Lost()
    assert Pairs(replace(problem, pieces=()), nothing).obstacles(0).tolist() == []
    assert Pairs(wider, nothing).obstacles(0).tolist() == [0, 2, 2], "an empty library that gets pieces"


def test_a_library_that_is_all_too_hard_is_looked_at_as_a_whole(monkeypatch):
    """Of 2,000 pieces none is looked at by itself, whatever the number of days."""
    hard = tuple(piece(n, 5.0 + (n % 7) / 10) for n in range(1, 2001))
    problem = replace(make_problem(days=9), pieces=hard)
    monkeypatch.setattr(check, "asks", lambda *_: pytest.fail("a piece was looked at by itself"))
    conflict = find_conflict(problem, LIMIT_S)
    assert conflict.kind is ConflictKind.RULES
    assert conflict.rules == (check.FILLED, check.READABLE)
    assert (conflict.is_minimal, conflict.is_exact, conflict.left) == (True, True, ())
    (cause,) = (each for each in conflict.causes if each.rule == check.READABLE)
    assert len(cause.piece_ids) == 2000
    assert np.all(np.diff(cause.piece_ids) > 0)
