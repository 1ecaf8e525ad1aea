"""The clock of a reading day: where it stands, and a press from one of several devices.

Where a day stands is nothing that a director entered: it is not journaled, and no undo turns it back.
"""

from collections.abc import Sequence
from datetime import date, datetime

from planner.core.day_clock import DayClock, Press, Standing, Step, pressed, where_it_stands
from planner.errors import ConflictError
from planner.services.ports.work import UnitOfWork


class StepMovedError(ConflictError):
    """A press was about a step at which the day no longer stands."""

    slug = "step-moved"

    def __init__(self, standing: Standing) -> None:
        super().__init__(
            "The day stands at another step by now; nothing was changed.",
            hint="Look at where it stands, and press again if you still want to.",
        )
        self.standing = standing


def clock_standing(
    work: UnitOfWork, term_id: int, on: date, steps: Sequence[Step], now: datetime
) -> Standing:
    """Where a day stands now."""
    return where_it_stands(work.clocks.find(term_id, on), steps, now)


def press_clock(
    work: UnitOfWork,
    term_id: int,
    on: date,
    steps: Sequence[Step],
    press: Press,
    *,
    about: str,
    now: datetime,
) -> Standing:
    """Do to the clock of a day what somebody pressed, and store where it stands then.

    Args:
        work: The transaction.
        term_id: The term.
        on: The day.
        steps: Of the day, in order.
        press: What was pressed.
        about: Key of the step that was in sight when it was pressed.
        now: With its zone.

    Raises:
        StepMovedError: If the day stands at another step by now: somebody else pressed, or it went on.
        NotFoundError: If there is no such term.
    """
    standing = clock_standing(work, term_id, on, steps, now)
    if standing.key(steps) != about:
        raise StepMovedError(standing)
    then = pressed(standing, press, steps)
    work.clocks.put(
        DayClock(
            term_id, on, then.key(steps), then.left_s, now, then.is_running, then.extended_s, then.presses
        )
    )
    return then
