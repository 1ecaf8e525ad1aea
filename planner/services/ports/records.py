"""What the library keeps of itself: changes, texts, long work, accounts and settings."""

from collections.abc import Callable, Collection, Mapping, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Protocol

from planner.core.account import Account, SignIn, Tries
from planner.core.change import Author, Change, ChangeKind, Subject, Values, WorkCount
from planner.core.job import Job, JobRefusal, JobState


class SettingRepository(Protocol):
    """What is settled of the library as a whole."""

    def known_by(self) -> str:
        """What this library is known by, unlike every other: files that were written from it carry it."""
        ...

    def get(self, name: str) -> Values | None:
        """The values of a setting; None where nothing was chosen."""
        ...

    def put(self, name: str, values: Values | None) -> None:
        """Store the values of a setting, or take them out."""
        ...


class ChangeRepository(Protocol):
    """The journal of changes."""

    def add(self, change: Change) -> int:
        """Write one entry; its ``id`` is given here."""
        ...

    def get(self, change_id: int) -> Change: ...
    def list_changes(self, limit: int, *, before: int | None = None) -> Sequence[Change]:
        """The newest entries, newest first; of long work the newest alone.

        ``before`` asks for those older than that entry.
        """
        ...

    def later_of(self, change: Change) -> Sequence[Change]:
        """Entries of the same kind about the same thing that were written after it, oldest first."""
        ...

    def about(self, kind: ChangeKind, subject: Subject) -> Sequence[Change]:
        """All entries of a kind about the same thing, oldest first."""
        ...

    def of_job(self, job_id: int) -> Sequence[Change]:
        """The entries that long work has written, oldest first."""
        ...

    def count_of_jobs(self, job_ids: Collection[int]) -> Mapping[int, WorkCount]:
        """How many entries each piece of long work has written, by kind, and how many of them still hold."""
        ...

    def subjects_of(self, kinds: Collection[ChangeKind]) -> frozenset[int]:
        """Identities of the things that entries of some kinds speak of, those that were taken back aside."""
        ...

    def mark_undone(self, change_id: int, undone_by: int) -> bool:
        """Note by which entry it was taken back; False when that was noted before."""
        ...

    def every(self) -> Sequence[Change]:
        """All entries, oldest first."""
        ...

    def put(self, change: Change) -> None:
        """Store other values of an entry that is there: where a person's records were deleted for good."""
        ...

    def remove(self, change_ids: Collection[int]) -> None:
        """Take entries out for good, and what other entries say of them."""
        ...


@dataclass(frozen=True, slots=True)
class StoredText:
    """A text as it is stored, or a JSON value that holds texts.

    Attributes:
        table, column: Where it stands.
        key: What its row is known by, part by part, as text.
        value: The text, or the JSON value.
    """

    table: str
    column: str
    key: tuple[str, ...]
    value: Any


class TextRepository(Protocol):
    """Every text that is stored, whatever it belongs to: for finding, and taking out, a person's name.

    What the program itself found in score files is not among them.
    """

    def find(self, is_wanted: Callable[[str], bool]) -> Sequence[StoredText]:
        """The texts that are wanted, and the JSON values that hold one."""
        ...

    def put(self, text: StoredText) -> None:
        """Write another value to the place of a text; nothing happens when that is gone."""
        ...


class JobRepository(Protocol):
    """Long work, asked for, under way and finished."""

    def add(self, kind: str, request: Values, by: Author) -> int:
        """Queue a job.

        Raises:
            ConflictError: If one of that kind is still open, and the kind is none of ``SIDE_BY_SIDE``.
        """
        ...

    def get(self, job_id: int) -> Job: ...
    def list_jobs(self, limit: int, states: Collection[JobState] = ()) -> Sequence[Job]:
        """The newest jobs, newest first; only those in some states if any are given."""
        ...

    def begin(self, job_id: int, at: datetime) -> bool:
        """Note that work on it begins or goes on; False when it is done already."""
        ...

    def report(self, job_id: int, done: int, total: int, what: str) -> bool:
        """Note how far it is; True when someone has asked it to stop."""
        ...

    def refuse(self, job_id: int, refusal: JobRefusal) -> None:
        """Note something that could not be done; the same thing again takes the place of the first note."""
        ...

    def forget_refusals(self, job_id: int) -> None:
        """Take out what was noted as not done: it is tried again."""
        ...

    def ask_stop(self, job_id: int) -> None:
        """A queued job is stopped at once, a running one is asked to."""
        ...

    def queue_again(self, job_id: int, request: Values | None = None) -> None:
        """Put a job that is not done back among those that wait, with another request if one is given."""
        ...

    def finish(self, job_id: int, state: JobState, at: datetime, result: Values) -> None:
        """Note how work on it ended."""
        ...


class AccountRepository(Protocol):
    """Who may open the pages, who is logged in, and tries that failed."""

    def add(self, account: Account) -> int:
        """Store an account, without a password, under its own id if it has one.

        Raises:
            ConflictError: If the name is taken, whatever its capitals.
        """
        ...

    def get(self, account_id: int) -> Account: ...
    def find_by_name(self, name: str) -> Account | None:
        """The account of that name, whatever its capitals."""
        ...

    def list_accounts(self) -> Sequence[Account]:
        """All accounts by name."""
        ...

    def is_any(self) -> bool:
        """Whether there is an account at all."""
        ...

    def update(self, account: Account) -> None:
        """Store name, access and sections.

        Raises:
            ConflictError: If the name is taken.
        """
        ...

    def remove(self, account_id: int) -> None:
        """Take an account out, logged out everywhere."""
        ...

    def password_hash(self, account_id: int) -> str:
        """The hash of the password; empty without one."""
        ...

    def put_password(self, account_id: int, hashed: str, at: datetime) -> None: ...
    def begin(self, token: str, account_id: int, at: datetime) -> None:
        """Log in one browser, known by a token."""
        ...

    def find_sign_in(self, token: str) -> SignIn | None: ...
    def see(self, token: str, at: datetime) -> None:
        """Note that it was heard of."""
        ...

    def end(self, token: str) -> None: ...
    def end_all(self, account_id: int, but: str = "") -> None:
        """Log an account out everywhere, but for one token."""
        ...

    def end_idle(self, seen_before: datetime, began_before: datetime) -> None:
        """Take out those not heard of for long, or logged in for too long."""
        ...

    def tries(self, keys: Collection[str]) -> Mapping[str, Tries]:
        """Failed tries in a row by key, of those keys that have some."""
        ...

    def put_tries(self, key: str, tries: Tries | None) -> None:
        """Note failed tries of a key; None forgets them."""
        ...

    def forget_tries(self, before: datetime) -> None:
        """Forget the tries of keys that last failed before a moment."""
        ...


class JobLocks(Protocol):
    """Which jobs a living program has in hand; a program that dies lets go at once."""

    def hold(self, job_id: int) -> AbstractContextManager[bool]:
        """Take a job in hand; the value says whether it was free."""
        ...

    def is_held(self, job_id: int) -> bool:
        """Whether some living program has it in hand."""
        ...
