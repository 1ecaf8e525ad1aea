"""What a search for a plan comes to."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from planner.core.term import Slot
from planner.scheduling.check import PlanCost


class Ended(StrEnum):
    """Why a search ended."""

    PROVEN = "proven"
    """Its plan is proven within the gap that was asked for."""
    WORK = "work"
    """It did all the work it was allowed, counted in steps: the same on every machine."""
    TIME = "time"
    """The clock ran out first."""
    ASKED = "asked"
    """Somebody stopped it."""


@dataclass(frozen=True, slots=True)
class Solution:
    """A plan that keeps every rule.

    Attributes:
        slots: Settled and planned slots in order of date, round, station; without reasons.
        cost: What it costs.
        bound: No plan with as many filled slots has readings (``cost.filled`` and ``cost.change``) that cost
            less than this.
        ended: Why the search ended.
        seconds: Wall time of the search.
    """

    slots: tuple[Slot, ...]
    cost: PlanCost
    bound: float
    ended: Ended
    seconds: float

    @property
    def is_proven(self) -> bool:
        """Whether it is proven as good as was asked."""
        return self.ended is Ended.PROVEN


@dataclass(frozen=True, slots=True)
class Cause:
    """One thing without which there would be a plan.

    Attributes:
        rule: Name of the rule in ``check.CHECKS``.
        on: The day it concerns, None for all.
        piece_ids: The pieces it concerns.
        section_ids: The sections it concerns.
    """

    rule: str
    on: date | None = None
    piece_ids: tuple[int, ...] = ()
    section_ids: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Conflict:
    """Why no plan exists.

    Attributes:
        rules: Names of rules that cannot all be kept; without any one of them a plan exists.
        causes: Where each of them bites.
        is_minimal: Whether it was proven that no rule can be left out of the set.
    """

    rules: tuple[str, ...]
    causes: tuple[Cause, ...]
    is_minimal: bool
