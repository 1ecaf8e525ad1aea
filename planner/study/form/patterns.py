"""What comes again in a part: repeats, sequences, ostinati, rhythms, and who plays the same line."""

from dataclasses import dataclass

import numpy as np

from planner.core.profile import Pattern, Statement
from planner.study.form.doublings import find_partners
from planner.study.form.repeats import chords_of, find_repeats
from planner.study.form.sequences import find_runs
from planner.study.notes.columns import Columns, Line, PartColumns
from planner.study.talk import bar_spans, counted

LEAST_LINE = 6
"""Fewest notes of a line that is searched at all."""
MOST_PLACES = 6
"""Most places of a rhythm named in its sentence (house choice)."""
LEAST_BARS = 3
"""Fewest bars with the same rhythm that make a rhythm pattern (house choice)."""
MOST_PER_KIND = 3
"""Most patterns of one kind told for a part (house choice: what fits the study time)."""


@dataclass(frozen=True, slots=True)
class PatternStudy:
    """Patterns of each part, in score order, and sentences about them."""

    by_part: tuple[tuple[Pattern, ...], ...]
    statements: tuple[Statement, ...] = ()


def find_patterns(columns: Columns) -> PatternStudy:
    """Repeats, sequences, ostinati, rhythm patterns and unison partners of each part.

    Example:
        >>> from planner.study.notes.columns import columns_of
        >>> from planner.core.score import Score
        >>> find_patterns(columns_of(Score("Empty", (), ()))).by_part
        ()
    """
    partners = find_partners(columns)
    by_part: list[tuple[Pattern, ...]] = []
    said: list[Statement] = []
    for part in columns.parts:
        own, covered = _own_patterns(columns, part) if part.is_pitched else ([], 0.0)
        by_part.append((*own, *partners[part.index]))
        said += _statements(part.part.name, by_part[-1], covered)
    return PatternStudy(tuple(by_part), tuple(said))


LEAST_COVERED = 0.25
"""Share of a part's notes in repeats, sequences and ostinati from which it is worth saying (house choice)."""


def _statements(name: str, patterns: tuple[Pattern, ...], covered: float) -> list[Statement]:
    said = [
        Statement("patterns", p.why, name, p.places[0][0], p.places[0][1]) for p in _most_useful(patterns)
    ]
    if covered >= LEAST_COVERED:
        share = round(100 * covered)
        sentence = f"About {share} % of your notes stand in repeats and sequences."
        said.append(Statement("patterns", sentence, name, patterns[-1].places[-1][1] if patterns else None))
    return said


def _most_useful(patterns: tuple[Pattern, ...]) -> list[Pattern]:
    """What to tell in words, by first bar: partners, repeats and sequences before rhythms."""
    room = dict(MOST_TOLD)
    chosen: list[Pattern] = []
    for pattern in sorted(patterns, key=lambda p: (_KINDS.index(p.kind), -p.covers, p.places)):
        if pattern.kind == "rhythm" and len(chosen) >= ENOUGH:
            break
        if room[pattern.kind] and len(chosen) < MOST_SENTENCES:
            room[pattern.kind] -= 1
            chosen.append(pattern)
    return sorted(chosen, key=lambda p: p.places)


MOST_SENTENCES = 4
"""Most patterns told to a part in words (house choice: what can be looked up in the study time)."""
ENOUGH = 2
"""Sentences beside which a bare rhythm is not worth one (house choice)."""
MOST_TOLD = {"unison": 2, "repeat": 2, "sequence": 2, "ostinato": 1, "rhythm": 1}
"""Most patterns of each kind told in words (house choice)."""
_KINDS = ("unison", "repeat", "sequence", "ostinato", "rhythm")


def _own_patterns(columns: Columns, part: PartColumns) -> tuple[list[Pattern], float]:
    """Patterns inside one part's line, and the share of its notes in those of its repeats and sequences."""
    line = part.line
    if len(line) < LEAST_LINE:
        return [], 0.0
    gap = np.append(np.diff(line.onset), line.duration[-1])
    told = np.zeros(len(line), dtype=bool)
    runs = find_runs(columns, line, gap, told)
    repeats = find_repeats(columns, line, gap, told, chords_of(part))
    return [*repeats, *runs, *_rhythms(columns, line)], float(told.mean())


def _rhythms(columns: Columns, line: Line) -> list[Pattern]:
    """The one-bar rhythms of at least three notes that fill most bars, even values aside."""
    measures, first, counts = np.unique(line.measure, return_index=True, return_counts=True)
    rhythms: dict[tuple[int, ...], list[int]] = {}
    offset = (line.onset - columns.measure_start[line.measure]).tolist()
    length = line.duration.tolist()
    for measure, begin, count in zip(measures.tolist(), first.tolist(), counts.tolist(), strict=True):
        if count >= LEAST_BARS:
            figure = tuple(x for at in range(begin, begin + count) for x in (offset[at], length[at]))
            rhythms.setdefault(figure, []).append(measure)
    uneven = [
        (found, len(figure) // 2)
        for figure, found in rhythms.items()
        if len(found) >= LEAST_BARS and len(set(figure[1::2])) > 1
    ]
    best = sorted(uneven, key=lambda item: (-len(item[0]) * item[1], item[0]))[:MOST_PER_KIND]
    return [_rhythm_pattern(columns, line, found, notes) for found, notes in best]


def _rhythm_pattern(columns: Columns, line: Line, found: list[int], notes: int) -> Pattern:
    places = tuple(_joined(found))
    where = bar_spans(columns, places[:MOST_PLACES])
    if len(places) > MOST_PLACES:
        more = len(places) - MOST_PLACES
        where += f", and {counted(more)} more {'place' if more == 1 else 'places'}"
    why = f"One rhythm of {counted(notes)} notes fills {where}."
    return Pattern("rhythm", places, why, round(len(found) * notes / len(line), 3))


def _joined(measures: list[int]) -> list[tuple[int, int]]:
    """Measures as stretches."""
    places: list[tuple[int, int]] = []
    for measure in measures:
        if places and measure == places[-1][1] + 1:
            places[-1] = (places[-1][0], measure)
        else:
            places.append((measure, measure))
    return places
