"""The line that phrases and sections are heard by: the voice that is sung, else the top of what moves."""

import numpy as np

from planner.study.notes.columns import Bools, Columns, Floats, Ints, Line, PartColumns, asked_once

MOVING = 0.4
"""Least share of the liveliest part's moves that a part needs to lead (house choice)."""
AROUND = 2
"""Measures looked at on either side of each (house choice: a tune may hold a note for a bar)."""
_DOUBLES = ("percussion", "timpani", "mallet", "bells", "xylophone", "glockenspiel", "vibraphone", "chimes")


@asked_once
def sung_part(columns: Columns) -> PartColumns | None:
    """The first part most of whose notes have text; None where nothing is sung."""
    for part in columns.pitched():
        if 2 * sum(bool(note.lyric) for note in part.part.notes) > len(part.line) > 0:
            return part
    return None


@asked_once
def leading_line(columns: Columns) -> Line | None:
    """The line that phrases are counted by; None without pitches.

    The part that is sung, since its text tells where phrases end. Else, measure by measure, the highest of
    the parts that move about as much as the liveliest there: a held note or a drone over the tune does not
    lead. Bells and timpani lead only where nothing else has pitches.
    """
    sung = sung_part(columns)
    if sung is not None:
        return sung.line
    parts = [part for part in columns.pitched() if len(part.line)]
    plain = [part for part in parts if not any(word in part.part.instrument for word in _DOUBLES)]
    parts = plain or parts
    if len(parts) < 2:
        return parts[0].line if parts else None
    leads = _leading_parts(columns, parts)
    return _joined([_only(part.line, leads[part.line.measure] == at) for at, part in enumerate(parts)])


def _leading_parts(columns: Columns, parts: list[PartColumns]) -> Ints:
    """Which part leads in each measure, by its place in ``parts``."""
    measures = len(columns.measure_start)
    moves, height = np.zeros((len(parts), measures)), np.full((len(parts), measures), -np.inf)
    for at, part in enumerate(parts):
        line = part.line
        steps = np.append(True, np.diff(line.sounding) != 0)
        moves[at] = np.bincount(line.measure[steps], minlength=measures).astype(np.float64)
        notes = np.bincount(line.measure, minlength=measures)
        total = np.bincount(line.measure, weights=line.sounding, minlength=measures)
        mean = _near(total.astype(np.float64)) / np.maximum(_near(notes.astype(np.float64)), 1)
        height[at] = np.where(notes > 0, mean, -np.inf)
        moves[at] = _near(moves[at])
    lively = moves >= MOVING * moves.max(axis=0)
    return np.asarray(np.where(lively, height, -np.inf).argmax(axis=0), dtype=np.int64)


def _near(values: Floats) -> Floats:
    """The sum over the measures around each."""
    return np.asarray(np.convolve(values, np.ones(2 * AROUND + 1))[AROUND : AROUND + len(values)])


def _only(line: Line, kept: Bools) -> Line:
    return Line(
        line.onset[kept], line.duration[kept], line.measure[kept], line.written[kept], line.sounding[kept],
        line.diatonic[kept], line.note[kept],
    )  # fmt: skip


def _joined(lines: list[Line]) -> Line:
    """Lines that never play in the same measure, as one; ``note`` then means nothing."""
    onset = np.concatenate([line.onset for line in lines])
    order = np.argsort(onset, kind="stable")

    def together(name: str) -> Floats:
        return np.asarray(np.concatenate([getattr(line, name) for line in lines])[order])

    whole = {
        name: together(name).astype(np.int64) for name in ("onset", "duration", "measure", "diatonic", "note")
    }
    return Line(
        whole["onset"], whole["duration"], whole["measure"], together("written"), together("sounding"),
        whole["diatonic"], whole["note"],
    )  # fmt: skip
