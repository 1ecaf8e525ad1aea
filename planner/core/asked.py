"""What a piece asks of an ensemble, as far as it stays the same while only levels of sections move.

Worked out from the study, the corrections and the seats of the sections, and stored beside the pieces, so
that thousands of them are held against an ensemble without opening a study.
"""

import sys
from array import array
from collections.abc import Iterable
from dataclasses import dataclass

from planner.core.profile import PartProfile

UNKNOWN = float("nan")
"""A level or a pitch that is not known, among packed numbers."""

SEAT_NUMBERS = 5
"""Numbers of one seat: section id, level, standard error, lowest and highest pitch (MIDI)."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What a piece asks of one ensemble.

    Attributes:
        level: Its level for the ensemble; None when no section reads a part whose level is known.
        minutes: From "face up" to "pencils down"; None without a study.
        covered, uncovered: Parts that somebody reads, and parts that nobody reads.
        skills: Share of the level of what is read that each of ``FOCUSES`` makes, packed.
        seats: ``SEAT_NUMBERS`` for each section that has a part: the section, the level of the hardest part
            it reads with its error, and how low and high all its parts go as it reads them; packed.
    """

    level: float | None
    minutes: float | None = None
    covered: int = 0
    uncovered: int = 0
    skills: bytes = b""
    seats: bytes = b""


@dataclass(frozen=True, slots=True)
class PieceLines:
    """The parts of a piece as far as casting, levels, minutes and skills go.

    Attributes:
        parts: Name, instrument, notes, ranges, and the level in force with its error; all else is empty.
        skills: For each part the share of its level that each of ``FOCUSES`` makes; empty where not known.
        whole: The same of the piece as a whole.
        slower: Marked tempo over the tempo of the readings, 1 or more.
    """

    parts: tuple[PartProfile, ...]
    skills: tuple[tuple[float, ...], ...] = ()
    whole: tuple[float, ...] = ()
    slower: float = 1.0


def packed(numbers: Iterable[float]) -> bytes:
    """Numbers as bytes: eight for each, the lowest first, whatever the machine.

    Example:
        >>> packed([1.0]).hex(), unpacked(packed([1.0, 2.5]))
        ('000000000000f03f', (1.0, 2.5))
    """
    return _in_order(array("d", numbers)).tobytes()


def unpacked(numbers: bytes) -> tuple[float, ...]:
    """What ``packed`` packed."""
    found = array("d")
    found.frombytes(numbers)
    return tuple(_in_order(found))


def _in_order(numbers: "array[float]") -> "array[float]":
    if sys.byteorder == "big":
        numbers.byteswap()
    return numbers
