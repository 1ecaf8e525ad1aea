"""The table of players as somebody edited it: names, sections and days of many at once, as one change."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from planner.core.change import Author
from planner.core.ensemble import Player, Section
from planner.core.question import Question
from planner.errors import (
    ConflictError,
    EntriesError,
    InputError,
    NotFoundError,
    OddEntryError,
    PlannerError,
    QuestionError,
)
from planner.services.entered.answers import NONE_YET, Answers
from planner.services.entered.numbers import number_of_thing
from planner.services.entered.words import one_line
from planner.services.people.players import (
    Seat,
    move_seat,
    remove_seat,
    rename_player,
    seats_of,
    set_seat_days,
)
from planner.services.people.roster_change import roster_changed
from planner.services.ports.work import UnitOfWork
from planner.services.term.terms import parse_date

FIELDS = ("name", "section", "joined", "last_day")
_MEANT = {"name": "name", "section": "section", "joined": "first day", "last_day": "last day"}


@dataclass(frozen=True, slots=True)
class SeatEntry:
    """One row as edited.

    Attributes:
        seat: Identity of the seat.
        typed: By field, what stands in the cell: ``section`` by its identity, days as dates.
        shown: By field, what it was filled with when the table was opened.
        is_out: Whether the seat is to be taken out.
        is_other: Whether a new name that somebody has already is the name of someone else.
    """

    seat: int
    typed: Mapping[str, str]
    shown: Mapping[str, str]
    is_out: bool = False
    is_other: bool = False


@dataclass(frozen=True, slots=True)
class PlayersSaved:
    """What a table of players changed."""

    renamed: int = 0
    moved: int = 0
    days: int = 0
    out: int = 0

    @property
    def total(self) -> int:
        """How many changes that were."""
        return self.renamed + self.moved + self.days + self.out


def seat_texts(section: Section, player: Player) -> dict[str, str]:
    """The cells of a player's row."""
    return {
        "name": player.name,
        "section": str(section.id),
        "joined": player.joined.isoformat() if player.joined else "",
        "last_day": player.last_day.isoformat() if player.last_day else "",
    }


def save_players(
    work: UnitOfWork,
    ensemble_id: int,
    entries: Sequence[SeatEntry],
    *,
    by: Author,
    today: date,
    moves_on: date | None = None,
    answers: Answers = NONE_YET,
) -> PlayersSaved:
    """Store what was edited in a table of players, as one change beside new names.

    Args:
        work: An open unit of work.
        ensemble_id: Whose players.
        entries: The rows; what stands as it was shown is passed over.
        by: Who enters it.
        today: Against which days are held.
        moves_on: First day in another section; None when they always sat there.
        answers: What was said yes to.

    Raises:
        EntriesError: If cells cannot be used, by seat and field (``"12 joined"``); nothing is stored.
        ConflictError: If a cell was changed by somebody else meanwhile.
        OddEntryError: If all can be used, but some days lie far away.
    """
    odd: list[Question] = []
    seats = {seat.player.id: seat for seat in seats_of(work, ensemble_id)}
    faults: dict[str, str] = {}
    done: Counter[str] = Counter()
    edited = [(entry, _changed(seats, entry)) for entry in entries]
    with roster_changed(work, ensemble_id, by):
        for entry, changed in edited:
            field = "name"
            try:
                if entry.is_out:
                    remove_seat(work, entry.seat)
                    done["out"] += 1
                    continue
                seat = seats[entry.seat]
                if "joined" in changed or "last_day" in changed:
                    field = "joined" if "joined" in changed else "last_day"
                    set_seat_days(work, entry.seat, *_days(seat, changed), today=today, answers=answers)
                    done["days"] += 1
                if "section" in changed:
                    field = "section"
                    section_id = number_of_thing(changed["section"])
                    if section_id is None:
                        raise InputError("Choose a section of the list.")
                    move_seat(work, entry.seat, section_id, today=today, on=moves_on, answers=answers)
                    done["moved"] += 1
            except OddEntryError as error:
                odd += error.questions
            except PlannerError as error:
                faults[f"{entry.seat} {field}"] = str(error)
    for entry, changed in edited:
        if "name" not in changed or entry.is_out:
            continue
        try:
            person = seats[entry.seat].player.person
            rename_player(work, person, changed["name"], by=by, is_sure=entry.is_other)
            done["renamed"] += 1
        except QuestionError as error:
            faults[f"{entry.seat} same"] = str(error)
        except InputError as error:
            faults[f"{entry.seat} name"] = str(error)
    if faults:
        raise EntriesError(faults)
    answers.ask(odd)
    return PlayersSaved(**done)


def _changed(seats: Mapping[int, Seat], entry: SeatEntry) -> dict[str, str]:
    """What was edited in a row.

    Raises:
        NotFoundError: If the seat is not there.
        ConflictError: If somebody else changed the same meanwhile.
    """
    if entry.seat not in seats:
        raise NotFoundError("player", entry.seat, hint="Somebody may have taken them out meanwhile.")
    seat = seats[entry.seat]
    stored = seat_texts(seat.section, seat.player)
    changed = {
        field: one_line(text)
        for field, text in entry.typed.items()
        if text.strip() != entry.shown.get(field, stored[field])
    }
    for field, text in list(changed.items()):
        if field in entry.shown and stored[field] not in (entry.shown[field], text):
            raise ConflictError(
                f"The {_MEANT[field]} of {seat.player.name} was changed meanwhile.",
                hint="Open the page again and look.",
            )
        if text == stored[field]:
            del changed[field]
    return changed


def _days(seat: Seat, changed: Mapping[str, str]) -> tuple[date | None, date | None]:
    """First day and first day no longer there, as edited."""
    joined, left = seat.player.joined, seat.player.left
    if "joined" in changed:
        joined = parse_date(changed["joined"]) if changed["joined"] else None
    if "last_day" in changed:
        left = day_after(parse_date(changed["last_day"])) if changed["last_day"] else None
    return joined, left


def day_after(last_day: date) -> date:
    """The first day without somebody whose last day this is.

    Raises:
        InputError: If the calendar ends there.
    """
    if last_day == date.max:
        raise InputError("That day is too far away.", hint="Check the year.")
    return last_day + timedelta(days=1)
