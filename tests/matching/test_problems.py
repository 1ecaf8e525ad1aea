"""Checks gathered by problem: none lost, none twice, the worst first."""

import random

from planner.core.ensemble import Section
from planner.matching.casting import CastPart, How
from planner.matching.part_check import Check, CheckKind, Fix, Severity
from planner.matching.problems import Found, by_problem


def found(name, kind, severity, fix=Fix.LEAVE_OUT, measures=(0,), helper=""):
    section = Section(sum(map(ord, name)), name, "flute")
    return Found(
        section, CastPart(section.id, name, How.OWN), Check(kind, severity, fix, measures, helper=helper)
    )


def test_what_cannot_be_played_comes_first_then_what_more_sections_have():
    given = [
        found("Flute", CheckKind.CLARINET_BREAK, Severity.NOTE),
        found("Flute", CheckKind.BREATH, Severity.WARNING, measures=(1, 2, 3)),
        found("Oboe", CheckKind.POSITIONS, Severity.WARNING),
        found("Horn", CheckKind.POSITIONS, Severity.WARNING),
        found("Tuba", CheckKind.FULL_RANGE, Severity.ERROR),
    ]
    assert [problem.kind for problem in by_problem(given)] == [
        CheckKind.FULL_RANGE, CheckKind.POSITIONS, CheckKind.BREATH, CheckKind.CLARINET_BREAK,
    ]  # fmt: skip


def test_one_problem_may_have_several_remedies():
    given = [
        found("Flute", CheckKind.COMFORTABLE_RANGE, Severity.WARNING, Fix.CUE, helper="Oboe"),
        found("Horn", CheckKind.COMFORTABLE_RANGE, Severity.WARNING, Fix.OCTAVE_LOWER),
        found("Tuba", CheckKind.COMFORTABLE_RANGE, Severity.WARNING, Fix.OCTAVE_LOWER),
        found("Bass", CheckKind.COMFORTABLE_RANGE, Severity.WARNING, Fix.CUE, helper="Horn"),
    ]
    (problem,) = by_problem(given)
    assert [(each.fix, each.helper, len(each.found)) for each in problem.advice] == [
        (Fix.OCTAVE_LOWER, "", 2), (Fix.CUE, "Oboe", 1), (Fix.CUE, "Horn", 1),
    ]  # fmt: skip


def test_no_check_is_lost_and_none_stands_twice():
    draw = random.Random(4)
    given = [
        found(f"S{at}", draw.choice(list(CheckKind)), draw.choice(list(Severity)), draw.choice(list(Fix)))
        for at in range(200)
    ]
    problems = by_problem(given)
    stands = [each for problem in problems for each in problem.found]
    assert sorted(map(repr, stands)) == sorted(map(repr, given))
    assert len({(problem.kind, problem.severity) for problem in problems}) == len(problems)
