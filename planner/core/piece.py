"""A piece in the library: the catalogue facts around its score and its study."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Any

MOST_BYTES = 50 * 2**20
"""Largest score file taken. Source: house choice; open scores we read stay under 1 MB packed."""

ON_PAPER = "on-paper-"
"""What the identity of a piece begins with that has no score file: it exists on paper alone."""


@dataclass(frozen=True, slots=True)
class SourceFile:
    """Where a piece was read from.

    Attributes:
        sha256: Content hash in hex; the identity of the file. Of a piece on paper ``ON_PAPER`` and a random
            word, with all else empty.
        name: File name as given.
        size_bytes: Its size.
        suffix: Ending of its name in lower case, such as ``.mxl``.
        path: Where it lay when it was added, as an absolute path; empty when not known. A movement or tune
            cut out of a file lies in it, under its own name after a ``#``.
        whole_sha256: Content hash of the file it was cut out of; empty for a file that is one piece.
        whole_pieces: How many pieces that file holds; 0 for a file that is one piece.
    """

    sha256: str
    name: str
    size_bytes: int
    suffix: str
    path: str = ""
    whole_sha256: str = ""
    whole_pieces: int = 0

    @property
    def is_on_paper(self) -> bool:
        """Whether there is no score file, only paper.

        Example:
            >>> SourceFile(ON_PAPER + "3f", "", 0, "").is_on_paper
            True
        """
        return self.sha256.startswith(ON_PAPER)


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece as the library lists it; its study is a ``PieceProfile`` kept beside it.

    Attributes:
        id: Identity in the library; 0 before it is stored.
        title, composer, arranger, rights: As printed, corrected by the director where needed; these,
            ``published_grade``, ``tags`` and all from ``rights_reason`` on are the fields of
            ``core.catalogue``.
        level: What study, corrections and published grade come to as if all its parts were read; None
            unknown. For an ensemble it is another: of the parts that its sections read.
        studied_level: The study's level.
        published_grade: Publisher's grade if entered; on the same ½ to 6 scale.
        home_key, meters, part_count, playing_seconds: Copied from the study for lists and filters.
        source: The file it came from.
        added_on: When.
        tags: Free words of the director.
        rights_reason, shelf, remarks: The director's words; remarks may have several lines.
        keys, time_signatures, tempo, minutes, parts: Of a piece on paper what the director entered of it:
            keys and time signatures with the first of the piece first, beats a minute, playing time, and
            the names of the parts in score order. Empty for a piece with a score, which says it itself.
    """

    id: int
    title: str
    composer: str
    arranger: str
    rights: str
    level: float | None
    studied_level: float | None
    published_grade: float | None
    home_key: str
    meters: tuple[str, ...]
    part_count: int
    playing_seconds: float
    source: SourceFile
    added_on: date
    tags: tuple[str, ...] = ()
    rights_reason: str = ""
    shelf: str = ""
    remarks: str = ""
    keys: tuple[str, ...] = ()
    time_signatures: tuple[str, ...] = ()
    tempo: float | None = None
    minutes: float | None = None
    parts: tuple[str, ...] = ()

    @property
    def is_on_paper(self) -> bool:
        """Whether it has no score file, only paper."""
        return self.source.is_on_paper

    @property
    def lacks(self) -> tuple[str, ...]:
        """Fields that must be entered of a piece on paper before it can be planned; none with a score.

        Of keys and meters one is enough, which ``keys`` stands for: without either nobody knows what skill
        it trains.
        """
        if not self.is_on_paper:
            return ()
        has = {"parts": self.parts, "minutes": self.minutes, "keys": self.keys or self.time_signatures}
        return tuple(name for name, value in has.items() if not value)


@dataclass(frozen=True, slots=True)
class PieceInBrief:
    """What is read of every piece where thousands are looked at.

    Attributes:
        id: Which.
        home_key: Empty where none is known.
        is_lacking: It is on paper, and too little is entered to plan it (``Piece.lacks``).
    """

    id: int
    home_key: str
    is_lacking: bool


class PieceUse(StrEnum):
    """What a director has done with a piece that would be lost with it, the strongest last."""

    ENTERED = "entered"
    WISHED = "wished"
    PROPOSED = "proposed"
    PLANNED = "planned"
    MET = "met"
    READ = "read"


def proposed_pieces(proposal: Mapping[str, Any]) -> frozenset[int]:
    """The pieces that stand in a proposed plan, as it is stored; none in one of another making.

    Example:
        >>> proposed_pieces({"slots": [{"piece_id": 3}, {"piece_id": 4}]}) == {3, 4}
        True
    """
    slots = proposal.get("slots")
    found = slots if isinstance(slots, list) else []
    return frozenset(
        int(slot["piece_id"]) for slot in found if isinstance(slot, dict) and slot.get("piece_id")
    )


@dataclass(frozen=True, slots=True)
class KeptStudy:
    """A piece that keeps an older study because this version of the program could not make a new one.

    Attributes:
        piece_id: Which piece.
        study_version: The version that could not study it.
        slug: Kind of refusal: the slug of the error.
        detail: What the reader says of this file; may be empty.
    """

    piece_id: int
    study_version: int
    slug: str
    detail: str = ""


@dataclass(frozen=True, slots=True)
class PieceQuery:
    """What a list of pieces is narrowed to; None or empty means no limit.

    ``text`` matches title, composer and arranger, whatever the case and the accents; ``key`` is the home
    key. ``limit`` 0 means all. A list is in order of title; a director's searches are ``FindQuery``.
    """

    text: str = ""
    key: str = ""
    limit: int = 50


@dataclass(frozen=True, slots=True)
class PieceChoices:
    """What lists of pieces can be narrowed to: every home key, meter and tag that occurs, in order."""

    keys: tuple[str, ...]
    meters: tuple[str, ...]
    tags: tuple[str, ...]
