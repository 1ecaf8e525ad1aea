"""All that the page for the room shows of a day."""

from collections.abc import Iterator
from dataclasses import dataclass

from planner.core.day_clock import Step
from planner.core.procedures import USUAL_WARNINGS_S, Procedure
from planner.services.day.read_day import DayView
from planner.services.day_page.room_piece import RoomPiece, room_piece
from planner.services.day_page.steps import DaySteps, day_steps
from planner.services.day_page.turns import stations_of


@dataclass(frozen=True, slots=True)
class RoomTurn:
    """What the room sees in a turn; at stations, or with one chosen, only of those."""

    number: int
    pieces: tuple[RoomPiece, ...]


@dataclass(frozen=True, slots=True)
class RoomDay:
    """A day for the room.

    Attributes:
        view: The reading day.
        day: Its steps.
        turns: What is shown of each of its turns.
        stations: Of the day; empty where all read together.
        station: The one that is looked at; empty for all.
    """

    view: DayView
    day: DaySteps
    turns: tuple[RoomTurn, ...]
    stations: tuple[str, ...]
    station: str

    @property
    def steps(self) -> tuple[Step, ...]:
        """What the clock leads through."""
        return self.day.steps

    @property
    def procedure(self) -> Procedure | None:
        """By which the music is studied; None as planned."""
        return self.day.procedure

    @property
    def warnings_s(self) -> tuple[int, ...]:
        """Seconds left at which a warning is shown."""
        return (self.procedure.warnings_s if self.procedure else ()) or USUAL_WARNINGS_S


def room_day(view: DayView, station: str = "") -> RoomDay:
    """What the room sees of a day; ``station`` shows what one of its stations reads."""
    day = day_steps(view)
    stations = stations_of(day.turns)
    chosen = station if station in stations else ""
    turns = (
        RoomTurn(
            turn.number,
            tuple(
                room_piece(one, view) for one in turn.pieces if chosen in ("", one.station) or not one.station
            ),
        )
        for turn in day.turns
    )
    return RoomDay(view, day, tuple(turns), stations, chosen)


@dataclass(frozen=True, slots=True)
class ScriptLine:
    """A step in the script of a day: when it begins, in seconds from face up, and what is read then."""

    at_s: int
    step: Step
    titles: tuple[str, ...]


def script_of(room: RoomDay) -> Iterator[ScriptLine]:
    """The steps of a day by the minute, what is handed out face down included."""
    at = 0
    for step in room.steps:
        pieces = room.turns[step.turn].pieces
        yield ScriptLine(at, step, tuple(one.turn_piece.entry.piece.title for one in pieces))
        at += step.seconds
