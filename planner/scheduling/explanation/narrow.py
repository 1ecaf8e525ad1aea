"""From causes that cannot all hold to a set of them from which none can be left out.

A deletion filter: a group is left out for good when the rest still has no plan. Where
several groups can go at once they are tried together, which changes nothing but the
number of questions.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from planner.scheduling.answer import Cause

Causes = frozenset[Cause]
HasPlan = Callable[[Causes], bool | None]
"""Whether some plan keeps these causes; None when that could not be settled."""


@dataclass
class Narrowing:
    """A set of causes without a plan, getting smaller.

    Attributes:
        has_plan: Asked of subsets.
        causes: What is left.
        is_exact: Every group kept so far was proven to be needed.
    """

    has_plan: HasPlan
    causes: Causes
    is_exact: bool = True

    def leave_out(self, groups: Sequence[Causes]) -> None:
        """Leave out, in this order, every group without which there is still no plan."""
        present = [group & self.causes for group in groups if group & self.causes]
        self._try(present, is_needed=False)

    def _try(self, groups: Sequence[Causes], *, is_needed: bool) -> None:
        """Leave out what can go; ``is_needed``: it is known that not all of it can."""
        if not groups:
            return
        if not is_needed:
            rest = self.causes.difference(*groups)
            answer = self.has_plan(rest)
            if answer is False:
                self.causes = rest
                return
            is_needed = answer is True
        if len(groups) == 1:
            self.is_exact = self.is_exact and is_needed
            return
        half = len(groups) // 2
        self._try(groups[:half], is_needed=False)
        are_gone = self.causes.isdisjoint(frozenset[Cause]().union(*groups[:half]))
        self._try(groups[half:], is_needed=is_needed and are_gone)
