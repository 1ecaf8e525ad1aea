"""Looking for pieces: what is asked, what is read of each piece for it, and lists that are kept."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from typing import NamedTuple

from planner.core.piece import Piece

NONE = "none"
"""As a shelf place or as rights to look for: pieces of which none are entered."""
ENTERED = "entered"
"""As rights to look for: pieces of which some are entered."""


class Order(StrEnum):
    """What a list of pieces stands by."""

    TITLE = "title"
    COMPOSER = "composer"
    LEVEL = "level"
    KEY = "key"
    PARTS = "parts"
    MINUTES = "minutes"
    GRADE = "grade"
    SHELF = "shelf"
    READ = "read"
    """The day on which it was read last."""
    ADDED = "added"
    NEAREST = "nearest"
    """How near its words come to what was typed; then the title."""


class Copy(StrEnum):
    """What there is of a piece."""

    SCORE = "score"
    PAPER = "paper"


class Standing(StrEnum):
    """What an ensemble has done with a piece, or will do."""

    READ = "read"
    UNREAD = "unread"
    PLANNED = "planned"
    UNPLANNED = "unplanned"


@dataclass(frozen=True, slots=True)
class Group:
    """An ensemble, or one of its sections."""

    ensemble_id: int
    section_id: int | None = None


@dataclass(frozen=True, slots=True)
class FindQuery:
    """What a list of pieces is narrowed to, freely combined, and in which order; empty or None is no limit.

    Attributes:
        text: Words in title, composer, arranger, tags or shelf place, whatever the case and the accents.
        is_near: Words that are spelled nearly so count too, also where some are spelled exactly so.
        level_for: The ensemble by whose levels pieces are narrowed and ordered; None as if all parts were
            read.
        level_from, level_to: Levels, both included.
        reads: Who can just read it.
        fresh_for: Who must not know it.
        focus: The skill it trains, as the plan has it, for the ensemble of the levels.
        key, meter: Its home key, and a meter that occurs in it.
        shortest, longest: Playing time in minutes, both included.
        rights: ``NONE``, ``ENTERED``, or words in what is entered.
        tag: Whatever the case.
        copy: On paper, or with a score.
        standing: What the ensemble of the levels, or any, has read or will read.
        shelf: ``NONE``, or how its place begins.
        list_id: A list that was kept.
        order: None: by title, or the nearest first where words are not spelled exactly so.
        is_falling: From the other end.
        offset, limit: First piece, and how many; 0 for all.
    """

    text: str = ""
    is_near: bool = False
    level_for: int | None = None
    level_from: float | None = None
    level_to: float | None = None
    reads: Group | None = None
    fresh_for: Group | None = None
    focus: str = ""
    key: str = ""
    meter: str = ""
    shortest: float | None = None
    longest: float | None = None
    rights: str = ""
    tag: str = ""
    copy: Copy | None = None
    standing: Standing | None = None
    shelf: str = ""
    list_id: int | None = None
    order: Order | None = None
    is_falling: bool = False
    offset: int = 0
    limit: int = 0


class PieceShown(NamedTuple):
    """A piece as a page of a list shows it: with its level for an ensemble, whether and when it was read."""

    piece: Piece
    level: float | None
    is_read: bool
    last_read: date | None


class ListedPiece(NamedTuple):
    """What is read of every piece to find and sort some: a plain tuple, as there are thousands.

    Beside ``id`` and ``sort_title`` only what was asked for is filled in. ``words`` are folded: title,
    composer, arranger and shelf place; ``tags`` too, each on a line of its own. ``level`` is that for the
    ensemble that was asked for, ``grade`` the published one. ``has_meter`` says whether the meter occurs that
    was asked for, ``is_read`` and ``last_read`` whether and when that ensemble, or any, read it; the day may
    not be known.
    """

    id: int
    sort_title: str
    composer: str = ""
    words: str = ""
    key: str = ""
    rights: str = ""
    rights_reason: str = ""
    shelf: str = ""
    grade: float | None = None
    playing_seconds: float = 0.0
    part_count: int = 0
    added_on: date | None = None
    level: float | None = None
    is_on_paper: bool = False
    is_read: bool = False
    last_read: date | None = None
    has_meter: bool = False
    tags: str = ""


@dataclass(frozen=True, slots=True)
class SavedList:
    """A list of pieces that the director keeps under a name.

    Attributes:
        id: Identity; 0 before it is stored.
        name: What it is called.
        piece_ids: The pieces put on it by hand, in the order they were put there.
        search: Of a list that is a search, what is asked, as the address of the library page says it; None
            for one by hand.
    """

    id: int
    name: str
    piece_ids: tuple[int, ...] = ()
    search: Mapping[str, str] | None = field(default=None)
