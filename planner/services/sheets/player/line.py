"""A line of a player's sheet before it is printed: its words, the music beside it, and what it is worth."""

from dataclasses import dataclass
from enum import IntEnum, StrEnum

from planner.core.fact import Fact


class Block(StrEnum):
    """The blocks of a sheet, in the order in which a good reader looks."""

    START = "start"
    KEY = "key"
    RHYTHM = "rhythm"
    HARD = "hard"
    AGAIN = "again"
    MANNER = "manner"
    GOING_ON = "going on"


class Consequence(IntEnum):
    """What happens to a player who does not know it. Of two lines the graver stays on a full sheet."""

    NOTHING = 0
    SPOILS = 1
    STOPS = 2


@dataclass(frozen=True, slots=True)
class PassageMusic:
    """A passage of the part to engrave, the bars of ``tinted`` marked."""

    measure: int
    end_measure: int
    tinted: tuple[int, int] | None = None


@dataclass(frozen=True, slots=True)
class ScaleMusic:
    """Notes to finger behind a signature; ``measure`` is where the part's clef is taken from."""

    measure: int
    fifths: int
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RhythmMusic:
    """A bar to tap, with what is counted: place in quarters from its start, and syllable."""

    measure: int
    counts: tuple[tuple[float, str], ...]


Music = PassageMusic | ScaleMusic | RhythmMusic


@dataclass(frozen=True, slots=True)
class Line:
    """One line.

    Attributes:
        block: Where it stands.
        text: One or two short sentences.
        consequence: What not knowing it does.
        weight: How much it matters among lines of the same consequence, 0 to 1.
        facts: The facts of the study that it says, or that its advice rests on.
        music: What is engraved beside it.
        alone: Its words where the music cannot be drawn; empty where they stay as they are.
        is_kept: It stays on every sheet, however full.
    """

    block: Block
    text: str
    consequence: Consequence
    weight: float = 0.5
    facts: tuple[Fact, ...] = ()
    music: Music | None = None
    alone: str = ""
    is_kept: bool = False
