"""A change to the library as the journal keeps it: who, when, what, before and after."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from typing import Any

Values = Mapping[str, Any]
"""What is stored of a thing, as JSON values by name."""


class Door(StrEnum):
    """Through which door someone came in."""

    PAGE = "page"
    COMMAND = "command"


@dataclass(frozen=True, slots=True)
class Author:
    """Who did something, and when.

    Attributes:
        door: Through which door.
        at: When, in UTC.
        account: Name of the account; empty while there is none.
    """

    door: Door
    at: datetime
    account: str = ""


class ChangeKind(StrEnum):
    """What was changed."""

    DETAILS = "piece-details"
    """Fields of the catalogue of a piece."""
    LEVEL = "level"
    """A level as the director sees it: of a piece, a part or a dimension."""
    INSTRUMENT = "instrument"
    """Which instrument a part is for."""
    STUDY = "study"
    """The study of a piece, made again by a newer version of the program."""
    RESULTS = "results"
    """How sections read a piece on a day."""
    ATTENDANCE = "attendance"
    """Who of a section was there on a day, and its players' own marks."""
    POINTS = "form-points"
    """Points of the scoring form for a piece on a day."""
    READ_IN = "read-in"
    """What a filled-in file brought: how sections read, who was there, players' own marks."""
    SCHOOL_FILE = "school-file"
    """How an ensemble's file for the school's system is written."""
    SECTION = "section"
    """A section: its name, instrument, chair, players, and where its level starts."""
    ENSEMBLE = "ensemble"
    """An ensemble: its name, which sections and players it has; that it was made."""
    WHOLE_ENSEMBLE = "whole-ensemble"
    """An ensemble with all that belongs to it: that it was taken out."""
    PERSON = "person"
    """A player's name."""
    PEOPLE_JOINED = "people-joined"
    """That two entries of players were the same person."""
    DELETED = "records-deleted"
    """That records of a person were deleted for good; never whose."""
    MET = "met"
    """What an ensemble has met."""
    TERM = "term"
    """A term: its dates and aims, its days, wishes and plan; that it was made or taken out."""
    LINK = "link"
    """Which other file holds the same piece."""
    CATALOGUE = "catalogue"
    """Pieces that a file of the director's, or a form, brought or changed: their fields and copies."""
    LIST = "list"
    """A list of pieces that the director keeps: its name, pieces and search; that it was made or removed."""
    JOIN = "join"
    """That the score of a piece on paper was found: whether it has one."""
    APART = "kept-apart"
    """That two pieces whose music is alike are kept apart."""
    COPIES = "copies"
    """How many copies of the parts of a piece the library has."""
    ACCOUNT = "account"
    """Who may open the pages: name, access and sections of an account; that it was made or removed."""
    PASSWORD = "password"  # noqa: S105 (a kind of change)
    """That the password of an account was set; never which."""
    PIECE = "piece"
    """That a piece came into the library or was taken out with the import that brought it."""
    FILE = "score-file"
    """The score file of a piece, which was exported anew."""


@dataclass(frozen=True, slots=True)
class Subject:
    """What a change is about.

    Attributes:
        kind: Kind of thing, such as ``piece``.
        id: Its identity in the library.
        name: What people called it when it was changed, such as its title.
        within: Where in it, by name, such as ``{"part": "Flute", "dimension": "rhythm"}``.
    """

    kind: str
    id: int
    name: str
    within: Mapping[str, str] = field(default_factory=dict)

    def is_same_thing(self, other: "Subject") -> bool:
        """Whether both speak of the same thing, whatever it was called at the time.

        Example:
            >>> Subject("piece", 3, "Rondo").is_same_thing(Subject("piece", 3, "Rondeau"))
            True
        """
        return (self.kind, self.id, dict(self.within)) == (other.kind, other.id, dict(other.within))


@dataclass(frozen=True, slots=True)
class Change:
    """One entry of the journal.

    Attributes:
        id: Identity; 0 before it is stored. A later change has a higher one.
        kind, subject: What was changed.
        before, after: The values that differ, and only those; None for a value that was not set.
        by: Who, and when.
        undoes: The change that this one took back, if it did.
        undone_by: The change that took this one back, if one did.
        job: The long work in which it was made, if it was.
    """

    id: int
    kind: ChangeKind
    subject: Subject
    before: Values
    after: Values
    by: Author
    undoes: int | None = None
    undone_by: int | None = None
    job: int | None = None


def difference(before: Values, after: Values) -> tuple[dict[str, Any], dict[str, Any]]:
    """The values that are not the same before and after, each side with None where it has none.

    Example:
        >>> difference({"title": None, "tags": ["march"]}, {"title": "Rondo", "tags": ["march"]})
        ({'title': None}, {'title': 'Rondo'})
    """
    names = [name for name in {**before, **after} if before.get(name) != after.get(name)]
    return {name: before.get(name) for name in names}, {name: after.get(name) for name in names}


@dataclass(frozen=True, slots=True)
class WorkCount:
    """How many entries of the journal long work has written.

    Attributes:
        written: By kind, how many.
        standing: By kind, how many of them were not taken back and take nothing back themselves.
    """

    written: Mapping[ChangeKind, int]
    standing: Mapping[ChangeKind, int]

    @property
    def total(self) -> int:
        """How many in all."""
        return sum(self.written.values())
