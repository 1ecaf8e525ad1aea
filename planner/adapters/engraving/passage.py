"""What is asked of an engraving child, as plain values: this module loads no engraver."""

from dataclasses import dataclass
from pathlib import Path

HANDLER = "planner.adapters.engraving.answer:answer"
"""Names the function that answers, for the child to load."""


@dataclass(frozen=True, slots=True)
class Passage:
    """A passage to draw; see ``ports.engraving.Engraver.engrave``."""

    clean: Path
    part: int | tuple[int, ...] | None
    measure: int
    end_measure: int
    width_mm: float
    staff_mm: float
    lines: int
    tinted: tuple[int, int] | None


@dataclass(frozen=True, slots=True)
class Scale:
    """Notes to finger; see ``ports.engraving.Engraver.draw_scale``."""

    clean: Path
    part: int
    measure: int
    fifths: int
    notes: tuple[str, ...]
    width_mm: float
    staff_mm: float


@dataclass(frozen=True, slots=True)
class Rhythm:
    """A bar to tap; see ``ports.engraving.Engraver.draw_rhythm``."""

    clean: Path
    part: int
    measure: int
    counts: tuple[tuple[float, str], ...]
    width_mm: float
    staff_mm: float


@dataclass(frozen=True, slots=True)
class FirstPlayed:
    """In which measure does a part play first?"""

    clean: Path
    part: int


@dataclass(frozen=True, slots=True)
class FirstNotes:
    """With which notes does a part begin, from a measure on?"""

    clean: Path
    part: int
    measure: int


@dataclass(frozen=True, slots=True)
class PageStarts:
    """With which measures do the pages of a part, or of the full score, begin?"""

    clean: Path
    part: int | None
    width_mm: float
    staff_mm: float


@dataclass(frozen=True, slots=True)
class BarLengths:
    """How many quarters does each measure last?"""

    clean: Path


@dataclass(frozen=True, slots=True)
class Drawing:
    """A passage as drawn: its SVG, and the last measure in it."""

    svg: str
    last: int
