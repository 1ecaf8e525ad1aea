"""The clock of a reading day: its steps, where it stands, and what a press does to it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from enum import StrEnum

EXTENSION_S = 30
"""What one press adds to a step. Source: house choice, the shorter of the published warnings."""
NOT_BEGUN, OVER = "", "over"
"""What stands for a step before the first and after the last."""


class StepKind(StrEnum):
    """What the room does in a step."""

    FACE_DOWN = "face-down"
    SCORE = "score"
    """The director alone looks at the score."""
    STUDY = "study"
    SUMMARY = "summary"
    """The second part of a contest's time for instruction."""
    HEARING = "hearing"
    FIRST = "first-reading"
    NAMING = "naming"
    FIXING = "fixing"
    SECOND = "second-reading"


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a day.

    Attributes:
        turn: Which piece of the day, or round of stations, from 0.
        kind: What is done.
        seconds: How long it is planned to last, 1 or more.
        begins_itself: It begins when the one before it has run out; others wait for somebody to press.
    """

    turn: int
    kind: StepKind
    seconds: int
    begins_itself: bool = False

    @property
    def key(self) -> str:
        """What it is known by, such as ``1/study``."""
        return f"{self.turn + 1}/{self.kind}"


@dataclass(frozen=True, slots=True)
class DayClock:
    """The clock of a day as it is stored: where it stood when somebody last pressed.

    Attributes:
        term_id, on: Which day.
        step: Key of the step; ``NOT_BEGUN`` or ``OVER``.
        left_s: Seconds it had left then; below 0 where it has lasted longer than planned.
        at: When that was, with its zone.
        is_running: Whether it counts since then.
        extended_s: By how much the step was lengthened.
        presses: How often somebody has pressed, in all.
    """

    term_id: int
    on: date
    step: str
    left_s: float
    at: datetime
    is_running: bool = False
    extended_s: int = 0
    presses: int = 0


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a day stands at a moment.

    Attributes:
        place: Which of its steps; -1 before it has begun, and how many there are when it is over.
        left_s: Seconds left of the step; below 0 where it lasts longer than planned.
        is_running: Whether the clock counts.
        extended_s: By how much the step was lengthened.
        presses: How often somebody has pressed.
    """

    place: int = -1
    left_s: float = 0.0
    is_running: bool = False
    extended_s: int = 0
    presses: int = 0

    def key(self, steps: Sequence[Step]) -> str:
        """What the step is known by."""
        if self.place < 0:
            return NOT_BEGUN
        return steps[self.place].key if self.place < len(steps) else OVER


class Press(StrEnum):
    """What somebody can do to the clock."""

    START = "start"
    PAUSE = "pause"
    GO_ON = "go-on"
    EXTEND = "extend"
    SKIP = "skip"
    """To the next step."""
    BACK = "back"
    """To the step before."""
    AGAIN = "again"
    """To before the first step."""


def where_it_stands(clock: DayClock | None, steps: Sequence[Step], now: datetime) -> Standing:
    """Where a day stands.

    A step that has run out leads into the next where that begins by itself; else it lasts on below 0. A step
    that the day no longer has, since it was planned otherwise, counts as not begun.

    Args:
        clock: As it is stored; None where nobody has pressed yet.
        steps: Of the day, in order.
        now: With its zone.
    """
    if clock is None:
        return Standing()
    if clock.step == OVER:
        return Standing(len(steps), presses=clock.presses)
    place = next((at for at, step in enumerate(steps) if step.key == clock.step), -1)
    if place < 0:
        return Standing(presses=clock.presses)
    left, extended = clock.left_s, clock.extended_s
    if clock.is_running:
        left -= max(0.0, (now - clock.at).total_seconds())
        while left <= 0 and place + 1 < len(steps) and steps[place + 1].begins_itself:
            place, left, extended = place + 1, left + steps[place + 1].seconds, 0
    return Standing(place, left, clock.is_running, extended, clock.presses)


def pressed(standing: Standing, press: Press, steps: Sequence[Step]) -> Standing:
    """Where a day stands after a press; a press that has no sense there changes nothing but the count.

    Moving to another step sets the clock going, also one that was paused.
    """
    then = replace(standing, presses=standing.presses + 1)
    is_under_way = 0 <= standing.place < len(steps)
    if press is Press.AGAIN:
        return Standing(presses=then.presses)
    if press is Press.START and standing.place < 0 and steps:
        return _begun(then, 0, steps)
    if press is Press.BACK and standing.place >= 0:
        return _begun(then, max(0, standing.place - 1), steps)
    if press is Press.SKIP and is_under_way:
        return _begun(then, standing.place + 1, steps)
    if press is Press.EXTEND and is_under_way:
        left, extended = max(0.0, standing.left_s) + EXTENSION_S, standing.extended_s + EXTENSION_S
        return replace(then, left_s=left, extended_s=extended)
    if press in (Press.PAUSE, Press.GO_ON) and is_under_way:
        return replace(then, is_running=press is Press.GO_ON)
    return then


def _begun(standing: Standing, place: int, steps: Sequence[Step]) -> Standing:
    if place >= len(steps):
        return Standing(len(steps), presses=standing.presses)
    return Standing(place, float(steps[place].seconds), is_running=True, presses=standing.presses)
