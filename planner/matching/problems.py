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
class Problem:
    """One thing that one or more sections should know, with one remedy.

    Attributes:
        kind: What was looked at.
        severity: How much it matters.
        fix: What would help.
        helper: Name of the section that helps, empty where none does.
        found: Who has it, in the order of the ensemble.
    """

    kind: CheckKind
    severity: Severity
    fix: Fix
    helper: str
    found: tuple[Found, ...]


def by_problem(checks: Iterable[Found]) -> tuple[Problem, ...]:
    """Checks of one kind with one remedy together, the worst first.

    Worse is what cannot be played before what is hard and that before what is worth knowing; then what more
    sections have; then what stands in more bars of parts. No check is lost and none stands twice.

    Example:
        >>> by_problem(())
        ()
    """
    together: dict[tuple[CheckKind, Severity, Fix, str], list[Found]] = {}
    for each in checks:
        check = each.check
        together.setdefault((check.kind, check.severity, check.fix, check.helper), []).append(each)
    rank = {severity: at for at, severity in enumerate(Severity)}
    problems = [Problem(*key, tuple(found)) for key, found in together.items()]
    problems.sort(
        key=lambda p: (
            rank[p.severity], -len(p.found), -sum(len(f.check.measures) for f in p.found), p.kind, p.fix
        )
    )  # fmt: skip
    return tuple(problems)
