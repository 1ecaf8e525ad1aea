"""The marks of a term's gradebook, worked out from what was read and entered."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from planner.core.mark_scheme import MarkScheme
from planner.core.term import Attendance, PlayerMark
from planner.marks.day_marks import DayMark, Reading, player_day, section_day
from planner.marks.term_marks import TermMark, term_mark
from planner.services.day.gradebook import gradebook_sheet, has_something
from planner.services.ports.work import UnitOfWork
from planner.services.sheets.views import GradebookDay, GradebookSheet, PlayerDay, SectionReading


@dataclass(frozen=True, slots=True)
class MarkRow:
    """Somebody's marks over a term.

    Attributes:
        id: Of the section, or of the player's seat.
        name: What they are called.
        section: The section's name; empty for a section itself.
        term: Their marks, day by day and for the term.
        entered: Of a player, what was entered by day.
    """

    id: int
    name: str
    section: str
    term: TermMark
    entered: dict[date, PlayerMark]

    def count(self, *states: Attendance) -> int:
        """On how many days they had one of these states."""
        return sum(mark.attendance in states for mark in self.entered.values())


@dataclass(frozen=True, slots=True)
class TermMarks:
    """The marks of a term: only days on which something was read or entered."""

    scheme: MarkScheme
    days: tuple[date, ...]
    sections: tuple[MarkRow, ...]
    players: tuple[MarkRow, ...]


def read_term_marks(
    work: UnitOfWork, term_id: int, *, today: date, only: Collection[int] | None = None
) -> TermMarks:
    """The marks of a term so far, of all sections and their players or of ``only`` some.

    Raises:
        NotFoundError: If there is no such term.
    """
    return marks_of_sheet(gradebook_sheet(work, term_id, today=today, only=only))


def marks_of_sheet(sheet: GradebookSheet) -> TermMarks:
    """The marks of a gradebook."""
    scheme = sheet.scheme
    days = [day for day in sheet.days if has_something(day)]
    sections = {
        section_id: [section_day(scheme, day.on, _readings(day, section_id)) for day in days]
        for section_id, _ in sheet.sections
    }
    by_day = {section_id: {each.on: each for each in own} for section_id, own in sections.items()}
    return TermMarks(
        scheme,
        tuple(day.on for day in days),
        tuple(
            MarkRow(section_id, name, "", term_mark(scheme, sections[section_id]), {})
            for section_id, name in sheet.sections
        ),
        tuple(_player_row(scheme, player, days, by_day) for player in sheet.players),
    )


def _player_row(
    scheme: MarkScheme,
    player: tuple[int, str, str],
    days: Sequence[GradebookDay],
    sections: dict[int, dict[date, DayMark]],
) -> MarkRow:
    seat, name, section = player
    there = [(day.on, each) for day in days for each in day.players if each.player_id == seat]
    entered = {on: _entered(on, each) for on, each in there}
    marks = [player_day(scheme, sections[each.section_id][on], entered[on]) for on, each in there]
    return MarkRow(seat, name, section, term_mark(scheme, marks), entered)


def _entered(on: date, player: PlayerDay) -> PlayerMark:
    return PlayerMark(player.player_id, on, player.attendance, player.mark, player.made_up_on, player.note)


def _readings(day: GradebookDay, section_id: int) -> list[Reading]:
    """A section's readings."""
    return [reading_of(each) for each in day.readings if each.section_id == section_id]


def reading_of(each: SectionReading) -> Reading:
    """How a section read a piece, exactly, as marks are worked out from it."""
    first, second = _decimal(each.first_share), _decimal(each.second_share)
    return Reading(each.piece, first, second, each.form_share, each.fell_apart)


def _decimal(share: float | None) -> Decimal | None:
    """Shares are stored as binary numbers, and are the shortest decimals of those."""
    return None if share is None else Decimal(repr(share))
