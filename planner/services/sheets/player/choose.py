"""Which lines stay on a sheet: those whose lack would stop the reading first, then those that spoil it."""

from collections import Counter
from collections.abc import Sequence

from planner.services.sheets.player.line import Block, Line

MOST_WORDS = 130
"""Words on a sheet, without its title, lyrics and labels. Source: house choice: a minute's reading for a
twelve-year-old at about 150 words a minute leaves the study time for the music."""
MOST_LINES: dict[Block, int] = {
    Block.START: 4, Block.KEY: 4, Block.RHYTHM: 2, Block.HARD: 3, Block.AGAIN: 3, Block.MANNER: 4,
    Block.GOING_ON: 1,
}  # fmt: skip
"""Most lines of each block. Source: house choice."""


def chosen(lines: Sequence[Line], most_words: int = MOST_WORDS) -> tuple[Line, ...]:
    """The lines that stay, in the order they were given: the gravest first as long as there is room.

    Args:
        lines: All that could be said.
        most_words: Words there is room for.

    Example:
        >>> from planner.services.sheets.player.line import Consequence
        >>> grave = Line(Block.START, "Back to 5.", Consequence.STOPS)
        >>> light = Line(Block.AGAIN, "It comes again.", Consequence.NOTHING)
        >>> [line.text for line in chosen((light, grave), 4)]
        ['Back to 5.']
    """
    ranked = sorted(lines, key=lambda line: (not line.is_kept, -line.consequence, -line.weight))
    room, taken, kept = most_words, Counter[Block](), set()
    for line in ranked:
        words = word_count(line.text)
        if line.is_kept or (words <= room and taken[line.block] < MOST_LINES[line.block]):
            room -= words
            taken[line.block] += 1
            kept.add(id(line))
    return tuple(line for line in lines if id(line) in kept)


def word_count(text: str) -> int:
    """Words of a text; bar numbers and signs that stand alone are none.

    Example:
        >>> word_count("Bars 1–8 come back in bars 25–32.")
        5
    """
    return sum(any(letter.isalpha() for letter in word) for word in text.split())
