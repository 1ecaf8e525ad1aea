"""Who a person is: every identity, name, seat and account that is theirs."""

from collections.abc import Sequence
from dataclasses import dataclass

from planner.core.account import Account
from planner.core.person_name import NameSearch, parts_of
from planner.core.text import folded
from planner.errors import InputError, NotFoundError
from planner.services.changes.person_gone import (
    Gone,
    former_names,
    identities_of,
    joined_people,
    seats_in_journal,
)
from planner.services.entered.numbers import number_of_thing
from planner.services.people.players import Seat, seats_of
from planner.services.ports.work import UnitOfWork
from planner.services.privacy.mentions import Mention, find_mentions


@dataclass(frozen=True, slots=True)
class Who:
    """A person as the library knows them.

    Attributes:
        person: Identity.
        name: What they are called.
        people: Every identity of theirs: more than one where entries were joined.
        former: What they were called before.
        also: What else the director says they are called.
        seats: Where they sit or sat.
        accounts: Accounts of that name.
        search: Finds any of their names in a text.
        namesakes: How many other people are called the same.
    """

    person: int
    name: str
    people: frozenset[int]
    former: tuple[str, ...]
    also: tuple[str, ...]
    seats: tuple[Seat, ...]
    accounts: tuple[Account, ...]
    search: NameSearch
    namesakes: int

    @property
    def parts(self) -> tuple[str, ...]:
        """Words of the name that are not looked for alone."""
        looked_for = set(map(folded, self.search.names))
        return tuple(part for part in parts_of(self.name) if folded(part) not in looked_for)


def who_is(work: UnitOfWork, person: int, also: Sequence[str] = ()) -> Who:
    """A person with all that is theirs.

    Args:
        work: An open unit of work.
        person: Which person.
        also: Further names to look for: a nickname, a first name alone.

    Raises:
        NotFoundError: If they are not known.
    """
    names = work.ensembles.people()
    if person not in names:
        raise NotFoundError("player", "of that number", hint="Their records may have been deleted.")
    people = identities_of(work, person)
    others = {name for identity, name in names.items() if identity not in people}
    own = {names[identity] for identity in people} | set(former_names(work, people))
    taken = {folded(name) for name in others}
    former = tuple(sorted(each for each in own if each != names[person] and folded(each) not in taken))
    more = tuple(dict.fromkeys(" ".join(each.split()) for each in also if each.strip()))
    called = NameSearch((names[person], *former), tuple(sorted(others)))
    search = NameSearch((names[person], *former, *more), tuple(sorted(others)))
    return Who(
        person, names[person], people, former, more,
        tuple(seat for seat in seats_of(work) if seat.player.person in people),
        tuple(each for each in work.accounts.list_accounts() if called.is_in(each.name)),
        search,
        sum(folded(name) == folded(names[person]) for name in others),
    )  # fmt: skip


def gone_of(work: UnitOfWork, who: Who, accounts: Sequence[str]) -> Gone:
    """A person as they are taken out of the journal."""
    return Gone(who.people, every_seat(work, who), who.search, tuple(accounts))


def every_seat(work: UnitOfWork, who: Who) -> frozenset[int]:
    """The seats of a person, those they left long ago among them."""
    return frozenset({seat.player.id for seat in who.seats} | seats_in_journal(work, who.people))


def mentions_elsewhere(work: UnitOfWork, who: Who) -> Sequence[Mention]:
    """Texts that name a person and are not of their own marks and exposures, which go as a whole."""
    seats = {str(seat.player.id) for seat in who.seats}
    met = {str(each.id) for each in work.ensembles.exposures() if each.person in who.people}
    own = {"player_marks": seats, "exposures": met}
    found = find_mentions(work, who.search)
    return [each for each in found if each.place.split()[1] not in own.get(each.table, ())]


def people_without_seat(work: UnitOfWork) -> dict[int, str]:
    """People who are known by name and sit nowhere, by identity, in order of their names.

    Those whose entry became part of another are not among them.
    """
    passed = {seat.player.person for seat in seats_of(work)} | set(joined_people(work))
    found = ((person, name) for person, name in work.ensembles.people().items() if person not in passed)
    return dict(sorted(found, key=lambda each: folded(each[1])))


def find_person(work: UnitOfWork, text: str) -> int:
    """The person who is called so, or who has that number.

    Raises:
        NotFoundError: If nobody is.
        InputError: If several are.
    """
    names = work.ensembles.people()
    found = [person for person, name in names.items() if folded(name) == folded(text)]
    number = number_of_thing(text)
    if not found and number is not None and number in names:
        return number
    if not found:
        raise NotFoundError("player", f"“{text.strip()}”", hint="Look at the names on the roster.")
    if len(found) > 1:
        places = {person: _place(work, person) for person in found}
        spelled = "; ".join(f"{person} ({place})" for person, place in places.items())
        raise InputError(f"Several people are called {text.strip()}.", hint=f"Give the number: {spelled}.")
    return found[0]


def _place(work: UnitOfWork, person: int) -> str:
    seats = [seat for seat in seats_of(work) if seat.player.person == person]
    return ", ".join(f"{seat.section.name} of {seat.ensemble.name}" for seat in seats) or "no seat"
