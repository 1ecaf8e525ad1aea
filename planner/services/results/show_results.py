"""A day's results as their page shows them: what was read by whom, and the hard bars of each part."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import date

from planner.core.ensemble import Section
from planner.core.piece import Piece
from planner.services.day.read_day import DayView, SectionRow
from planner.services.ports.work import UnitOfWork
from planner.services.results.hard_bars import HardBar, hard_bars
from planner.wording.words import NO_BARS, BarNames, bar_names


@dataclass(frozen=True, slots=True)
class ReadingView:
    """One piece of the day.

    Attributes:
        piece: What is read.
        rows: The sections that read it, with what was entered.
        hard: By section, the hard bars of its part, and places that were marked before.
        bars: The names of its bars.
        rooms: At stations, the names of those that read it.
        is_planned: Whether it is planned for the day.
    """

    piece: Piece
    rows: tuple[SectionRow, ...]
    hard: Mapping[int, tuple[HardBar, ...]]
    bars: BarNames
    rooms: tuple[str, ...] = ()
    is_planned: bool = True


@dataclass(frozen=True, slots=True)
class ResultsView:
    """The results of a day, of the sections that are shown."""

    day: DayView
    readings: tuple[ReadingView, ...]

    @property
    def has_results(self) -> bool:
        """Whether anything was entered."""
        return any(row.result for each in self.readings for row in each.rows)

    def sections_of(self, piece_id: int) -> tuple[Section, ...]:
        """The sections that read a piece and are not away."""
        rows = (row for each in self.readings if each.piece.id == piece_id for row in each.rows)
        return tuple(row.section for row in rows if not row.is_away or row.result is not None)

    def takes(self, piece_id: int, today: date) -> bool:
        """Whether the page has lines for a piece."""
        rows = [row for each in self.readings if each.piece.id == piece_id for row in each.rows]
        return bool(rows) and (self.day.on <= today or any(row.result for row in rows))


def show_results(work: UnitOfWork, day: DayView, only: Collection[int] | None = None) -> ResultsView:
    """A day's results.

    Args:
        work: An open unit of work; nothing is changed.
        day: The day.
        only: Sections that are shown; None shows all.
    """
    others = work.pieces.profiles([each.piece.id for each in day.besides]) if day.besides else {}
    readings = [
        ReadingView(
            slot.piece,
            slot.rows,
            hard_bars(slot.profile, day.ensemble),
            bar_names(slot.profile),
            tuple(dict.fromkeys(name for _, name in slot.rooms)),
        )
        for slot in day.slots
    ]
    for each in day.besides:
        profile = others.get(each.piece.id)
        readings.append(
            ReadingView(
                each.piece,
                each.rows,
                hard_bars(profile, day.ensemble) if profile else {},
                bar_names(profile) if profile else NO_BARS,
                is_planned=False,
            )
        )
    return ResultsView(day, tuple(_shown(each, only) for each in readings if _is_shown(each, only)))


def _is_shown(reading: ReadingView, only: Collection[int] | None) -> bool:
    """One that was not planned is shown to those alone whose sections read it."""
    return reading.is_planned or only is None or any(r.result for r in reading.rows if r.section.id in only)


def _shown(reading: ReadingView, only: Collection[int] | None) -> ReadingView:
    rows = tuple(row for row in reading.rows if only is None or row.section.id in only)
    return replace(reading, rows=rows, hard={row.section.id: _with_marked(row, reading.hard) for row in rows})


def _with_marked(row: SectionRow, hard: Mapping[int, tuple[HardBar, ...]]) -> tuple[HardBar, ...]:
    """A section's hard bars, with those that were marked although they are not among them (any more)."""
    own = hard.get(row.section.id, ())
    known = {each.place for each in own}
    marked = row.result.wrong_bars if row.result else ()
    more = tuple(HardBar(place) for place in marked if place not in known)
    return tuple(sorted((*own, *more), key=lambda each: each.place))
