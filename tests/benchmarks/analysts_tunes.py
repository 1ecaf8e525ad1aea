"""The analysts' marks of who has the main line in 13 orchestral movements, bar by bar.

The marks (the Hauptstimme corpus, CC BY-SA) say from which moment on which part has the main line. A bar
is the analysts' part that has it for most of the bar; a claim is right in a bar when it names that part or
one that doubles it there (``doubles``). Every bar from the first mark on counts, those in which the
analysts' part rests as well.
"""

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from planner.adapters.scores.reader import read_score
from planner.study.notes.columns import TICKS_PER_QUARTER, Columns, columns_of
from tests.reference import reference_folder

SAME = 0.8
"""Share of the notes of a bar, in either part, that the other must strike too to double it."""

Event = tuple[int, int]
"""A note of a bar: its onset in ticks, and its sounding pitch class."""


@dataclass(frozen=True, eq=False)
class Movement:
    """A movement with its analysts' part in each bar (-1 before the first mark)."""

    name: str
    columns: Columns
    analysts: tuple[int, ...]
    events: tuple[dict[int, set[Event]], ...]

    @property
    def bars(self) -> list[int]:
        """The bars that count."""
        return [bar for bar, part in enumerate(self.analysts) if part >= 0]

    def doubles(self, one: int, two: int, bar: int) -> bool:
        """Whether two parts strike the same pitch classes at the same times in ``SAME`` of a bar."""
        if one == two:
            return True
        ours, theirs = self.events[one].get(bar, set()), self.events[two].get(bar, set())
        return bool(ours and theirs) and len(ours & theirs) >= SAME * len(ours | theirs)

    def is_right(self, part: int, bar: int) -> bool:
        """Whether a claim of a part in a bar is what the analysts marked, or doubles it; -1 claims none."""
        return part >= 0 and self.doubles(part, self.analysts[bar], bar)


@cache
def movements() -> tuple[Movement, ...]:
    """The annotated movements, in order of name; none where the reference data is missing."""
    root = reference_folder()
    paths = [] if root is None else sorted((root / "melody_ccbysa").glob("*.mxl"))
    found = []
    for path in paths:
        with path.with_name(f"{path.stem}_annotations.csv").open(encoding="utf-8") as lines:
            marks = [(float(row["qstamp"]), int(row["part_num"])) for row in csv.DictReader(lines)]
        found.append(movement_of(path.stem, columns_of(read_score(path)), marks))
    return tuple(found)


def movement_of(name: str, columns: Columns, marks: Sequence[tuple[float, int]]) -> Movement:
    """A movement from its notes and its marks: quarters from the start of the written score, and the part."""
    events = tuple(_events(columns, index) for index in range(len(columns.parts)))
    return Movement(name, columns, main_parts(columns, marks), events)


def main_parts(columns: Columns, marks: Sequence[tuple[float, int]]) -> tuple[int, ...]:
    """The part that has each bar for the longest time, the earlier of two alike; -1 where none is marked."""
    at = [round(quarters * TICKS_PER_QUARTER) for quarters, _ in marks]
    until = [*at[1:], columns.total]
    found = []
    for start, length in zip(columns.measure_start.tolist(), columns.measure_length.tolist(), strict=True):
        time: dict[int, int] = {}
        for begin, end, (_, part) in zip(at, until, marks, strict=True):
            inside = min(end, start + length) - max(begin, start)
            if inside > 0:
                time[part] = time.get(part, 0) + inside
        found.append(max(time, key=lambda part: time[part]) if time else -1)
    return tuple(found)


def _events(columns: Columns, index: int) -> dict[int, set[Event]]:
    line = columns.parts[index].line
    found: dict[int, set[Event]] = {}
    classes = np.rint(line.sounding).astype(np.int64) % 12
    for bar, onset, pitch in zip(line.measure.tolist(), line.onset.tolist(), classes.tolist(), strict=True):
        found.setdefault(bar, set()).add((onset, pitch))
    return found
