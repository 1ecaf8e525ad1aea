"""Shapes of a part stated again at once: sequences a step apart, ostinati on the same notes."""

import numpy as np

from planner.analysis.columns import Bools, Columns, Ints, Line
from planner.analysis.strings import Run, tandem_runs
from planner.analysis.talk import bars, counted, interval
from planner.core.profile import Pattern

LONGEST_LEG = 16
"""Most notes in one leg of a sequence (house choice)."""
MOST_RUNS = 6
"""Most sequences and ostinati told for a part (house choice: what fits the study time)."""


def find_runs(columns: Columns, line: Line, gap: Ints, told: Bools) -> list[Pattern]:
    """Sequences and ostinati of a line; their notes are marked in ``told``."""
    found: list[tuple[Run, str]] = []
    taken = np.zeros(len(line), dtype=bool)
    rhythm = gap * 1_000_003 + line.duration
    for period in range(1, min(LONGEST_LEG, len(line) // 2) + 1):
        for run in tandem_runs(line.diatonic, rhythm, period):
            spots = slice(run.start, run.start + run.length + period)
            if taken[spots].mean() > 0.3:
                continue
            if period == 1:
                taken[spots] |= run.legs >= 3  # a scale or a repeated note, not a shape
            elif kind := _run_kind(line, run):
                taken[spots] = True
                found.append((run, kind))
    best = sorted(found, key=lambda item: (-item[0].legs * item[0].period, item[0].start))[:MOST_RUNS]
    for run, _ in best:
        told[run.start : run.start + run.legs * run.period] = True
    return [_run_pattern(columns, line, *item) for item in sorted(best, key=lambda item: item[0].start)]


def _run_kind(line: Line, run: Run) -> str:
    """``sequence``, ``ostinato`` or empty.

    A sequence needs three legs, or two of at least five notes; an ostinato three statements, the same to
    the semitone.

    Source: house choice. In a random line over 7 steps a leg of n notes is answered by luck with
    chance 7**-(n - 1): below 1 in 2,000 for two legs of five, or for three legs of three.
    """
    legs, period = run.legs, run.period
    if run.step:
        return "sequence" if (legs >= 3 and period >= 3) or (legs >= 2 and period >= 5) or legs >= 4 else ""
    pitches = line.written[run.start : run.start + run.length + period]
    same = bool(np.all(pitches[period:] == pitches[:-period]))
    return "ostinato" if same and legs >= 3 and len(set(pitches.tolist())) > 1 else ""


def _run_pattern(columns: Columns, line: Line, run: Run, kind: str) -> Pattern:
    first, last = run.start, run.start + run.legs * run.period - 1
    place = (int(line.measure[first]), int(line.measure[last]))
    share = round((last - first + 1) / len(line), 3)
    where = bars(columns, *place)
    if kind == "ostinato":
        why = f"Ostinato in {where}: the same {counted(run.period)} notes, {counted(run.legs)} times running."
        return Pattern("ostinato", (place,), why, share)
    why = (
        f"Sequence in {where}: a figure of {counted(run.period)} notes, {counted(run.legs)} times, "
        f"each time {interval(run.step)}."
    )
    return Pattern("sequence", (place,), why, share)
