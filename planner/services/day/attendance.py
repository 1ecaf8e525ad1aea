"""Who was there on a reading day, and a player's own mark where it differs from the section's."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from planner.core.change import Author, ChangeKind
from planner.core.ensemble import Ensemble, Player, Section
from planner.core.freshness import is_present
from planner.core.question import Question
from planner.core.term import PlayerMark, Term
from planner.errors import InputError, NotFoundError
from planner.services.changes.attendance_record import attendance_subject
from planner.services.changes.journal import recorded
from planner.services.entered.answers import NONE_YET, Answers
from planner.services.entered.days import reading_day_questions
from planner.services.ports import UnitOfWork

MOST_POINTS = 100
"""The highest mark of the gradebook."""


@dataclass(frozen=True, slots=True)
class Attendee:
    """A player who belongs to the ensemble on a day, and what is known of it; None while nothing is."""

    section: Section
    player: Player
    mark: PlayerMark | None


@dataclass(frozen=True, slots=True)
class AttendanceEntry:
    """What is entered of a player on a day.

    Attributes:
        seat: Whose.
        is_present: Whether they were there; None forgets what was entered.
        mark: Their own mark of 100; None for that of their section.
    """

    seat: int
    is_present: bool | None
    mark: float | None = None


def attendees(work: UnitOfWork, ensemble: Ensemble, on: date) -> tuple[Attendee, ...]:
    """Everyone who belongs to the ensemble on a day, by section, and who has an entry of it all the same."""
    known = {mark.player_id: mark for mark in work.results.marks(ensemble.id, on)}
    return tuple(
        Attendee(section, player, known.get(player.id))
        for section in ensemble.sections
        for player in section.players
        if is_present(player, on) or player.id in known
    )


def take_attendance(
    work: UnitOfWork,
    ensemble_id: int,
    on: date,
    entries: Sequence[AttendanceEntry],
    *,
    by: Author,
    today: date,
    answers: Answers = NONE_YET,
) -> tuple[Attendee, ...]:
    """Store who was there, as one change in the journal; everyone of that day as it is then.

    Args:
        work: An open unit of work.
        ensemble_id: Of which ensemble.
        on: The day.
        entries: The players of whom something is entered; what is known of the others stays.
        by: Who enters it.
        today: Against which the day is held.
        answers: What was said yes to.

    Raises:
        NotFoundError: If the ensemble, or one of the players on that day, is not there.
        InputError: If the day is still to come, or a mark is none of 0 to 100.
        OddEntryError: If the day is far away or no reading day, or one has a mark although away.
    """
    ensemble = work.ensembles.get(ensemble_id)
    there = {each.player.id: each for each in attendees(work, ensemble, on)}
    for entry in entries:
        _check(entry, there)
    known = {mark.on for mark in work.results.marks(ensemble_id)}
    terms = work.terms.list_terms(ensemble_id)
    answers.ask(_odd(entries, there, on, today, () if on in known else terms))
    with recorded(work, ChangeKind.ATTENDANCE, attendance_subject(ensemble, on), by):
        for entry in entries:
            old = there[entry.seat].mark
            if entry.is_present is None:
                work.results.remove_mark(entry.seat, on)
            else:
                note = old.note if old else ""
                work.results.put_mark(PlayerMark(entry.seat, on, entry.is_present, entry.mark, note))
    return attendees(work, ensemble, on)


def _odd(
    entries: Sequence[AttendanceEntry],
    there: Mapping[int, Attendee],
    on: date,
    today: date,
    terms: Sequence[Term],
) -> Iterator[Question]:
    yield from reading_day_questions(on, today, terms)
    for entry in entries:
        if entry.is_present is False and entry.mark is not None:
            name = there[entry.seat].player.name
            sentence = f"{name} was away and has a mark of {entry.mark:g}."
            yield Question(f"away {entry.seat} {entry.mark:g}", sentence, f"mark-{entry.seat}")


def _check(entry: AttendanceEntry, there: Mapping[int, Attendee]) -> None:
    if entry.seat not in there:
        raise NotFoundError("player", entry.seat, hint="Look at who belongs to the ensemble on that day.")
    if entry.mark is None:
        return
    name, field = there[entry.seat].player.name, f"mark-{entry.seat}"
    if not 0 <= entry.mark <= MOST_POINTS:
        raise InputError(f"{name}: a mark lies from 0 to {MOST_POINTS}, not at {entry.mark:g}.", field=field)
    if 0 < entry.mark < 1:
        points = f"{100 * entry.mark:g}"
        raise InputError(
            f"{name}: a mark of {entry.mark:g} is less than one of {MOST_POINTS}.",
            hint=f"If {points} is meant, write {points}.", field=field,
        )  # fmt: skip
