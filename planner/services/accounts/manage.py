"""Accounts: adding, changing and removing people who may open the pages, and their passwords."""

from collections.abc import Collection
from dataclasses import replace
from datetime import datetime

from planner.core.account import Access, Account
from planner.core.change import Author, ChangeKind
from planner.core.text import folded
from planner.errors import InputError, NotFoundError
from planner.services.accounts.sign_in import name_key, normal_password
from planner.services.changes.account_record import account_subject, check_directors
from planner.services.changes.journal import record_new, recorded
from planner.services.entered.words import entered_line
from planner.services.ports.access import Passwords
from planner.services.ports.work import UnitOfWork

SHORTEST_PASSWORD = 10
"""Characters of a password at least. House choice; NIST SP 800-63B asks for 8 or more, of any kind."""

_LONGEST_PASSWORD = 1000
_LONGEST_NAME = 60


def find_account(work: UnitOfWork, name: str) -> Account:
    """The account of that name, whatever its capitals.

    Raises:
        NotFoundError: If there is none.
    """
    found = work.accounts.find_by_name(" ".join(name.split()))
    if found is None:
        raise NotFoundError("account", f"“{name}”")
    return found


def add_account(
    work: UnitOfWork,
    passwords: Passwords,
    account: Account,
    password: str,
    *,
    now: datetime,
    by: Author,
) -> Account:
    """A new account with its password; the first is a director's.

    Raises:
        InputError: If name, password or sections cannot be used.
        NotFoundError: If a section is not there.
        ConflictError: If the name is taken, or no director would be there to look after the others.
    """
    checked = _checked(work, account)
    hashed = passwords.hash(checked_password(password, checked.name))
    account_id = work.accounts.add(checked)
    work.accounts.put_password(account_id, hashed, now)
    check_directors(work)
    made = work.accounts.get(account_id)
    record_new(work, ChangeKind.ACCOUNT, account_subject(made), by)
    return made


def change_account(work: UnitOfWork, account: Account, *, by: Author) -> Account:
    """Store another name, access or other sections of an account; it stays logged in.

    Raises:
        InputError: If name or sections cannot be used.
        NotFoundError: If account or section is not there.
        ConflictError: If the name is taken, or no director would be left.
    """
    before = work.accounts.get(account.id)
    checked = _checked(work, account)
    with recorded(work, ChangeKind.ACCOUNT, account_subject(before), by):
        work.accounts.update(checked)
        check_directors(work)
    return work.accounts.get(account.id)


def remove_account(work: UnitOfWork, account_id: int, *, by: Author) -> Account:
    """Take an account out, logged out everywhere; the last one may go, and then there is no logging in.

    Raises:
        NotFoundError: If it is not there.
        ConflictError: If others are left and no director is among them.
    """
    gone = work.accounts.get(account_id)
    with recorded(work, ChangeKind.ACCOUNT, account_subject(gone), by):
        work.accounts.remove(account_id)
        check_directors(work)
    return gone


def set_password(
    work: UnitOfWork,
    passwords: Passwords,
    account_id: int,
    password: str,
    *,
    now: datetime,
    by: Author,
    but: str = "",
) -> Account:
    """Give an account a new password; it is logged out everywhere, and may try again at once.

    Args:
        work: An open unit of work.
        passwords: Hashes it.
        account_id: Whose.
        password: The new one.
        now: When, in UTC.
        by: Who sets it.
        but: Token of the browser that stays logged in: the one in which it is set.

    Raises:
        InputError: If the password is too short or too easy.
        NotFoundError: If there is no such account.
    """
    account = work.accounts.get(account_id)
    hashed = passwords.hash(checked_password(password, account.name))
    with recorded(work, ChangeKind.PASSWORD, account_subject(account), by):
        work.accounts.put_password(account_id, hashed, now)
    work.accounts.end_all(account_id, but)
    work.accounts.put_tries(name_key(account.name), None)
    return work.accounts.get(account_id)


def checked_password(password: str, name: str) -> str:
    """The password as it is hashed, if it may be used.

    Raises:
        InputError: If it is too short, endless, or the name itself.
    """
    normal = normal_password(password)
    if len(normal) < SHORTEST_PASSWORD:
        raise InputError(
            f"A password needs at least {SHORTEST_PASSWORD} characters.",
            hint="Three or four words make a good one.",
            field="password",
        )
    if len(normal) > _LONGEST_PASSWORD:
        raise InputError(f"A password has at most {_LONGEST_PASSWORD} characters.", field="password")
    if folded(normal) == folded(name) or len(set(normal)) < 4:
        raise InputError(
            "That password is too easy to guess.",
            hint="Three or four words make a good one.",
            field="password",
        )
    return normal


def _checked(work: UnitOfWork, account: Account) -> Account:
    name = entered_line(account.name, "The name of an account")
    if not name or len(name) > _LONGEST_NAME or not name.isprintable():
        raise InputError(
            f"An account needs a name of 1 to {_LONGEST_NAME} characters.",
            hint="It is typed to log in.",
            field="name",
        )
    if account.access is not Access.LEADER:
        return replace(account, name=name, section_ids=())
    if not account.section_ids:
        raise InputError("A section leader needs a section.", hint="Say which sections are theirs.")
    _check_sections(work, account.section_ids)
    return replace(account, name=name, section_ids=tuple(sorted(set(account.section_ids))))


def _check_sections(work: UnitOfWork, section_ids: Collection[int]) -> None:
    there = {section.id for ensemble in work.ensembles.list_ensembles() for section in ensemble.sections}
    for section_id in section_ids:
        if section_id not in there:
            raise NotFoundError("section", section_id)
