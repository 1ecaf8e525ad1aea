"""Players: who sits where, from which day to which; they join, move, leave and come back."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from planner.core.change import Author, ChangeKind
from planner.core.ensemble import Ensemble, Player, Section
from planner.core.text import folded
from planner.errors import ConflictError, InputError, QuestionError
from planner.services.changes.ensemble_record import person_subject
from planner.services.changes.journal import recorded
from planner.services.entered.answers import NONE_YET, Answers
from planner.services.entered.days import check_seat_days, seat_questions
from planner.services.entered.words import entered_line
from planner.services.people.find import find_player, find_section
from planner.services.people.roster_change import roster_changed
from planner.services.ports.work import UnitOfWork
from planner.wording.words import listed

SOMEONE_ELSE = -1
"""Answer to the question who is meant: nobody who is there already."""


@dataclass(frozen=True, slots=True)
class Seat:
    """A player's seat with the section and ensemble it belongs to."""

    ensemble: Ensemble
    section: Section
    player: Player


def seats_of(work: UnitOfWork, ensemble_id: int | None = None) -> tuple[Seat, ...]:
    """All seats, of one ensemble or of all, in the order of sections and of entry."""
    return tuple(
        Seat(ensemble, section, player)
        for ensemble in work.ensembles.list_ensembles()
        if ensemble_id in (None, ensemble.id)
        for section in ensemble.sections
        for player in section.players
    )


def alike(seats: Sequence[Seat], name: str) -> dict[int, list[Seat]]:
    """The people called so, whatever the case and the accents, each with their seats."""
    found: dict[int, list[Seat]] = {}
    for seat in seats:
        if folded(seat.player.name) == folded(name):
            found.setdefault(seat.player.person, []).append(seat)
    return found


def add_player(
    work: UnitOfWork,
    section_id: int,
    name: str,
    *,
    today: date,
    by: Author,
    joined: date | None = None,
    left: date | None = None,
    person: int | None = None,
    answers: Answers = NONE_YET,
) -> int:
    """Seat a player in a section, and journal it; the seat's id.

    A section grows when more are named than it counts.

    Args:
        work: An open unit of work.
        section_id: Where the player sits.
        name: As called in the room.
        today: Against which the days are held.
        by: Who enters it.
        joined: First day in the section; None when not known.
        left: First day no longer in it; None when still there.
        person: Who is meant: somebody known already, or ``SOMEONE_ELSE``; None while that was not asked.
        answers: What was said yes to.

    Raises:
        InputError: If the name or a day cannot hold.
        QuestionError: If there is a player of that name, and it was not said whether it is the same person.
        OddEntryError: If a day lies far away.
        ConflictError: If that person sits in the section already.
        NotFoundError: If there is no such section.
    """
    ensemble, _ = find_section(work, section_id)
    with roster_changed(work, ensemble.id, by):
        player = Player(0, name, joined, left)
        return seat_player(work, section_id, player, today=today, person=person, answers=answers)


def seat_player(
    work: UnitOfWork, section_id: int, player: Player, *, today: date, person: int | None, answers: Answers
) -> int:
    """As ``add_player``, within a change that is journaled by the caller."""
    name = checked_name(player.name)
    check_seat_days(name, player.joined, player.left, today)
    _, section = find_section(work, section_id)
    known = alike(seats_of(work), name)
    if person is None and known:
        raise QuestionError(
            f"There is a player named {name} already: {places_text(known)}. Is this the same person?",
            hint="Say so, or say that it is someone else of that name.",
        )
    answers.ask(seat_questions(name, player.joined, player.left, today))
    who = work.ensembles.add_person(name) if person in (None, SOMEONE_ELSE) else person or 0
    for other in section.players:
        if other.person == who and _overlap(other, player):
            raise ConflictError(f"{name} sits in {section.name} already.", hint="Change the days instead.")
    seat = work.ensembles.add_player(section_id, replace(player, name=name, person=who))
    recount(work, section)
    return seat


def move_player(
    work: UnitOfWork, seat_id: int, section_id: int, *, by: Author, today: date, on: date | None = None,
    answers: Answers = NONE_YET,
) -> int:  # fmt: skip
    """Seat a player in another section of the ensemble, and journal it; the seat they have there.

    What the player met in the old section comes along, as they sat there.

    Args:
        work: An open unit of work.
        seat_id: The seat they leave.
        section_id: Where they sit from then on.
        by: Who enters it.
        today: Against which the day is held.
        on: First day there; None when they always sat there and were entered wrongly.
        answers: What was said yes to.

    Raises:
        NotFoundError: If seat or section is not there.
        InputError: If the section belongs to another ensemble, or the day lies outside of the seat's days.
        ConflictError: If they sit there already.
        OddEntryError: If the day lies far back.
    """
    ensemble, _, _ = find_player(work, seat_id)
    with roster_changed(work, ensemble.id, by):
        return move_seat(work, seat_id, section_id, today=today, on=on, answers=answers)


def move_seat(
    work: UnitOfWork, seat_id: int, section_id: int, *, today: date, on: date | None, answers: Answers
) -> int:
    """As ``move_player``, within a change that is journaled by the caller."""
    ensemble, old, player = find_player(work, seat_id)
    target, new = find_section(work, section_id)
    if target.id != ensemble.id:
        raise InputError(
            f"{new.name} is a section of {target.name}.", hint="Add the player there under the same name."
        )
    if new.id == old.id:
        return seat_id
    if any(other.person == player.person and _overlap(other, player) for other in new.players):
        raise ConflictError(f"{player.name} sits in {new.name} already.", hint="Give the last day instead.")
    if on is None or on == player.joined:
        work.ensembles.move_player(seat_id, section_id)
        seat = seat_id
    else:
        check_seat_days(player.name, player.joined, on, today)
        if player.left is not None and player.left <= on:
            raise InputError(f"{player.name} has left {old.name} before that day.", hint="Check the date.")
        answers.ask(seat_questions(player.name, None, on, today))
        work.ensembles.update_player(replace(player, left=on))
        seat = work.ensembles.add_player(section_id, replace(player, id=0, joined=on))
    recount(work, old)
    recount(work, new)
    return seat


def set_days(
    work: UnitOfWork,
    seat_id: int,
    joined: date | None,
    left: date | None,
    *,
    by: Author,
    today: date,
    answers: Answers = NONE_YET,
) -> None:
    """Say from which day to which a player sits there, and journal it.

    Args:
        work: An open unit of work.
        seat_id: Which seat.
        joined: First day; None when not known.
        left: First day no longer there; None when still there.
        by: Who enters it.
        today: Against which the days are held.
        answers: What was said yes to.

    Raises:
        NotFoundError: If there is no such seat.
        InputError: If a day cannot hold.
        OddEntryError: If a day that is new lies far away.
    """
    ensemble, _, _ = find_player(work, seat_id)
    with roster_changed(work, ensemble.id, by):
        set_seat_days(work, seat_id, joined, left, today=today, answers=answers)


def set_seat_days(
    work: UnitOfWork,
    seat_id: int,
    joined: date | None,
    left: date | None,
    *,
    today: date,
    answers: Answers,
) -> None:
    """As ``set_days``, within a change that is journaled by the caller."""
    _, section, player = find_player(work, seat_id)
    check_seat_days(player.name, joined, left, today)
    new_first = joined if joined != player.joined else None
    new_left = left if left != player.left else None
    answers.ask(seat_questions(player.name, new_first, new_left, today))
    moved = replace(player, joined=joined, left=left)
    others = [p for p in section.players if p.person == player.person and p.id != seat_id]
    if any(_overlap(other, moved) for other in others):
        raise ConflictError(f"{player.name} would sit in {section.name} twice on some days.")
    work.ensembles.update_player(moved)
    recount(work, section)


def come_back(
    work: UnitOfWork, seat_id: int, on: date, *, by: Author, today: date, answers: Answers = NONE_YET
) -> int:
    """Seat a player who had left once more, from a day on, and journal it; the new seat.

    Raises:
        NotFoundError: If there is no such seat.
        InputError: If the day cannot hold.
        OddEntryError: If the day lies far back.
        ConflictError: If they have not left.
    """
    ensemble, section, player = find_player(work, seat_id)
    if player.left is None or player.left > on:
        raise ConflictError(f"{player.name} has not left {section.name} by then.")
    with roster_changed(work, ensemble.id, by):
        again = Player(0, player.name, on, None)
        return seat_player(work, section.id, again, today=today, person=player.person, answers=answers)


def rename_player(work: UnitOfWork, person: int, name: str, *, by: Author, is_sure: bool = False) -> None:
    """Give a player another name on every seat, and journal it.

    Raises:
        InputError: If the name is empty.
        QuestionError: If somebody else is called so, unless the director is sure that they are two.
    """
    name = checked_name(name)
    others = {i: seats for i, seats in alike(seats_of(work), name).items() if i != person}
    if others and not is_sure:
        raise QuestionError(
            f"There is another player named {name} already: {places_text(others)}. Is this the same person?",
            hint="If so, keep the name and add a seat for that person instead; else say that they are two.",
        )
    with recorded(work, ChangeKind.PERSON, person_subject(person), by):
        work.ensembles.rename_person(person, name)


def remove_player(work: UnitOfWork, seat_id: int, *, by: Author) -> Seat:
    """Take a seat out that was entered wrongly, and journal it; the seat as it was.

    Raises:
        NotFoundError: If there is no such seat.
        ConflictError: If there are marks of it.
    """
    ensemble, section, player = find_player(work, seat_id)
    with roster_changed(work, ensemble.id, by):
        remove_seat(work, seat_id)
    return Seat(ensemble, section, player)


def remove_seat(work: UnitOfWork, seat_id: int) -> None:
    """As ``remove_player``, within a change that is journaled by the caller."""
    _, section, _ = find_player(work, seat_id)
    work.ensembles.remove_player(seat_id)
    recount(work, section)


def checked_name(text: str) -> str:
    """A player's name, white space folded.

    Raises:
        InputError: If it is empty, too long, or holds what cannot be shown.
    """
    name = entered_line(text, "The name of a player", field="name")
    if not name:
        raise InputError("A player needs a name.", field="name")
    return name


def places_text(known: dict[int, list[Seat]]) -> str:
    """Where people sit, in words: ``in Flute of Town Band``."""
    places = [
        f"{seat.section.name} of {seat.ensemble.name}" + (" (left)" if seat.player.left else "")
        for seats in known.values()
        for seat in seats
    ]
    return f"in {listed(list(dict.fromkeys(places)))}"


def recount(work: UnitOfWork, before: Section) -> None:
    """Keep a section's size in step with its named players, if they were all named before."""
    _, section = find_section(work, before.id)
    named = staying(section)
    if named > section.size or staying(before) >= before.size:
        work.ensembles.update_section(replace(section, size=max(1, named)))


def staying(section: Section) -> int:
    """How many of the named players have no last day."""
    return len({player.person for player in section.players if player.left is None})


def _overlap(one: Player, other: Player) -> bool:
    """Whether two seats share a day."""
    return all(
        late.joined is None or early.left is None or late.joined < early.left
        for early, late in ((one, other), (other, one))
    )
