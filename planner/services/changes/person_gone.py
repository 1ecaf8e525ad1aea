"""Taking what the journal holds of a person, or the name of an account, out of it for good."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from planner.core.change import Author, Change, ChangeKind, Subject, Values
from planner.core.person_name import GONE, NameSearch
from planner.core.text import folded
from planner.services.ports.work import UnitOfWork
from planner.services.privacy.mentions import without_names

_OF_PIECES = ("piece", "reading")
"""Things whose name is a title."""


_NO_NAME = NameSearch(())


@dataclass(frozen=True, slots=True)
class Gone:
    """Who is taken out of the journal.

    Attributes:
        people: Identities of the person: more than one where entries were joined.
        seats: Every seat they have or had.
        search: Finds the names in what was written of others.
        accounts: Names of accounts that go as well.
    """

    people: frozenset[int] = frozenset()
    seats: frozenset[int] = frozenset()
    search: NameSearch = _NO_NAME
    accounts: tuple[str, ...] = ()


def identities_of(work: UnitOfWork, person: int) -> frozenset[int]:
    """A person with those whose entries became part of theirs."""
    joined = joined_people(work)
    found = {person}
    while more := {other for other, one in joined.items() if one in found} - found:
        found |= more
    return frozenset(found)


def joined_people(work: UnitOfWork) -> Mapping[int, int]:
    """By identity, whose entry those became part of who have nothing of their own any more."""
    names = work.ensembles.people()
    alive = {p.person for e in work.ensembles.list_ensembles() for s in e.sections for p in s.players}
    alive |= {each.person for each in work.ensembles.exposures() if each.person is not None}
    every = work.changes.every()
    joined = [each.subject for each in every if each.kind == ChangeKind.PEOPLE_JOINED]
    pairs = {int(subject.within["other"]): subject.id for subject in joined}
    return {other: one for other, one in pairs.items() if other in names and other not in alive}


def seats_in_journal(work: UnitOfWork, people: Collection[int]) -> frozenset[int]:
    """Every seat of some people that the journal knows, those that are gone too."""
    found = set()
    for change in work.changes.every():
        for side in (change.before, change.after):
            found |= {int(name.split()[1]) for name, value in side.items() if _is_seat(name, value, people)}
    return frozenset(found)


def former_names(work: UnitOfWork, people: Collection[int]) -> tuple[str, ...]:
    """What people were called before, as the journal knows it."""
    every = work.changes.every()
    renamed = [each for each in every if each.kind == ChangeKind.PERSON and each.subject.id in people]
    names = [side["name"] for each in renamed for side in (each.before, each.after)]
    return tuple(dict.fromkeys(name for name in names if name))


def entries_about(work: UnitOfWork, gone: Gone) -> Sequence[Change]:
    """The entries that speak of a person, or name them."""
    return [each for each in work.changes.every() if _without(each, gone) != each]


def take_out_of_journal(work: UnitOfWork, gone: Gone) -> int:
    """Take a person, or the name of an account, out of every entry; an entry of nothing else goes whole.

    Returns:
        How many entries were changed or taken out.
    """
    empty, count = [], 0
    for change in work.changes.every():
        left = _without(change, gone)
        if left == change:
            continue
        count += 1
        if left is None:
            empty.append(change.id)
        else:
            work.changes.put(left)
    work.changes.remove(empty)
    return count


def record_deleted(
    work: UnitOfWork, subject: Subject, count: int, by: Author, accounts: Sequence[str]
) -> None:
    """Journal that records were deleted for good, without saying whose."""
    author = replace(by, account=GONE) if _is_one_of(by.account, accounts) else by
    work.changes.add(Change(0, ChangeKind.DELETED, subject, {"records": count}, {"records": 0}, author))


def _without(change: Change, gone: Gone) -> Change | None:
    """An entry without a person; None when nothing is left of it."""
    if (
        change.subject.kind == "person"
        and change.subject.id in gone.people
        and change.kind != ChangeKind.DELETED
    ):
        return None
    names = [name for name in {**change.before, **change.after} if not _is_of(name, change, gone)]
    if not names and change.after:
        return None
    by = replace(change.by, account=GONE) if _is_one_of(change.by.account, gone.accounts) else change.by
    before, after = (
        {name: side[name] for name in names if name in side} for side in (change.before, change.after)
    )
    subject = change.subject
    if subject.kind == "account":
        subject = replace(subject, name=GONE) if _is_one_of(subject.name, gone.accounts) else subject
        before, after = _account_values(before, gone), _account_values(after, gone)
    elif subject.kind != "person":  # what other people are called is their own
        subject = _subject_without(subject, gone.search)
        before, after = without_names(before, gone.search), without_names(after, gone.search)
    return replace(change, subject=subject, before=before, after=after, by=by)


def _subject_without(subject: Subject, search: NameSearch) -> Subject:
    name = subject.name if subject.kind in _OF_PIECES else search.without(subject.name)
    return replace(subject, name=name, within=without_names(dict(subject.within), search))


def _account_values(values: Values, gone: Gone) -> dict[str, Any]:
    is_named = _is_one_of(str(values.get("name") or ""), gone.accounts)
    return {**values, "name": GONE} if is_named else dict(values)


def _is_of(name: str, change: Change, gone: Gone) -> bool:
    """Whether a value of an entry is of a person's own: a seat, a mark, something they alone met."""
    values: Sequence[Any] = (change.before.get(name), change.after.get(name))
    kind, _, rest = name.partition(" ")
    if kind in ("seat", "mark"):
        return int(rest.split()[0]) in gone.seats or any(_is_seat(name, each, gone.people) for each in values)
    return kind == "met" and any(isinstance(v, Mapping) and v.get("person") in gone.people for v in values)


def _is_seat(name: str, value: Any, people: Collection[int]) -> bool:
    return name.startswith("seat ") and isinstance(value, Mapping) and value.get("person") in people


def _is_one_of(name: str, accounts: Sequence[str]) -> bool:
    return bool(name) and folded(name) in {folded(each) for each in accounts}
