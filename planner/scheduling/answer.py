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
    """One rule at one place: what keeps a piece off a day, or a part of a conflict.

    Attributes:
        rule: Name of the rule in ``check.CHECKS``.
        on: The day it concerns, None for all.
        piece_ids: The pieces it concerns.
        section_ids: The sections it concerns.
        minutes: Minutes that are wanting; 0 where minutes are not what it is about.
        slots: Slots of the day that need a piece; 0 where slots are not what it is about.
    """

    rule: str
    on: date | None = None
    piece_ids: tuple[int, ...] = ()
    section_ids: tuple[int, ...] = ()
    minutes: float = 0.0
    slots: int = 0


class MendKind(StrEnum):
    """What the director can do about a conflict. Beside each: the values a ``Mend`` carries."""

    ADD_PIECES = "add pieces"
    """count, on: so many more pieces for these days; level: about so hard; minutes: at most so long."""
    LEAVE_OPEN = "leave open"
    """count, on: let so many slots of these days stay open."""
    UNPIN = "unpin"
    """piece_ids, on: take the pin back."""
    UNBAN = "unban"
    """piece_ids, on: take the ban back."""
    ADD_MINUTES = "add minutes"
    """minutes, on: give the day so many more."""
    PIN = "pin"
    """piece_ids, on: pin one of these pieces, whoever may be lost in it or have no part."""
    ADD_SETS = "add sets"
    """piece_ids, on: have another set of one of these pieces, or its folders back."""
    ADD_SKILL = "add skill"
    """piece_ids: let the term train a skill of one of these pieces."""


@dataclass(frozen=True, slots=True)
class Mend:
    """One thing that would resolve a conflict.

    Attributes:
        kind: What to do; it names the values that count.
        on: Days it concerns; empty for the whole term.
        piece_ids: Pieces it concerns.
        count: How many pieces or slots.
        level: Level of a piece to add; None where that does not matter.
        minutes: Minutes, at most for a piece to add, at least for a day to be lengthened.
        is_enough: Whether it was proven that the term has a plan when this alone is done.
    """

    kind: MendKind
    on: tuple[date, ...] = ()
    piece_ids: tuple[int, ...] = ()
    count: int = 0
    level: float | None = None
    minutes: float = 0.0
    is_enough: bool = False


class ConflictKind(StrEnum):
    """What a conflict comes to."""

    PIN = "pin"
    """A pin cannot hold, whatever stands on the other days."""
    TOO_FEW = "too few pieces"
    """There are more slots than fresh pieces for them, whatever the other rules."""
    RULES = "rules"
    """Rules contradict each other."""


@dataclass(frozen=True, slots=True)
class Conflict:
    """Why no plan exists.

    Attributes:
        kind: What it comes to.
        rules: Names of rules that cannot all be kept; without any one of them they can.
        causes: Where each of them bites; none can be left out.
        mends: What would resolve it, each by itself.
        is_minimal: Whether it was proven that no rule can be left out of the set.
        is_exact: Whether it was proven that no cause can be left out.
        left: Pieces that may stand on its days, as far as each by itself can tell.
        titles: Titles of the pieces it speaks of, by id.
        sections: Names of the sections it speaks of, by id.
    """

    kind: ConflictKind
    rules: tuple[str, ...]
    causes: tuple[Cause, ...]
    mends: tuple[Mend, ...] = ()
    is_minimal: bool = True
    is_exact: bool = True
    left: tuple[int, ...] = ()
    titles: tuple[tuple[int, str], ...] = ()
    sections: tuple[tuple[int, str], ...] = ()
