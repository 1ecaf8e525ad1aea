"""By what music is known again: short numbers that stand for short turns of its lines.

A turn is a few notes in a row, by their intervals, so that another key, another octave and another instrument
change nothing. Of a long piece the smallest numbers are kept: what two pieces share among the numbers below a
bound tells what they share in all (Broder 1997).
"""

import sys
import zlib
from array import array
from base64 import b85decode, b85encode
from dataclasses import dataclass
from enum import StrEnum

MOST_TURNS = 512
"""Numbers of one kind that are kept of a piece (house choice: about 0.02 of error in a share)."""


@dataclass(frozen=True, slots=True)
class Fingerprint:
    """The turns of a piece, each kind sorted, at most ``MOST_TURNS`` of each.

    Attributes:
        music: Turns of every line by intervals and by how long each note is beside the one before it.
        lines: Turns of what every line has on the beats, by intervals alone, a repeated note counted once.
        tune: Those of the leading line.
    """

    music: tuple[int, ...] = ()
    lines: tuple[int, ...] = ()
    tune: tuple[int, ...] = ()

    def to_text(self) -> str:
        """As text, for a profile; empty when there are no turns.

        Example:
            >>> fingerprint_of(Fingerprint((1, 2), (3,), ()).to_text())
            Fingerprint(music=(1, 2), lines=(3,), tune=())
        """
        kinds = (self.music, self.lines, self.tune)
        if not any(kinds):
            return ""
        numbers = array("I", [len(kind) for kind in kinds])
        for kind in kinds:
            numbers.extend(kind)
        return b85encode(zlib.compress(_little(numbers).tobytes(), 1)).decode("ascii")


def fingerprint_of(text: str) -> Fingerprint:
    """What ``to_text`` wrote.

    Raises:
        ValueError: If it is something else.
    """
    if not text:
        return Fingerprint()
    try:
        numbers = _little(array("I", zlib.decompress(b85decode(text))))
    except zlib.error as error:
        raise ValueError("not a fingerprint") from error
    if len(numbers) < 3 or len(numbers) != 3 + sum(numbers[:3]):
        raise ValueError("not a fingerprint")
    first, second = 3 + numbers[0], 3 + numbers[0] + numbers[1]
    return Fingerprint(tuple(numbers[3:first]), tuple(numbers[first:second]), tuple(numbers[second:]))


def _little(numbers: "array[int]") -> "array[int]":
    """The numbers in the byte order that they are stored in, or from it."""
    if sys.byteorder == "big":
        numbers.byteswap()
    return numbers


class Kin(StrEnum):
    """How near two pieces are."""

    SAME = "same"
    """The same music: a copy, in another key or for other instruments, or a part of one."""
    TUNE = "tune"
    """Another setting of the same tune."""


@dataclass(frozen=True, slots=True)
class Likeness:
    """Two pieces of the library that are near.

    Attributes:
        piece_id, other_id: The two, the smaller number first.
        kin: How near they are.
        share: What the shorter shares with the longer, 0 to 1: of its music, or of its tune.
        is_apart: The director keeps them apart.
    """

    piece_id: int
    other_id: int
    kin: Kin
    share: float
    is_apart: bool = False
