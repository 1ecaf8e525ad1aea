"""What comes again in a part: repeats, sequences, ostinati, rhythms, and who plays the same line."""

from dataclasses import dataclass

import numpy as np

from planner.analysis.columns import Columns, Ints, Line, PartColumns
from planner.analysis.strings import Repeat, Run, maximal_repeats, tandem_runs
from planner.core.profile import Pattern, Statement

LEAST_NOTES = 5
"""Fewest notes of an exact repeat worth telling (house choice: more than a player takes in at a glance)."""
LEAST_UNISON = 6
"""Fewest notes in unison worth telling (house choice)."""
MOST_PER_KIND = 3
"""Most patterns of one kind told for a part (house choice: what fits the study time)."""
LONGEST_LEG = 24
"""Most notes in one leg of a sequence (house choice)."""


@dataclass(frozen=True, slots=True)
class PatternStudy:
    """Patterns of each part, in score order, and sentences about them."""

    by_part: tuple[tuple[Pattern, ...], ...]
    statements: tuple[Statement, ...] = ()


def find_patterns(columns: Columns) -> PatternStudy:
    """Repeats, sequences, ostinati and unison partners of each part.

    Example:
        >>> from planner.analysis.columns import columns_of
        >>> from planner.core.score import Score
        >>> find_patterns(columns_of(Score("Empty", (), ()))).by_part
        ()
    """
    partners = _partners(columns)
    by_part = tuple(
        (*_repeats(columns, part.line), *_runs(columns, part.line), *partners[part.index])
        if part.is_pitched
        else ()
        for part in columns.parts
    )
    statements = tuple(
        Statement(
            "patterns", pattern.why, columns.score.parts[at].name, pattern.places[0][0], pattern.places[0][1]
        )
        for at, patterns in enumerate(by_part)
        for pattern in patterns
    )
    return PatternStudy(by_part, statements)


def _repeats(columns: Columns, line: Line) -> list[Pattern]:
    if len(line) < 2 * LEAST_NOTES:
        return []
    gap = np.append(np.diff(line.onset), line.duration[-1])
    symbols = np.unique(
        np.stack([line.written.astype(np.int64), line.diatonic, gap, line.duration]),
        axis=1,
        return_inverse=True,
    )[1].reshape(-1)
    free = np.ones(len(line), dtype=bool)
    chosen: list[Repeat] = []
    for repeat in sorted(
        maximal_repeats(symbols, least=LEAST_NOTES), key=lambda r: (-r.length * len(r.starts), r.starts)
    ):
        spots = np.concatenate([np.arange(s, s + repeat.length) for s in repeat.starts])
        if free[spots].mean() > 0.5 and len(chosen) < MOST_PER_KIND:
            chosen.append(repeat)
            free[spots] = False
    return [_repeat_pattern(columns, line, repeat) for repeat in chosen]


def _repeat_pattern(columns: Columns, line: Line, repeat: Repeat) -> Pattern:
    places = tuple((int(line.measure[s]), int(line.measure[s + repeat.length - 1])) for s in repeat.starts)
    again = ", ".join(bars(columns, *place) for place in places[1:])
    why = f"The {repeat.length} notes from {bars(columns, *places[0])} come again in {again}."
    return Pattern("repeat", places, why, round(repeat.length * len(places) / len(line), 3))


def bars(columns: Columns, first: int, last: int) -> str:
    """``bar 5`` or ``bars 5–8``, printed numbers."""
    score = columns.score
    if first == last:
        return f"bar {score.measure_number(first)}"
    return f"bars {score.measure_number(first)}–{score.measure_number(last)}"


def _runs(columns: Columns, line: Line) -> list[Pattern]:
    if len(line) < 6:
        return []
    gap = np.append(np.diff(line.onset), line.duration[-1])
    rhythm = gap * 1_000_003 + line.duration
    taken = np.zeros(len(line), dtype=bool)
    found: list[tuple[Run, str]] = []
    for period in range(1, min(LONGEST_LEG, len(line) // 2) + 1):
        for run in tandem_runs(line.diatonic, rhythm, period):
            spots = slice(run.start, run.start + run.length + period)
            if taken[spots].mean() > 0.3:
                continue
            if period == 1 or (run.legs < 3 and period < 4):
                taken[spots] = taken[spots] | (run.legs >= 3)
                continue
            taken[spots] = True
            if run.step:
                found.append((run, "sequence"))
            elif run.legs >= 3 and _same_pitches(line, run):
                found.append((run, "ostinato"))
    return [_run_pattern(columns, line, run, kind) for run, kind in found]


def _same_pitches(line: Line, run: Run) -> bool:
    pitches = line.written[run.start : run.start + run.length + run.period]
    return bool(np.all(pitches[run.period :] == pitches[: -run.period]))


_INTERVALS = {1: "step", 2: "third", 3: "fourth", 4: "fifth", 5: "sixth", 6: "seventh", 7: "octave"}


def _run_pattern(columns: Columns, line: Line, run: Run, kind: str) -> Pattern:
    first, last = run.start, run.start + run.legs * run.period - 1
    place = (int(line.measure[first]), int(line.measure[last]))
    share = round((last - first + 1) / len(line), 3)
    where = bars(columns, *place)
    if kind == "ostinato":
        why = f"A figure of {run.period} notes is played {run.legs} times in {where}."
        return Pattern("ostinato", (place,), why, share)
    size = _INTERVALS.get(abs(run.step), f"{abs(run.step) + 1}th")
    way = "up" if run.step > 0 else "down"
    why = f"Sequence in {where}: a figure of {run.period} notes, {run.legs} times, each a {size} {way}."
    return Pattern("sequence", (place,), why, share)


def _partners(columns: Columns) -> list[tuple[Pattern, ...]]:
    lines = [(part, part.line) for part in columns.pitched() if len(part.line) >= LEAST_UNISON]
    found: list[list[Pattern]] = [[] for _ in columns.parts]
    if len(lines) < 2:
        return [tuple(row) for row in found]
    keys = [line.onset * 12 + np.rint(line.sounding).astype(np.int64) % 12 for _, line in lines]
    every, inverse = np.unique(np.concatenate(keys), return_inverse=True)
    has = np.zeros((len(every), len(lines)), dtype=bool)
    begin = np.cumsum([0, *(len(k) for k in keys)])
    places = [inverse[begin[i] : begin[i + 1]] for i in range(len(lines))]
    for at, place in enumerate(places):
        has[place, at] = True
    for at, (part, line) in enumerate(lines):
        shared = has[places[at]]
        for first, last, others in _together(shared, at, lines, line):
            found[part.index].append(_unison(columns, line, first, last, others))
    return [tuple(row) for row in found]


def _together(
    shared: np.ndarray, own: int, lines: list[tuple[PartColumns, Line]], line: Line
) -> list[tuple[int, int, tuple[str, ...]]]:
    """The longest stretches in which other parts strike the same notes, each with its partners."""
    spans: dict[tuple[int, int], list[str]] = {}
    for other, (part, other_line) in enumerate(lines):
        if other == own:
            continue
        for first, last in _stretches(shared[:, other]):
            inside = np.searchsorted(other_line.onset, [line.onset[first], line.onset[last] + 1])
            if last - first + 1 >= LEAST_UNISON and inside[1] - inside[0] == last - first + 1:
                spans.setdefault((first, last), []).append(part.part.name)
    best = sorted(spans.items(), key=lambda item: (item[0][0] - item[0][1], item[0]))[:MOST_PER_KIND]
    return [(first, last, tuple(names)) for (first, last), names in sorted(best)]


def _stretches(flags: Ints) -> list[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate([[0], flags.astype(np.int8), [0]])))
    return [(int(b), int(e) - 1) for b, e in edges.reshape(-1, 2)]


def _unison(columns: Columns, line: Line, first: int, last: int, others: tuple[str, ...]) -> Pattern:
    place = (int(line.measure[first]), int(line.measure[last]))
    names = others[0] if len(others) == 1 else ", ".join(others[:-1]) + " and " + others[-1]
    why = f"Same notes as {names} in {bars(columns, *place)}."
    return Pattern("unison", (place,), why, round((last - first + 1) / len(line), 3), others)
