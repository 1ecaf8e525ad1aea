"""SVG path data as absolute moves, lines, cubic curves and closings."""

from contextlib import suppress
from functools import lru_cache

from fontTools.pens.basePen import BasePen
from fontTools.svgLib.path import parse_path as walk_path

Segment = tuple[str, tuple[float, ...]]
"""``("M", (x, y))``, ``("L", (x, y))``, ``("C", (x1, y1, x2, y2, x, y))`` or ``("Z", ())``."""


class _Recorder(BasePen):  # type: ignore[misc]
    """Keeps what is drawn; the pen it builds on turns quadratic curves and arcs into cubic ones."""

    def __init__(self) -> None:
        super().__init__(None)
        self.segments: list[Segment] = []

    def _moveTo(self, pt: tuple[float, float]) -> None:  # noqa: N802
        self.segments.append(("M", pt))

    def _lineTo(self, pt: tuple[float, float]) -> None:  # noqa: N802
        self.segments.append(("L", pt))

    def _curveToOne(  # noqa: N802
        self, pt1: tuple[float, float], pt2: tuple[float, float], pt3: tuple[float, float]
    ) -> None:
        self.segments.append(("C", (*pt1, *pt2, *pt3)))

    def _closePath(self) -> None:  # noqa: N802
        self.segments.append(("Z", ()))


@lru_cache(maxsize=4096)
def parse_path(data: str) -> tuple[Segment, ...]:
    """Segments of a path's ``d``. Data cut off in the middle give what stands before the cut.

    Example:
        >>> parse_path("m1 1h2v-1z")
        (('M', (1.0, 1.0)), ('L', (3.0, 1.0)), ('L', (3.0, 0.0)), ('L', (1.0, 1.0)), ('Z', ()))
    """
    pen = _Recorder()
    with suppress(ValueError, IndexError, TypeError):
        walk_path(data, pen)
    return tuple(pen.segments)
