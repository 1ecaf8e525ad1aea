"""Deleting the records of a person, or the name of an account, so that no trace is left."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from planner.core.account import Account
from planner.core.change import Author, Subject
from planner.core.person_name import GONE, NameSearch
from planner.core.text import folded
from planner.errors import ConflictError, InputError, NotFoundError
from planner.services.accounts.sign_in import name_key
from planner.services.changes.account_record import check_directors
from planner.services.changes.person_gone import (
    Gone,
    entries_about,
    record_deleted,
    take_out_of_journal,
)
from planner.services.jobs.under_way import check_nothing_runs
from planner.services.people.players import remove_seat
from planner.services.people.roster_change import roster_changed
from planner.services.ports.files import FileTrace, TracePlace
from planner.services.ports.records import StoredText
from planner.services.ports.work import UnitOfWork
from planner.services.privacy.files import files_about
from planner.services.privacy.mentions import Mention, find_mentions, take_names_out
from planner.services.privacy.who import Who, every_seat, gone_of, mentions_elsewhere, who_is
from planner.services.toolbox import Toolbox, changing

_ON_SHEETS = frozenset({"ensembles", "sections", "terms", "stations", "pieces"})
"""Tables whose texts are printed on sheets, which cannot be looked through."""

_WRITTEN_ANEW = (TracePlace.OURS, TracePlace.INBOX)
"""Files that the program deletes by itself: they can be written, or sent, again."""


@dataclass(frozen=True, slots=True)
class Outlook:
    """What deleting the records of a person would do.

    Attributes:
        who: The person.
        marks: How many days with presence, marks or remarks go.
        met: How many entries of what they alone have met go.
        changes: How many entries of the list of changes are changed or go.
        mentions: Texts in which a name stands.
        files: Files of the home that name them, backups aside.
    """

    who: Who
    marks: int
    met: int
    changes: int
    mentions: Sequence[Mention]
    files: Sequence[FileTrace]


@dataclass(frozen=True, slots=True)
class Deleted:
    """What was deleted, and what is left for the director to decide.

    Attributes:
        texts: How many texts the name was taken out of.
        left: Texts in which it still stands: those that were to stay, and what scores say of themselves.
        accounts: Names of the accounts that were removed.
        removed: Files that were deleted.
        kept: Files that a person made or changed and that still name them.
        backups: Backups that still name them, or may.
        is_on_server: Whether the library is a database on a server, whose files may still hold the name.
        is_written_anew: Whether nothing is left in the files of the library; not while others hold on to it.
    """

    texts: int
    left: Sequence[Mention]
    accounts: Sequence[str]
    removed: Sequence[FileTrace]
    kept: Sequence[FileTrace]
    backups: Sequence[FileTrace]
    is_on_server: bool
    is_written_anew: bool


def look_at_person(tools: Toolbox, work: UnitOfWork, person: int, also: Sequence[str] = ()) -> Outlook:
    """What deleting the records of a person would do; nothing is changed.

    Raises:
        NotFoundError: If they are not known.
    """
    who = who_is(work, person, also)
    seats = {seat.player.id for seat in who.seats}
    ensembles = {seat.ensemble.id for seat in who.seats}
    accounts = [each.name for each in who.accounts]
    return Outlook(
        who,
        sum(mark.player_id in seats for one in ensembles for mark in work.results.marks(one)),
        sum(each.person in who.people for each in work.ensembles.exposures()),
        len(entries_about(work, gone_of(work, who, accounts))),
        mentions_elsewhere(work, who),
        files_about(tools.traces, who.search, every_seat(work, who), but_backups=True),
    )


def forget_person(
    tools: Toolbox,
    person: int,
    *,
    typed: str,
    by: Author,
    also: Sequence[str] = (),
    leave: Collection[str] = (),
    files: Collection[str] = (),
    with_accounts: bool = True,
) -> Deleted:
    """Delete all records of a person for good; results of their groups stay.

    Args:
        tools: The ports. No unit of work of this program may be open.
        person: Which person.
        typed: The name as the director typed it to say that this is meant.
        by: Who deletes.
        also: Further names to take out of texts.
        leave: Places of texts that stay as they are, because they speak of somebody else.
        files: Names of files that a person made or changed and that go as well.
        with_accounts: Accounts of that name are removed too.

    Raises:
        NotFoundError: If the person is not known.
        InputError: If the name was not typed as it is.
        ConflictError: If long work is under way, or no director would be left among the accounts.
        ExportError: If a file could not be deleted.
    """
    check_nothing_runs(tools)
    with changing(tools.work) as work:
        who = who_is(work, person, also)
        check_typed(typed, who.name)
        accounts = who.accounts if with_accounts else ()
        gone = gone_of(work, _but_for(work, who, leave), [each.name for each in accounts])
        _take_seats_out(work, who, by)
        changed = take_names_out(work, who.search, leave)
        _remove_accounts(work, accounts)
        for identity in who.people:
            work.ensembles.remove_person(identity)
        take_out_of_journal(work, gone)
        record_deleted(work, Subject("person", person, ""), 1, by, gone.accounts)
        left = find_mentions(work, who.search)
    return _clear_files(tools, who.search, changed, left, gone.accounts, files, gone.seats)


def forget_account(tools: Toolbox, name: str, *, typed: str, by: Author) -> Deleted:
    """Take the name of an account out of the list of changes for good, and the account, if it is there.

    Raises:
        NotFoundError: If nobody of that name has an account or stands in the list of changes.
        InputError: If the name was not typed as it is.
        ConflictError: If long work is under way, or no director would be left.
    """
    check_nothing_runs(tools)
    with changing(tools.work) as work:
        if name not in account_names(work):
            raise NotFoundError("account", f"“{name}”", hint="Look at the names of former accounts.")
        check_typed(typed, name)
        there = work.accounts.find_by_name(name)
        _remove_accounts(work, [there] if there else [])
        _take_accounts_out(work, (name,))
        count = take_out_of_journal(work, Gone(accounts=(name,)))
        record_deleted(work, Subject("account", there.id if there else 0, ""), count, by, (name,))
    return _clear_files(tools, NameSearch((name,)), (), (), (name,), ())


def finish(tools: Toolbox) -> None:
    """Leave nothing of what was deleted in the files of the library, where others held on to it before.

    Raises:
        ConflictError: If they still do.
    """
    check_nothing_runs(tools)
    tools.traces.write_library_anew()


def account_names(work: UnitOfWork) -> Sequence[str]:
    """Names of the accounts there are, and of those that stand in the list of changes; each once."""
    there = {each.name for each in work.accounts.list_accounts()}
    written = {each.by.account for each in work.changes.every()}
    named = {each.subject.name for each in work.changes.every() if each.subject.kind == "account"}
    return sorted((there | written | named) - {"", GONE})


def check_typed(typed: str, name: str) -> None:
    """Whether the name was typed, whatever its capitals.

    Raises:
        InputError: If not.
    """
    if folded(typed) != folded(name):
        raise InputError(
            "Nothing was deleted: the name was not typed as it stands here.",
            hint="Type it once more, or leave everything as it is.",
            field="typed",
        )


def _but_for(work: UnitOfWork, who: Who, leave: Collection[str]) -> Who:
    """A person, texts about somebody else aside: what was written there stays in the journal as well."""
    found = (each for each in find_mentions(work, who.search) if each.place in leave)
    theirs = [line for each in found for line in each.text.splitlines()]
    return replace(who, search=replace(who.search, others=(*who.search.others, *theirs)))


def _take_seats_out(work: UnitOfWork, who: Who, by: Author) -> None:
    for ensemble_id in sorted({seat.ensemble.id for seat in who.seats}):
        seats = {seat.player.id for seat in who.seats if seat.ensemble.id == ensemble_id}
        for mark in work.results.marks(ensemble_id):
            if mark.player_id in seats:
                work.results.remove_mark(mark.player_id, mark.on)
        with roster_changed(work, ensemble_id, by):
            for seat in sorted(seats):
                remove_seat(work, seat)


def _remove_accounts(work: UnitOfWork, accounts: Sequence[Account]) -> None:
    for account in accounts:
        work.accounts.remove(account.id)
        work.accounts.put_tries(name_key(account.name), None)
    if accounts:
        check_directors(work)
        _take_accounts_out(work, [each.name for each in accounts])


def _take_accounts_out(work: UnitOfWork, names: Sequence[str]) -> None:
    """Take names of accounts out of what is known of long work."""
    wanted = {folded(name) for name in names}
    for text in work.texts.find(lambda each: folded(each) in wanted):
        if (text.table, text.column) == ("jobs", "account"):
            work.texts.put(StoredText(text.table, text.column, text.key, GONE))


def _clear_files(
    tools: Toolbox,
    search: NameSearch,
    changed: Sequence[Mention],
    left: Sequence[Mention],
    accounts: Sequence[str],
    files: Collection[str],
    seats: Collection[int] = (),
) -> Deleted:
    """Leave nothing in the files of the library and in what the program wrote; say what others hold."""
    is_written_anew = True
    try:
        tools.traces.write_library_anew()
    except ConflictError:
        is_written_anew = False
    found = files_about(tools.traces, search, seats)
    going = [each for each in found if each.place in _WRITTEN_ANEW or each.name in files]
    if any(mention.table in _ON_SHEETS for mention in changed):
        going += [each for each in tools.traces.sheets() if each not in going]
    tools.traces.remove(going)
    return Deleted(
        len(changed), left, accounts, going,
        [each for each in found if each not in going and each.place != TracePlace.BACKUP],
        [each for each in found if each not in going and each.place == TracePlace.BACKUP],
        bool(tools.settings.library_url), is_written_anew,
    )  # fmt: skip
