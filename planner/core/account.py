"""Who may open the pages: accounts, what each may do, being logged in, and tries that failed."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class Access(StrEnum):
    """What an account may do."""

    DIRECTOR = "director"
    """Everything."""
    LEADER = "section leader"
    """Plan and library to look at; guides and results of its own sections."""
    VIEWER = "viewer"
    """Plan, library and guides to look at; no players, marks or results."""


@dataclass(frozen=True, slots=True)
class Account:
    """A person who may open the pages. The password's hash never is part of it.

    Attributes:
        id: Identity in the library; 0 before it is stored.
        name: What is typed to log in, and what the journal writes as who made a change.
        access: What it may do.
        section_ids: A section leader's sections, in ascending order; empty for everyone else.
        password_at: When the password was set, in UTC; None without one, and then nobody can log in with it.
    """

    id: int
    name: str
    access: Access
    section_ids: tuple[int, ...] = ()
    password_at: datetime | None = None

    def sees(self, section_id: int) -> bool:
        """Whether results and players of a section are open to it.

        Example:
            >>> Account(1, "ada", Access.LEADER, (3,)).sees(3), Account(2, "bo", Access.VIEWER).sees(3)
            (True, False)
        """
        return self.access is Access.DIRECTOR or section_id in self.section_ids


@dataclass(frozen=True, slots=True)
class SignIn:
    """That somebody is logged in on one browser. ``began`` and ``seen`` (last heard of) are in UTC."""

    account: Account
    began: datetime
    seen: datetime


@dataclass(frozen=True, slots=True)
class Tries:
    """How often logging in failed in a row, for one name or from one address, and when it last did (UTC)."""

    failures: int
    last: datetime
