"""One line of a table of figures, and the table."""

import importlib
import time
from collections.abc import Sequence
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


def line(row: Row) -> str:
    """One row as text."""
    floor = "" if row.floor is None else f"{'≤' if row.at_most else '≥'} {row.floor:g}"
    verdict = "" if row.floor is None else "ok" if row.holds else "BELOW"
    note = f"  ({row.note})" if row.note else ""
    return f"{row.name:<64} {row.value:>9.3f} {row.unit:<7} {floor:<8} {verdict:<5}{note}"


def print_rows(names: Sequence[str], modules: Sequence[str]) -> int:
    """Print the rows of the named modules, or of all, each with its time.

    Returns:
        1 when a floor is missed, 2 when there is no module of some name.
    """
    unknown = sorted(set(names) - set(modules))
    if unknown:
        print(f"no figures of {', '.join(unknown)}; choose from {', '.join(modules)}")
        return 2
    missed = 0
    for name in names or modules:
        begin = time.perf_counter()
        for row in importlib.import_module(f"tests.benchmarks.{name}").rows():
            missed += not row.holds
            print(line(row), flush=True)
        print(f"  … {name}: {time.perf_counter() - begin:.0f} s", flush=True)
    return 1 if missed else 0
