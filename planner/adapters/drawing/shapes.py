"""What a picture is made of: paths, dots and texts, each of a kind that says how it looks.

Lengths are in units of the picture, down is positive. How a kind looks stands in ``programme.css`` for pages
and in ``exports/chart.py`` for paper.
"""

from dataclasses import dataclass

KINDS = frozenset({
    "rule", "rule month", "today", "band so-far", "band ahead", "level-line so-far", "level-line ahead",
    "dot", "dot hollow", "expected", "tie", "count", "count second", "line behind",
})  # fmt: skip
"""Kinds of paths and dots."""

TEXT_KINDS = frozenset({"scale", "name", "month", "today-name", "today-name end", "label"})
"""Kinds of texts; ``scale`` and those with ``end`` end at their place, the others begin there."""

TEXT_SIZE = 12.0
"""Height of all letters."""


@dataclass(frozen=True, slots=True)
class Path:
    """Lines and areas, as SVG path data of absolute moves, lines and closings."""

    shape: str
    kind: str


@dataclass(frozen=True, slots=True)
class Dot:
    """A circle."""

    x: float
    y: float
    radius: float
    kind: str


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text on its baseline."""

    x: float
    y: float
    text: str
    kind: str

    @property
    def ends_there(self) -> bool:
        """Whether it ends at its place."""
        return self.kind == "scale" or self.kind.endswith(" end")


Shape = Path | Dot | Text


@dataclass(frozen=True, slots=True)
class Drawing:
    """A picture.

    Attributes:
        width, height: Of the whole.
        title: What it shows, for those who do not see it.
        shapes: From the back to the front.
    """

    width: float
    height: float
    title: str
    shapes: tuple[Shape, ...]


def line(x1: float, y1: float, x2: float, y2: float, kind: str) -> Path:
    """A straight line."""
    return Path(f"M{x1:g} {y1:g}L{x2:g} {y2:g}", kind)


def box(x: float, y: float, width: float, height: float, kind: str) -> Path:
    """A rectangle."""
    return Path(f"M{x:g} {y:g}L{x + width:g} {y:g}L{x + width:g} {y + height:g}L{x:g} {y + height:g}Z", kind)
