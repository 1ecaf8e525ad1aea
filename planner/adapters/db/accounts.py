"""Accounts, who is logged in, and tries that failed, in the database."""

import hashlib
from collections.abc import Collection, Mapping, Sequence
from datetime import datetime

from sqlalchemy import delete, or_, select, update
from sqlalchemy.orm import Session

from planner.adapters.db.changes import stored_time, time_of
from planner.adapters.db.tables import AccountRow, AccountSectionRow, FailedTriesRow, SignInRow
from planner.core.account import Access, Account, SignIn, Tries
from planner.core.text import folded
from planner.errors import ConflictError, NotFoundError


class SqlAccounts:
    """``AccountRepository`` on SQLAlchemy. Tokens and the names people tried are stored as hashes alone."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def add(self, account: Account) -> int:
        """Store an account without a password."""
        self._check_name(account)
        row = AccountRow(
            id=account.id or None, name=account.name, folded=folded(account.name),
            access=account.access.value, password_hash="", password_at=None,
        )  # fmt: skip
        row.sections = [AccountSectionRow(section_id=each) for each in account.section_ids]
        self._session.add(row)
        self._session.flush()
        return row.id

    def get(self, account_id: int) -> Account:
        """The account, or ``NotFoundError``."""
        return _account_of(self._row(account_id))

    def find_by_name(self, name: str) -> Account | None:
        """The account of that name, whatever its capitals."""
        found = select(AccountRow).where(AccountRow.folded == folded(name))
        row = self._session.scalars(found).unique().first()
        return _account_of(row) if row is not None else None

    def list_accounts(self) -> Sequence[Account]:
        """All accounts by name."""
        rows = self._session.scalars(select(AccountRow).order_by(AccountRow.folded)).unique()
        return tuple(_account_of(row) for row in rows)

    def is_any(self) -> bool:
        """Whether there is an account at all."""
        return self._session.scalar(select(AccountRow.id).limit(1)) is not None

    def update(self, account: Account) -> None:
        """Store name, access and sections."""
        row = self._row(account.id)
        self._check_name(account)
        row.name, row.folded, row.access = account.name, folded(account.name), account.access.value
        kept = {each.section_id: each for each in row.sections}
        row.sections = [kept.get(i) or AccountSectionRow(section_id=i) for i in account.section_ids]
        self._session.flush()

    def remove(self, account_id: int) -> None:
        """Take an account out, logged out everywhere."""
        row = self._row(account_id)
        self.end_all(account_id)
        self._session.delete(row)
        self._session.flush()

    def password_hash(self, account_id: int) -> str:
        """The hash of the password; empty without one."""
        return self._row(account_id).password_hash

    def put_password(self, account_id: int, hashed: str, at: datetime) -> None:
        """Store the hash of a new password."""
        row = self._row(account_id)
        row.password_hash, row.password_at = hashed, stored_time(at)
        self._session.flush()

    def begin(self, token: str, account_id: int, at: datetime) -> None:
        """Log in one browser."""
        moment = stored_time(at)
        self._session.add(
            SignInRow(token_sha256=_hashed(token), account_id=account_id, began_at=moment, seen_at=moment)
        )
        self._session.flush()

    def find_sign_in(self, token: str) -> SignIn | None:
        """Who is logged in with a token, in one statement."""
        found = select(SignInRow).where(SignInRow.token_sha256 == _hashed(token))
        row = self._session.scalars(found).unique().first()
        if row is None:
            return None
        return SignIn(_account_of(row.account), time_of(row.began_at), time_of(row.seen_at))

    def see(self, token: str, at: datetime) -> None:
        """Note that it was heard of."""
        seen = update(SignInRow).where(SignInRow.token_sha256 == _hashed(token))
        self._session.execute(seen.values(seen_at=stored_time(at)))

    def end(self, token: str) -> None:
        """Log one browser out."""
        self._session.execute(delete(SignInRow).where(SignInRow.token_sha256 == _hashed(token)))

    def end_all(self, account_id: int, but: str = "") -> None:
        """Log an account out everywhere, but for one token."""
        others = delete(SignInRow).where(SignInRow.account_id == account_id)
        self._session.execute(others.where(SignInRow.token_sha256 != (_hashed(but) if but else "")))

    def end_idle(self, seen_before: datetime, began_before: datetime) -> None:
        """Take out those not heard of for long, or logged in for too long."""
        is_idle = SignInRow.seen_at < stored_time(seen_before)
        is_old = SignInRow.began_at < stored_time(began_before)
        self._session.execute(delete(SignInRow).where(or_(is_idle, is_old)))

    def tries(self, keys: Collection[str]) -> Mapping[str, Tries]:
        """Failed tries in a row, of those keys that have some."""
        by_hash = {_hashed(key): key for key in keys}
        found = select(FailedTriesRow).where(FailedTriesRow.key_sha256.in_(sorted(by_hash)))
        rows = self._session.scalars(found.execution_options(populate_existing=True))
        return {by_hash[row.key_sha256]: Tries(row.failures, time_of(row.last_at)) for row in rows}

    def put_tries(self, key: str, tries: Tries | None) -> None:
        """Note failed tries of a key; None forgets them."""
        row = self._session.get(FailedTriesRow, _hashed(key))
        if tries is None:
            if row is not None:
                self._session.delete(row)
        elif row is None:
            self._session.add(
                FailedTriesRow(
                    key_sha256=_hashed(key), failures=tries.failures, last_at=stored_time(tries.last)
                )
            )
        else:
            row.failures, row.last_at = tries.failures, stored_time(tries.last)
        self._session.flush()

    def forget_tries(self, before: datetime) -> None:
        """Forget the tries of keys that last failed before a moment."""
        self._session.execute(delete(FailedTriesRow).where(FailedTriesRow.last_at < stored_time(before)))

    def _row(self, account_id: int) -> AccountRow:
        row = self._session.get(AccountRow, account_id)
        if row is None:
            raise NotFoundError("account", account_id)
        return row

    def _check_name(self, account: Account) -> None:
        taken = select(AccountRow.id).where(
            AccountRow.folded == folded(account.name), AccountRow.id != account.id
        )
        if self._session.scalar(taken) is not None:
            raise ConflictError(f"There is an account “{account.name}” already.", hint="Take another name.")


def _hashed(text: str) -> str:
    """SHA-256 of a secret or of what somebody typed, in hex."""
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def _account_of(row: AccountRow) -> Account:
    return Account(
        row.id, row.name, Access(row.access), tuple(each.section_id for each in row.sections),
        time_of(row.password_at) if row.password_at else None,
    )  # fmt: skip
