"""What was found in the parts of an ensemble, gathered by problem instead of by section."""

from collections.abc import Iterable
from dataclasses import dataclass

from planner.core.ensemble import Section
from planner.matching.casting import CastPart
from planner.matching.part_check import Check, CheckKind, Fix, Severity


@dataclass(frozen=True, slots=True)
class Found:
    """A check of one section.

    Attributes:
        section: Who reads.
        cast: Which part.
        check: What was found.
    """

    section: Section
    cast: CastPart
    check: Check


@dataclass(frozen=True, slots=True)
class Advice:
    """One remedy, and for whom.

    Attributes:
        fix: What would help.
        helper: Name of the section that helps, empty where none does.
        found: Who has the problem, in the order of the ensemble.
    """

    fix: Fix
    helper: str
    found: tuple[Found, ...]


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that one or more sections should know.

    Attributes:
        kind: What was looked at.
        severity: How much it matters.
        advice: What would help whom, that for the most sections first.
    """

    kind: CheckKind
    severity: Severity
    advice: tuple[Advice, ...]

    @property
    def found(self) -> tuple[Found, ...]:
        """Everybody who has it."""
        return tuple(found for each in self.advice for found in each.found)


def by_problem(checks: Iterable[Found]) -> tuple[Problem, ...]:
    """The checks of all sections, those of one kind together, the worst first.

    Worse is what cannot be played before what is hard and that before what is worth knowing; then what more
    sections have; then what stands in more bars of parts. No check is lost and none stands twice.

    Example:
        >>> by_problem(())
        ()
    """
    together: dict[tuple[CheckKind, Severity], dict[tuple[Fix, str], list[Found]]] = {}
    for each in checks:
        check = each.check
        remedies = together.setdefault((check.kind, check.severity), {})
        remedies.setdefault((check.fix, check.helper), []).append(each)
    problems = []
    for (kind, severity), remedies in together.items():
        advice = [Advice(fix, helper, tuple(found)) for (fix, helper), found in remedies.items()]
        problems.append(Problem(kind, severity, tuple(sorted(advice, key=_weight))))
    rank = {severity: at for at, severity in enumerate(Severity)}
    return tuple(sorted(problems, key=lambda problem: (rank[problem.severity], *_weight(problem))))


def _weight(each: Advice | Problem) -> tuple[int, int]:
    """What more sections have comes first, then what stands in more bars."""
    return -len(each.found), -sum(len(found.check.measures) for found in each.found)
