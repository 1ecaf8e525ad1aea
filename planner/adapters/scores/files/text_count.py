"""How many heads the text of a score has, to be compared with what came out of reading it."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class TextCount:
    """Heads with a pitch, grace notes and hidden ones aside: in all, and those that are struck."""

    heads: int = 0
    struck: int = 0


NO_HEADS = TextCount()
"""Of a text without notes."""
