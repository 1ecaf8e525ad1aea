"""The lines of a player's sheet, all rooms together, those chosen that fit."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace

from planner.core.instruments import family_of
from planner.core.profile import PartProfile, PieceProfile
from planner.services.sheets.player.again import again_lines
from planner.services.sheets.player.choose import MOST_WORDS, chosen
from planner.services.sheets.player.going_on import going_on_lines
from planner.services.sheets.player.hard import hard_lines
from planner.services.sheets.player.instrument import fingering_lines, instrument_lines
from planner.services.sheets.player.key import key_lines
from planner.services.sheets.player.line import Block, Consequence, Line
from planner.services.sheets.player.manner import manner_lines
from planner.services.sheets.player.rhythm import rhythm_lines
from planner.services.sheets.player.start import start_lines
from planner.wording.player_sheet import care_words
from planner.wording.words import to_singers

_ROOMS: Sequence[Callable[[PieceProfile, PartProfile], Iterator[Line]]] = (
    start_lines, instrument_lines, key_lines, fingering_lines, rhythm_lines, hard_lines, again_lines,
    manner_lines, going_on_lines,
)  # fmt: skip
_ORDER = {block: at for at, block in enumerate(Block)}
LOUD = frozenset({"ff", "fff", "ffff", "sfz", "fz", "sffz"})
"""Marks at which ears are to be protected. Source: house choice."""


def sheet_lines(
    profile: PieceProfile, part: PartProfile, most_words: Mapping[Consequence, int] = MOST_WORDS
) -> tuple[Line, ...]:
    """What the sheet of a part says, in its order; nothing is made up: a line says a fact or gives advice.

    Args:
        profile: The study of the piece.
        part: One of its parts.
        most_words: Words there is room for, as ``chosen`` takes them.
    """
    lines = [line for room in _ROOMS for line in room(profile, part)]
    if family_of(part.instrument) == "voice":
        lines = [_sung(line) for line in lines]
    return chosen(sorted(lines, key=lambda line: _ORDER[line.block]), most_words)


def _sung(line: Line) -> Line:
    """A line as a singer reads it."""
    return replace(
        line, text=to_singers(line.text), alone=to_singers(line.alone), fuller=to_singers(line.fuller)
    )


def care_line(part: PartProfile) -> str:
    """The caution of the sheet."""
    return care_words(family_of(part.instrument), is_loud=any(use.mark in LOUD for use in part.dynamics))


def care_of(instrument: str) -> str:
    """The caution of an instrument, of whose part nothing is known."""
    return care_words(family_of(instrument), is_loud=False)
