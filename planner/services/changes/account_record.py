"""Accounts as the journal keeps them: never with a password or its hash."""

from typing import Any

from planner.core.account import Access, Account
from planner.core.change import Subject, Values
from planner.core.person_name import GONE
from planner.errors import ConflictError, NotFoundError
from planner.services.ports.work import UnitOfWork


def account_subject(account: Account) -> Subject:
    """An account, as the journal speaks of it.

    Example:
        >>> account_subject(Account(3, "ada", Access.VIEWER)).kind
        'account'
    """
    return Subject("account", account.id, account.name)


def read_account(work: UnitOfWork, subject: Subject) -> Values:
    """Name, access and sections of an account; nothing once it is removed."""
    account = _find(work, subject.id)
    if account is None:
        return {}
    names = {s.id: s.name for ensemble in work.ensembles.list_ensembles() for s in ensemble.sections}
    sections = [{"id": each, "name": names[each]} for each in account.section_ids]
    return {"name": account.name, "access": str(account.access), "sections": sections}


def write_account(work: UnitOfWork, subject: Subject, values: Values, _prepared: Any) -> None:
    """Put values back. An account that comes back has no password until a director sets one.

    Raises:
        ConflictError: If no director would be left, or the name is taken or deleted by now.
    """
    there = _find(work, subject.id)
    if "name" in values and values["name"] is None:
        work.accounts.remove(subject.id)
    else:
        if values.get("name") == GONE:
            raise ConflictError("The name of that account was deleted.", hint="Add the account anew.")
        now = dict(read_account(work, subject)) | dict(values)
        known = {s.id for ensemble in work.ensembles.list_ensembles() for s in ensemble.sections}
        sections = tuple(each["id"] for each in now["sections"] if each["id"] in known)
        account = Account(subject.id, now["name"], Access(now["access"]), sections)
        if there is None:
            work.accounts.add(account)
        else:
            work.accounts.update(account)
    check_directors(work)


def read_password_date(work: UnitOfWork, subject: Subject) -> Values:
    """When the password of an account was set."""
    at = work.accounts.get(subject.id).password_at
    return {"set": at.isoformat() if at else None}


def is_same_account_value(one: Any, other: Any) -> bool:
    """Whether a value of an account says the same; a section's new name changes nothing."""
    if isinstance(one, list) and isinstance(other, list):
        return [each["id"] for each in one] == [each["id"] for each in other]
    return bool(one == other)


def check_directors(work: UnitOfWork) -> None:
    """Where there are accounts, one at least is a director's who can log in.

    Raises:
        ConflictError: If not.
    """
    accounts = work.accounts.list_accounts()
    able = [each for each in accounts if each.access is Access.DIRECTOR and each.password_at is not None]
    if accounts and not able:
        raise ConflictError(
            "There must be a director with a password, who looks after the others.",
            hint="Add a director first, or make somebody else one.",
        )


def _find(work: UnitOfWork, account_id: int) -> Account | None:
    try:
        return work.accounts.get(account_id)
    except NotFoundError:
        return None
