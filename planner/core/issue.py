"""An ``Issue``: something odd in the user's data, as values and never as words."""

from dataclasses import dataclass
from typing import Literal

Severity = Literal["note", "warning", "error"]
Value = str | float


@dataclass(frozen=True, slots=True)
class Issue:
    """A fault or oddity in the data that did not stop the work.

    Attributes:
        slug: Stable, unique name of the kind of issue, e.g. ``"time-missing"``; ``planner/wording/issues.py``
            has the words for each.
        severity: ``note`` (healed or harmless), ``warning`` (look at it), ``error`` (facts are missing).
        part: Name of the part, or empty when it concerns the whole piece.
        measure: 0-based position of the written measure, or None.
        values: What was found, by name; a name stands several times where there are several of it.
    """

    slug: str
    severity: Severity
    part: str = ""
    measure: int | None = None
    values: tuple[tuple[str, Value], ...] = ()

    def all(self, name: str) -> tuple[Value, ...]:
        """Every value of a name, in order.

        Example:
            >>> Issue("roadmap-differs", "warning", values=(("part", "Oboe"), ("part", "Horn"))).all("part")
            ('Oboe', 'Horn')
        """
        return tuple(value for each, value in self.values if each == name)

    def value(self, name: str) -> Value:
        """The first value of a name; empty when there is none."""
        return next(iter(self.all(name)), "")


def valued(**values: Value) -> tuple[tuple[str, Value], ...]:
    """Values of an issue, each name once.

    Example:
        >>> valued(bars=12, meter="3/4")
        (('bars', 12), ('meter', '3/4'))
    """
    return tuple(values.items())
