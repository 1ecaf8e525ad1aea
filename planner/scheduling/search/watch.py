"""When a search stops: the clock, a proof, or somebody who asks."""

import time
from collections.abc import Callable
from dataclasses import dataclass

from planner.scheduling.answer import Ended
from planner.scheduling.search.improve import Best

Progress = Callable[[int, float, int], bool]
"""Asked now and then with the cost of the best plan, the bound, and how many places it fills; False stops."""


@dataclass
class Watch:
    """When to stop.

    Attributes:
        ends: When, on the monotonic clock.
        progress: Who may ask.
        gap: Share of the best within which a plan counts as proven.
        bound: The best bound so far.
        ended: Why the search was stopped; None while it was not.
    """

    ends: float
    progress: Progress | None
    gap: float
    bound: float = 0.0
    ended: Ended | None = None

    def goes_on(self, best: Best) -> bool:
        """Whether the search goes on."""
        if self.ended is not None:
            return False
        if time.monotonic() >= self.ends:
            self.ended = Ended.TIME
        elif self.progress is not None and not self.progress(best.total, self.bound, best.filled):
            self.ended = Ended.ASKED
        return self.ended is None

    def seeks(self, best: Best) -> bool:
        """Whether the search goes on and is not yet good enough."""
        return self.goes_on(best) and not self.is_proven(best.readings)

    def is_proven(self, cost: float) -> bool:
        """Whether readings that cost so much are near enough to the bound."""
        return self.bound > 0 and cost <= self.bound + self.gap * cost

    @property
    def left_s(self) -> float:
        """Seconds left."""
        return max(0.01, self.ends - time.monotonic())
