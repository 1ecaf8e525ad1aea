"""One line of the table of figures."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Row:
    """A measured figure beside what it must reach.

    Attributes:
        name: What was measured, on what.
        value: As measured in this run.
        floor: The least it must be, or the most when ``at_most``; None when it is only reported.
        unit: Such as ``share``, ``points`` or ``s``.
        at_most: True when smaller is better.
        note: What a reader must know to judge it.
    """

    name: str
    value: float
    floor: float | None = None
    unit: str = "share"
    at_most: bool = False
    note: str = ""

    @property
    def holds(self) -> bool:
        """True when the floor is reached, or there is none."""
        if self.floor is None:
            return True
        return self.value <= self.floor if self.at_most else self.value >= self.floor
