"""Shapes of a part stated again at once: sequences a step apart, ostinati on the same notes."""

from dataclasses import replace

import numpy as np

from planner.core.profile import Pattern, PatternKind
from planner.study.form.exact_repeats import Run, longest_stretch, tandem_runs
from planner.study.notes.arrays import differences
from planner.study.notes.columns import TICKS_PER_QUARTER, Bools, Columns, Ints, Line

LONGEST_LEG = 16
"""Most notes in one leg of a sequence (house choice)."""
MOST_RUNS = 6
"""Most sequences and ostinati kept for a part (house choice: what fits the study time)."""


def find_runs(columns: Columns, line: Line, symbols: Ints, taken: Bools) -> list[Pattern]:
    """Sequences and ostinati of a line; their notes are marked in ``taken``.

    Args:
        columns: The score.
        line: The line.
        symbols: For each of its notes a number, equal where all that is struck there is the same.
        taken: Which of its notes stand in a pattern.
    """
    gap = differences(line.onset, int(line.end[-1]))
    found: list[tuple[Run, PatternKind]] = []
    tried = np.zeros(len(line), dtype=bool)
    rhythm = gap * 1_000_003 + line.duration
    for run in tandem_runs(line.diatonic, rhythm, min(LONGEST_LEG, len(line) // 2)):
        spots = slice(run.start, run.start + run.length + run.period)
        if np.count_nonzero(tried[spots]) > 0.3 * (run.length + run.period):
            continue
        if run.period == 1:
            tried[spots] |= run.legs >= 3  # a scale or a repeated note, not a shape
            continue
        kind, shown = _run_kind(columns, line, symbols, run)
        if kind is not None:
            tried[spots] = True
            found.append((shown, kind))
    best = sorted(found, key=lambda item: (-item[0].legs * item[0].period, item[0].start))[:MOST_RUNS]
    for run, _ in best:
        taken[run.start : run.start + run.legs * run.period] = True
    return [_pattern(line, *item) for item in sorted(best, key=lambda item: item[0].start)]


def _run_kind(columns: Columns, line: Line, symbols: Ints, run: Run) -> tuple[PatternKind | None, Run]:
    """Sequence or ostinato, with the run moved to where its figure begins; or None.

    A sequence needs three legs of three different notes, or two of at least five notes; an ostinato three
    statements, the same in every voice and grace note, that fill whole bars.

    Source: house choice: a figure must be recognisable before its moving is. In a random line over 7 steps
    a leg of n notes is answered by luck with chance 7**-(n - 1): below 1 in 2,000 for two legs of five, or
    for three legs of three.
    """
    if not run.step:
        return _ostinato(line, symbols, run)
    run = _on_the_beat(columns, line, run)
    legs, period = run.legs, run.period
    different = len(set(line.diatonic[run.start : run.start + period].tolist()))
    moved = (legs >= 3 and period >= 3) or (legs >= 2 and period >= 5 and abs(run.step) <= _NEAR)
    return (PatternKind.SEQUENCE if moved and different >= _LEAST_DIFFERENT else None), run


_NEAR = 2
"""Farthest a figure stated only twice may move to be called a sequence: a third (house choice)."""
_LEAST_DIFFERENT = 3
"""Fewest different notes of a figure that is moved (house choice: fewer make no shape)."""


def _on_the_beat(columns: Columns, line: Line, run: Run) -> Run:
    """The run begun where its figure does: on a bar line or a quarter, without losing a leg."""
    slack = run.length % run.period
    offset = line.onset - columns.measure_start[line.measure]
    starts = range(run.start, run.start + slack + 1)
    for fits in (0, TICKS_PER_QUARTER):
        for start in starts:
            if (offset[start] == 0) if not fits else (offset[start] % fits == 0):
                return replace(run, start=start, length=run.length - (start - run.start))
    return run


def _ostinato(line: Line, symbols: Ints, run: Run) -> tuple[PatternKind | None, Run]:
    """An ostinato in the whole bars of the run, from the first statement that begins one of them."""
    period, stop = run.period, run.start + run.length + run.period
    heads = symbols[run.start : stop]
    first, last = longest_stretch(heads[period:] == heads[:-period])
    run, stop = replace(run, start=run.start + first), run.start + last + period
    if last - first < period or len(set(line.written[run.start : stop].tolist())) < 2:
        return None, run
    opens = np.append(True, line.measure[1:] != line.measure[:-1])
    starts = [at for at in range(run.start, min(run.start + period, stop)) if opens[at]]
    if not starts:
        return None, run
    begin = starts[0]
    ends = [end for end in range(begin + period, stop + 1, period) if end == len(line) or bool(opens[end])]
    if not ends or (ends[-1] - begin) // period < (3 if period > 2 else 4):
        return None, run
    return PatternKind.OSTINATO, replace(run, start=begin, length=ends[-1] - begin - period)


def _pattern(line: Line, run: Run, kind: PatternKind) -> Pattern:
    """The run by bars."""
    first, last = run.start, run.start + run.legs * run.period - 1
    return Pattern(
        kind,
        ((int(line.measure[first]), int(line.measure[last])),),
        round((last - first + 1) / len(line), 3),
        notes=run.period,
        times=run.legs,
        steps=(run.step,) if run.step else (),
    )
