"""Which lines stay on a sheet: those whose lack would stop the reading first, then those that spoil it."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace

from planner.services.sheets.player.line import Block, Consequence, Line

MOST_WORDS: dict[Consequence, int] = {
    Consequence.STOPS: 90, Consequence.SPOILS: 81, Consequence.NOTHING: 60,
}  # fmt: skip
"""Words of all lines together up to which one of such consequence is taken: what would stop the reading may
fill the sheet, the rest leaves it short. Two questions and the caution have about 30 more. Source: house
choice: a sheet of 130 words takes a twelve-year-old a minute (about 150 words a minute)."""
MOST_LINES: dict[Block, int] = {
    Block.START: 4, Block.KEY: 4, Block.RHYTHM: 4, Block.HARD: 3, Block.AGAIN: 3, Block.MANNER: 4,
    Block.GOING_ON: 2,
}  # fmt: skip
"""Most lines of each block. Source: house choice."""


def chosen(lines: Sequence[Line], most_words: Mapping[Consequence, int] = MOST_WORDS) -> tuple[Line, ...]:
    """The lines that stay, in the order they were given: the gravest first as long as there is room.

    Args:
        lines: All that could be said.
        most_words: By consequence, words of all lines together up to which such a line is taken.

    Example:
        >>> grave = Line(Block.START, "Back to 5.", Consequence.STOPS)
        >>> light = Line(Block.AGAIN, "It comes again.", Consequence.NOTHING)
        >>> [line.text for line in chosen((light, grave), dict.fromkeys(Consequence, 4))]
        ['Back to 5.']
    """
    ranked = sorted(lines, key=lambda line: (not line.is_kept, -line.consequence, -line.weight))
    total, taken, kept = 0, Counter[Block](), set()
    for line in ranked:
        words = word_count(line.text)
        has_room = (
            total + words <= most_words[line.consequence] and taken[line.block] < MOST_LINES[line.block]
        )
        if line.is_kept or has_room:
            total += words
            taken[line.block] += 1
            kept.add(id(line))
    found = []
    for line in lines:
        if id(line) in kept:
            added = word_count(line.fuller) - word_count(line.text) if line.fuller else 0
            is_fuller = bool(line.fuller) and total + added <= most_words[line.consequence]
            total += added if is_fuller else 0
            found.append(replace(line, text=line.fuller) if is_fuller else line)
    return tuple(found)


def word_count(text: str) -> int:
    """Words of a text; bar numbers and signs that stand alone are none.

    Example:
        >>> word_count("Bars 1–8 come back in bars 25–32.")
        5
    """
    return sum(any(letter.isalpha() for letter in word) for word in text.split())
