"""Where a singer or a wind player breathes: the rests, and the long notes that end a phrase."""

from collections.abc import Iterator, Sequence

import numpy as np

from planner.core.fact import Fact, FactKind
from planner.core.profile import Phrase
from planner.study.lines.technique_tables import REFILL_SECONDS
from planner.study.notes.columns import TICKS_PER_QUARTER, Bools, Columns, Ints, Line, PartColumns, to_ticks
from planner.study.notes.ranges import family_of

FAMILIES = frozenset({"voice", "woodwind", "brass"})
LONG_NOTE = 2.0
"""How many times the usual (median) length of a note one must last to end a phrase. House choice."""
LONGEST_REST_MEASURES = 1.0
"""Rests longer than this many bars are no question of breath. House choice."""
LEAST_STRETCH_SECONDS = 4.0
"""A rest counts where the notes up to it or after it run on for so long without one: half of what a breath
lasts at level 2 (``BREATH_SECONDS``). House choice."""
LOWEST_VOICE, HIGHEST_VOICE = 36.0, 84.0
"""Sounding MIDI numbers within which unnamed parts may be voices (C2 to C6); choral practice, from memory."""
MOST_PLACES = 8
"""Most bars that a reader can mark in the study time; of a longer list nothing is said. House choice."""

IN_REST, ON_LONG_NOTE = "rest", "long-note"


def breath_facts(columns: Columns, phrases: Sequence[Phrase], quarter_bpm: Sequence[float]) -> Iterator[Fact]:
    """For each singing or blowing part, the bars in which it breathes between its first and last note.

    The places are those of rests of at least a quick breath, and of long notes that end a phrase with no
    rest, and not the end, in that bar or the next; where these are too many, the rests alone, and of
    those, if need be, the ones at the ends of phrases.

    Args:
        columns: The score.
        phrases: Phrases of the leading melody.
        quarter_bpm: For each measure, quarters a minute, above 0.

    Example:
        >>> from planner.core.score import Score
        >>> from planner.study.notes.columns import columns_of
        >>> list(breath_facts(columns_of(Score("Empty", (), ())), (), ()))
        []
    """
    ends = {phrase.end_measure for phrase in phrases}
    starts = {phrase.measure for phrase in phrases}
    is_choir = _is_choir(columns)
    for part in columns.pitched():
        if len(part.line) < 2 or not (family_of(part) in FAMILIES or (is_choir and not family_of(part))):
            continue
        found = _places(columns, part, ends, quarter_bpm)
        if len(found) > MOST_PLACES:
            found = {measure: kind for measure, kind in found.items() if kind == IN_REST}
        if len(found) > MOST_PLACES:
            near = ends | starts | {start - 1 for start in starts}
            found = {measure: kind for measure, kind in found.items() if measure in near}
        if 0 < len(found) <= MOST_PLACES:
            measures = sorted(found)
            yield Fact(
                FactKind.BREATHS,
                part.part.name,
                places=tuple((measure, measure) for measure in measures),
                terms=tuple(found[measure] for measure in measures),
                weight=0.35,
            )


def _places(
    columns: Columns, part: PartColumns, ends: set[int], quarter_bpm: Sequence[float]
) -> dict[int, str]:
    """Bars in which a part can breathe, each with how."""
    line = part.line
    gap = line.onset[1:] - _sounding_until(line)[:-1]
    bar = columns.measure_length[line.measure[:-1]]
    seconds = gap * 60.0 / (np.array(quarter_bpm)[line.measure[:-1]] * TICKS_PER_QUARTER)
    usual = float(np.median(line.duration))
    found: dict[int, str] = {}
    parted = np.flatnonzero(seconds > REFILL_SECONDS)
    bounds = np.r_[-1, parted, len(line) - 1]
    per_tick = 60.0 / (np.array(quarter_bpm)[line.measure] * TICKS_PER_QUARTER)
    stretches = (line.end[bounds[1:]] - line.onset[bounds[:-1] + 1]) * per_tick[bounds[1:]]
    for number, at in enumerate(parted.tolist()):
        is_long = max(stretches[number], stretches[number + 1]) >= LEAST_STRETCH_SECONDS
        if is_long and gap[at] <= LONGEST_REST_MEASURES * bar[at]:
            measure = int(np.searchsorted(columns.measure_start, int(line.end[at]), side="right")) - 1
            found[measure] = IN_REST
    last = np.searchsorted(columns.measure_start, line.end[:-1] - 1, side="right") - 1
    long = (line.duration[:-1] >= LONG_NOTE * usual) & ~_slurred_on(columns, part) & _goes_on(line, gap, last)
    pause = line.measure[bounds[np.searchsorted(bounds, np.arange(len(last)) + 1)]]
    for at in np.flatnonzero(long).tolist():
        measure = int(last[at])
        if measure in ends and int(pause[at]) > measure + 1:
            found.setdefault(measure, ON_LONG_NOTE)
    return found


def _goes_on(line: Line, gap: Ints, last: Ints) -> Bools:
    """For each note of the line but the last: it ends its bar, or all that follows in the bar is shorter.

    The notes between are the upbeat of the next phrase: they go on into the next bar without a rest.
    """
    found = gap <= 0
    for at in np.flatnonzero(found).tolist():
        after, upbeat = at + 1, 0
        while found[at] and after < len(line) and line.measure[after] <= last[at]:
            upbeat += int(line.duration[after])
            found[at] = after < len(gap) and gap[after] <= 0 and upbeat < line.duration[at]
            after += 1
    return np.asarray(found, dtype=np.bool_)


def _slurred_on(columns: Columns, part: PartColumns) -> Bools:
    """For each note of the line but the last, whether a slur leads over to the next one."""
    starts, stops = list[int](), list[int]()
    for note in part.part.notes:
        if note.slurs_started or note.slurs_stopped:
            at = int(columns.measure_start[note.measure]) + to_ticks(note.onset_quarters)
            starts += [at] * note.slurs_started
            stops += [at] * note.slurs_stopped
    after = part.line.onset[1:]
    begun = np.searchsorted(np.sort(np.array(starts, dtype=np.int64)), after, side="left")
    ended = np.searchsorted(np.sort(np.array(stops, dtype=np.int64)), after, side="left")
    return np.asarray(begun > ended, dtype=np.bool_)


def _is_choir(columns: Columns) -> bool:
    """Whether unnamed parts are voices: all known parts are, and every part stays where voices sing."""
    parts = list(columns.pitched())
    return all(
        family_of(part) in ("voice", "")
        and part.part.staves == 1
        and float(np.nanmin(part.sounding)) >= LOWEST_VOICE
        and float(np.nanmax(part.sounding)) <= HIGHEST_VOICE
        for part in parts
    )


def _sounding_until(line: Line) -> Ints:
    """The tick until which anything of the line has sounded, for every note."""
    return np.asarray(np.maximum.accumulate(line.end), dtype=np.int64)
