"""A reading day in turns: one piece after another, or rounds in which several stations read at once."""

from collections.abc import Sequence
from dataclasses import dataclass

from planner.core.term import ReasonKind
from planner.services.day.read_day import DayView, SlotView
from planner.services.plan.reading_time import ReadingTime, fitting_time

ROUNDING_MINUTES = 0.05
"""The minutes of a slot are stored to a tenth: what is read may take half of that more."""


@dataclass(frozen=True, slots=True)
class TurnPiece:
    """A piece in a turn.

    Attributes:
        entry: The piece of the day with its study.
        station: The station that reads it; empty where everyone does.
        time: Minutes of each step, and the passage where only that is read.
        is_again: It was read on an earlier day, and is read a second time now.
    """

    entry: SlotView
    station: str
    time: ReadingTime
    is_again: bool = False


@dataclass(frozen=True, slots=True)
class Turn:
    """What is read at one time; ``number`` counts from 1."""

    number: int
    pieces: tuple[TurnPiece, ...]


def turns_of(view: DayView) -> tuple[Turn, ...]:
    """The turns of a day, in order: its rounds of stations, and each piece that all read together."""
    found: dict[tuple[int, int], list[TurnPiece]] = {}
    limit = view.term.minutes_on(view.on) / max(1, view.term.slots_on(view.on))
    for at, entry in enumerate(view.slots):
        for number, station in entry.rooms:
            found.setdefault((number - 1, -1), []).append(_piece(entry, station, limit))
        if not entry.rooms:
            found.setdefault((entry.slot.position, at), []).append(_piece(entry, "", limit))
    return tuple(Turn(at + 1, tuple(found[key])) for at, key in enumerate(sorted(found)))


def _piece(entry: SlotView, station: str, limit: float) -> TurnPiece:
    minutes = entry.slot.minutes + ROUNDING_MINUTES if entry.slot.minutes else limit
    is_again = any(reason.kind is ReasonKind.AGAIN for reason in entry.slot.reasons)
    if is_again and entry.slot.minutes:
        minutes *= 2
    return TurnPiece(entry, station, fitting_time(entry.profile, minutes, entry.level), is_again)


def stations_of(turns: Sequence[Turn]) -> tuple[str, ...]:
    """The stations of a day, in order of their first turn; none where all read together."""
    return tuple(dict.fromkeys(one.station for turn in turns for one in turn.pieces if one.station))
