"""What the director corrects by hand in what the study found."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class LevelCorrection:
    """A level as the director sees it.

    Attributes:
        piece_id: Of which piece.
        level: From 0.5 to 6.
        part: Name of the part; empty for the whole piece.
        dimension: One of ``DIMENSIONS``; empty for the level as a whole.
    """

    piece_id: int
    level: float
    part: str = ""
    dimension: str = ""
