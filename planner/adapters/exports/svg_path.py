"""SVG path data as absolute moves, lines, cubic curves and closings."""

import re
from functools import lru_cache

Segment = tuple[str, tuple[float, ...]]
"""``("M", (x, y))``, ``("L", (x, y))``, ``("C", (x1, y1, x2, y2, x, y))`` or ``("Z", ())``."""

_TOKEN = re.compile(r"[A-Za-z]|[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?")
_NUMBERS = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "S": 4, "Q": 4, "T": 2, "Z": 0, "A": 7}


@lru_cache(maxsize=4096)
def parse_path(data: str) -> tuple[Segment, ...]:
    """Segments of a path's ``d``. An arc becomes the straight line to its end.

    Source:
        W3C, Scalable Vector Graphics (SVG) 1.1, section 8.3 "Path data".

    Example:
        >>> parse_path("m1 1h2v-1z")
        (('M', (1.0, 1.0)), ('L', (3.0, 1.0)), ('L', (3.0, 0.0)), ('Z', ()))
    """
    walker = _Walker()
    tokens = _TOKEN.findall(data)
    at, command = 0, ""
    while at < len(tokens):
        if tokens[at].isalpha():
            command = tokens[at]
            at += 1
        elif command in "Mm":
            command = "L" if command == "M" else "l"
        count = _NUMBERS.get(command.upper(), 0)
        if count and at + count > len(tokens):
            break
        walker.step(command, [float(n) for n in tokens[at : at + count]])
        at += count
        if not count and at < len(tokens) and not tokens[at].isalpha():
            break
    return tuple(walker.segments)


class _Walker:
    """The current point and the last control point while a path is read."""

    def __init__(self) -> None:
        self.segments: list[Segment] = []
        self.x = self.y = self.start_x = self.start_y = 0.0
        self.control: tuple[str, float, float] = ("", 0.0, 0.0)

    def step(self, command: str, numbers: list[float]) -> None:
        kind = command.upper()
        if kind == "Z":
            self.segments.append(("Z", ()))
            self.x, self.y, self.control = self.start_x, self.start_y, ("", 0.0, 0.0)
            return
        points = self._absolute(kind, numbers, relative=command.islower())
        if kind in "CSQT":
            self._curve(kind, points)
        else:
            self.segments.append(("M" if kind == "M" else "L", (points[-2], points[-1])))
            self.control = ("", 0.0, 0.0)
        self.x, self.y = points[-2], points[-1]
        if kind == "M":
            self.start_x, self.start_y = self.x, self.y

    def _absolute(self, kind: str, numbers: list[float], *, relative: bool) -> list[float]:
        dx, dy = (self.x, self.y) if relative else (0.0, 0.0)
        if kind == "H":
            return [numbers[0] + dx, self.y]
        if kind == "V":
            return [self.x, numbers[0] + dy]
        if kind == "A":
            numbers = numbers[-2:]
        return [n + (dy if place % 2 else dx) for place, n in enumerate(numbers)]

    def _curve(self, kind: str, points: list[float]) -> None:
        if kind in "ST":
            family = "C" if kind == "S" else "Q"
            mirror = (2 * self.x - self.control[1], 2 * self.y - self.control[2])
            points[:0] = mirror if self.control[0] == family else (self.x, self.y)
        if kind in "QT":
            qx, qy, x, y = points
            self.control = ("Q", qx, qy)
            points = [
                self.x + 2 / 3 * (qx - self.x), self.y + 2 / 3 * (qy - self.y),
                x + 2 / 3 * (qx - x), y + 2 / 3 * (qy - y), x, y,
            ]  # fmt: skip
        else:
            self.control = ("C", points[2], points[3])
        self.segments.append(("C", tuple(points)))
