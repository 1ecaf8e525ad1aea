"""Two entries of players that are the same person: looked at, and made one."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from difflib import SequenceMatcher

from planner.core.change import Author, ChangeKind
from planner.core.ensemble import Player, Section
from planner.core.text import folded
from planner.errors import ConflictError, NotFoundError
from planner.services.changes.journal import recorded
from planner.services.changes.people_record import joined_subject
from planner.services.levels.index import index_ensemble
from planner.services.people.players import Seat, recount, seats_of
from planner.services.ports.work import UnitOfWork
from planner.wording.director.privacy import join_lines


@dataclass(frozen=True, slots=True)
class JoinPreview:
    """What joining two entries would do.

    Attributes:
        person, name: The entry that stays, and what it is called.
        other, other_name: The entry that becomes part of it.
        seats: Seats of the one that stays.
        coming: Seats of the other that come along as they are.
        doubled: Seats of the other on days on which the person sits in that section already, each with the
            seat it becomes one with.
        marks: How many days with presence, marks or remarks come along.
        clashing: Days of which both have marks: those of the one that stays hold.
        met: How many entries of what the other alone has met come along.
    """

    person: int
    name: str
    other: int
    other_name: str
    seats: tuple[Seat, ...]
    coming: tuple[Seat, ...]
    doubled: tuple[tuple[Seat, Seat], ...]
    marks: int
    clashing: tuple[date, ...]
    met: int

    def lines(self) -> list[str]:
        """What it does, a line each."""
        return join_lines(
            name=self.name, other=self.other_name,
            coming=[f"{seat.section.name} of {seat.ensemble.name}" for seat in self.coming],
            doubled=[f"{seat.section.name} of {seat.ensemble.name}" for seat, _ in self.doubled],
            marks=self.marks, clashing=len(self.clashing), met=self.met,
        )  # fmt: skip


def look_at_join(work: UnitOfWork, person: int, other: int) -> JoinPreview:
    """What joining two entries of players would do; nothing is changed.

    Raises:
        NotFoundError: If one of them is not known.
        ConflictError: If both are one already.
    """
    names = work.ensembles.people()
    for each in (person, other):
        if each not in names:
            raise NotFoundError("player", "of that number", hint="Their records may have been deleted.")
    if person == other:
        raise ConflictError(f"{names[person]} is one entry already.", hint="Choose the other entry.")
    every = seats_of(work)
    met = sum(each.person == other for each in work.ensembles.exposures())
    if not met and not any(seat.player.person == other for seat in every):
        raise ConflictError(
            f"{names[other]} has neither a seat nor a piece met: there is nothing to join.",
            hint="Join the other way round, or delete that entry.",
        )
    own = tuple(seat for seat in every if seat.player.person == person)
    others = tuple(seat for seat in every if seat.player.person == other)
    pairs = [(seat, _same_place(seat, own)) for seat in others]
    doubled = tuple((seat, there) for seat, there in pairs if there is not None)
    days = _days(work, every)
    clashing = sorted(
        {
            on
            for seat, there in doubled
            for on in days.get(seat.player.id, ())
            if on in days.get(there.player.id, ())
        }
    )
    return JoinPreview(
        person, names[person], other, names[other], own,
        tuple(seat for seat, there in pairs if there is None), doubled,
        sum(len(days.get(seat.player.id, ())) for seat in others), tuple(clashing), met,
    )  # fmt: skip


def join_people(work: UnitOfWork, person: int, other: int, *, by: Author) -> JoinPreview:
    """Take two entries of players for the same person, and journal it as one change; what was done.

    Seats, marks and exposures of the other become the person's; two seats in one section on the same days
    become one, from the first day of either to the last of either.

    Raises:
        NotFoundError: If one of them is not known.
        ConflictError: If both are one already.
    """
    seen = look_at_join(work, person, other)
    with recorded(work, ChangeKind.PEOPLE_JOINED, joined_subject(person, other), by):
        for seat in seen.coming:
            work.ensembles.update_player(replace(seat.player, person=person, name=seen.name))
        for seat, there in seen.doubled:
            _make_one(work, seat, there)
        for exposure in work.ensembles.exposures():
            if exposure.person == other:
                work.ensembles.remove_exposure(exposure)
                work.ensembles.add_exposure(replace(exposure, person=person, id=0))
    for ensemble_id in sorted({seat.ensemble.id for seat, _ in seen.doubled}):
        index_ensemble(work, ensemble_id)
    return seen


def likely_same(work: UnitOfWork, person: int) -> Sequence[tuple[int, str]]:
    """Other people, those first whose names are most like this one's, by identity."""
    names: Mapping[int, str] = work.ensembles.people()
    if person not in names:
        raise NotFoundError("player", "of that number", hint="Their records may have been deleted.")
    own = folded(names[person])
    others = [(identity, name) for identity, name in names.items() if identity != person]
    return sorted(
        others,
        key=lambda each: (-SequenceMatcher(None, own, folded(each[1])).ratio(), folded(each[1]), each[0]),
    )


def _same_place(seat: Seat, own: Sequence[Seat]) -> Seat | None:
    """The seat of the person in the same section on some of the same days."""
    return next(
        (each for each in own if each.section.id == seat.section.id and _overlap(each.player, seat.player)),
        None,
    )


def _overlap(one: Player, other: Player) -> bool:
    return all(
        late.joined is None or early.left is None or late.joined < early.left
        for early, late in ((one, other), (other, one))
    )


def _days(work: UnitOfWork, seats: Sequence[Seat]) -> Mapping[int, set[date]]:
    """By seat, the days of which there is a mark."""
    found: dict[int, set[date]] = {}
    for ensemble_id in {seat.ensemble.id for seat in seats}:
        for mark in work.results.marks(ensemble_id):
            found.setdefault(mark.player_id, set()).add(mark.on)
    return found


def _make_one(work: UnitOfWork, seat: Seat, there: Seat) -> None:
    """Make two seats in one section one."""
    marks = work.results.marks(seat.ensemble.id)
    taken = {mark.on for mark in marks if mark.player_id == there.player.id}
    for mark in marks:
        if mark.player_id == seat.player.id:
            work.results.remove_mark(mark.player_id, mark.on)
            if mark.on not in taken:
                work.results.put_mark(replace(mark, player_id=there.player.id))
    section = _section_now(work, seat.section)
    now = next(player for player in section.players if player.id == there.player.id)
    days = [now, seat.player]
    joined = (
        None
        if any(each.joined is None for each in days)
        else min(each.joined for each in days if each.joined)
    )
    left = None if any(each.left is None for each in days) else max(each.left for each in days if each.left)
    work.ensembles.remove_player(seat.player.id)
    work.ensembles.update_player(replace(now, joined=joined, left=left))
    recount(work, section)


def _section_now(work: UnitOfWork, section: Section) -> Section:
    return next(
        each for one in work.ensembles.list_ensembles() for each in one.sections if each.id == section.id
    )
