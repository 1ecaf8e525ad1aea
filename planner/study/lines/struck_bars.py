"""What a percussionist counts: one bar again and again, rolls, the time from instrument to instrument."""

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import pairwise

from planner.core.fact import Fact, FactKind
from planner.core.instruments import family_of
from planner.core.score import Note, Part, Score
from planner.study.lines.set_up import MOST_INSTRUMENTS
from planner.study.lines.silences import Moment, moment_of, rounded_down, silences_before, sounding_heads

LEAST_TIMES = 4
"""Fewest times in a row that one bar must come to be counted. House choice."""
MOST_RUNS = 2
"""Most such runs that are named. House choice."""
MOST_ROLLS = 6
"""Most bars with a roll that are named; of more nothing is stated. House choice."""
MOST_SWITCHES = 4
"""Most moves from one instrument to the next that a reader keeps in mind. House choice."""
IN_REACH_SECONDS = 1.0
"""Instruments struck one after the other with less time lie within reach, or have a player each. House
choice."""
QUICK_SECONDS = 8.0
"""A move with more time than this needs no word. House choice."""
UNMEASURED = frozenset({"tremolo-4", "tremolo-5"})
"""Strokes through a stem that nobody counts out. Source: common practice."""
TRILL = "trill-mark"
"""A roll on drums; on bars and bells a trill between two notes."""
THREE_STROKES, COUNTED_BELOW = "tremolo-3", 72.0
"""A roll too, but where the music is slow they may be counted out: below so many quarters a minute. House
choice."""
_AT_END = frozenset({"repeat-end", "ending-stop", "fine", "to-coda", "da-capo", "dal-segno"})
"""Signs that stand at the end of their measure: a reader leaves the row of bars there."""

_Head = tuple[Fraction, Fraction, str, str, bool, bool, tuple[str, ...]]


def struck_bar_facts(score: Score, play_order: Sequence[int], quarter_bpm: Sequence[float]) -> Iterator[Fact]:
    """What each percussion part repeats, rolls, and takes up in turn.

    Args:
        score: The score.
        play_order: Its measures as they are played.
        quarter_bpm: For each measure, quarters a minute of the first reading, above 0.

    Example:
        >>> list(struck_bar_facts(Score("Empty", (), ()), (), ()))
        []
    """
    for part in score.parts:
        heads = sounding_heads(part)
        is_struck = bool(heads) and all(note.unpitched for note in heads)
        if is_struck and part.staves == 1:
            yield from _same_bars(score, part)
            yield from _switches(score, part, play_order, quarter_bpm)
        if heads and (is_struck or family_of(part.instrument) == "percussion"):
            yield from _rolls(part, heads, quarter_bpm)


def _same_bars(score: Score, part: Part) -> Iterator[Fact]:
    measures = len(score.measures)
    breaks = {mark.measure + (mark.kind in _AT_END) for mark in score.marks}
    bars: list[list[_Head]] = [[] for _ in range(measures)]
    for note in sounding_heads(part):
        bars[note.measure].append(_head(note))
    runs, start = list[tuple[int, int]](), 0
    for at in range(1, measures + 1):
        if at == measures or bars[at] != bars[start] or at in breaks:
            if bars[start] and at - start >= LEAST_TIMES:
                runs.append((start, at - 1))
            start = at
    runs.sort(key=lambda run: (run[0] - run[1], run[0]))
    if runs:
        yield Fact(FactKind.SAME_BARS, part.name, places=tuple(runs[:MOST_RUNS]), weight=0.75)


def _head(note: Note) -> _Head:
    return (
        note.onset_quarters, note.duration_quarters, note.percussion, str(note.unpitched), note.is_grace,
        not {TRILL, THREE_STROKES, *UNMEASURED}.isdisjoint(note.ornaments), note.articulations,
    )  # fmt: skip


def _rolls(part: Part, heads: Sequence[Note], quarter_bpm: Sequence[float]) -> Iterator[Fact]:
    is_drum = part.instrument == "timpani" or all(note.unpitched for note in heads)
    measures = sorted(
        {
            note.measure
            for note in heads
            if _is_rolled(note, quarter_bpm[note.measure]) or (is_drum and TRILL in note.ornaments)
        }
    )
    if 0 < len(measures) <= MOST_ROLLS:
        yield Fact(FactKind.ROLLS, part.name, places=tuple((each, each) for each in measures), weight=0.5)


def _is_rolled(note: Note, quarter_bpm: float) -> bool:
    return not UNMEASURED.isdisjoint(note.ornaments) or (
        THREE_STROKES in note.ornaments and quarter_bpm >= COUNTED_BELOW
    )


def _switches(
    score: Score, part: Part, play_order: Sequence[int], quarter_bpm: Sequence[float]
) -> Iterator[Fact]:
    """Moves between instruments that are never struck in one bar: those share no set-up for certain."""
    strokes = sorted((note for note in sounding_heads(part)), key=moment_of)
    names = {note.percussion for note in strokes}
    are_named = all(any(letter.isalpha() for letter in name) for name in names)
    if part.instrument == "drum-set" or not are_named or not 2 <= len(names) <= MOST_INSTRUMENTS:
        return
    silences = silences_before(score, part, strokes, play_order, quarter_bpm)
    group = _together(strokes, silences)
    moves = [
        (silences[moment_of(after)], before, after)
        for before, after in pairwise(strokes)
        if group[before.percussion] != group[after.percussion] and moment_of(after) in silences
    ]
    quick = [each for each in moves if each[0] <= QUICK_SECONDS]
    if 0 < len(quick) <= MOST_SWITCHES:
        yield Fact(
            FactKind.SWITCHES,
            part.name,
            places=tuple((after.measure, after.measure) for _, _, after in quick),
            terms=tuple(name for _, before, after in quick for name in (before.percussion, after.percussion)),
            numbers=tuple(("seconds", rounded_down(seconds)) for seconds, _, _ in quick),
            weight=0.85,
        )


def _together(strokes: Sequence[Note], silences: Mapping[Moment, float]) -> dict[str, str]:
    """For each instrument the name of its group: those in one bar, or right after each other."""
    group = {note.percussion: note.percussion for note in strokes}
    by_measure: dict[int, set[str]] = {}
    for note in strokes:
        by_measure.setdefault(note.measure, set()).add(note.percussion)
    pairs = (
        {before.percussion, after.percussion}
        for before, after in pairwise(strokes)
        if silences.get(moment_of(after), 0.0) < IN_REACH_SECONDS
    )
    for names in (*by_measure.values(), *pairs):
        joined = {group[name] for name in names}
        for name, own in group.items():
            if own in joined:
                group[name] = min(joined)
    return group
