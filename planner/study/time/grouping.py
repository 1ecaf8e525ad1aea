"""How the pulses of an irregular meter group: as printed, as beamed, as accented, as the bass moves.

Each measure gives evidence for or against a new pulse at each unit of the meter;
the grouping of a passage is the one that explains its measures best, and it may
turn where the evidence turns for good.
"""

import itertools
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

import numpy as np

from planner.core.profile import GroupingSource, MeterSpan
from planner.core.score import Note, Score, TimeSignature
from planner.study.notes.columns import Columns, Floats, to_ticks

USUAL: dict[int, tuple[int, ...]] = {
    5: (3, 2),
    7: (2, 2, 3),
    8: (3, 3, 2),
    10: (3, 3, 2, 2),
    11: (3, 3, 3, 2),
    13: (3, 3, 3, 2, 2),
}
"""Usual groupings of irregular meters where the page shows none.

Source: J. Buccheri, Teaching Music Theory, "Other metric structures": 7 as 2+2+3, and of 8 several, of which
3+3+2 is taken here; the rest from memory.
"""

EVIDENCE: dict[GroupingSource, float] = {"beams": 1.0, "accents": 0.6, "bass": 0.3, "rhythm": 0.3}
"""What a full agreement of each kind weighs in a measure. Source: house choice; beams lead because
engraving convention makes them show the grouping."""

TURN_COST = 1.0
"""Evidence that a turn of the grouping must bring, in measures of full beaming. House choice: one bar
beamed otherwise does not turn the grouping, two do."""

MOST_UNITS = 24
"""Meters with more units than this are not grouped. House choice."""

ACCENTS = frozenset({"accent", "strong-accent", "stress"})


@cache
def groupings_of(units: int) -> tuple[tuple[int, ...], ...]:
    """Every way to make a number of units from twos and threes, the usual one first.

    Example:
        >>> groupings_of(5)
        ((3, 2), (2, 3))
    """

    def build(left: int) -> Iterator[tuple[int, ...]]:
        if left == 0:
            yield ()
        for first in (2, 3):
            if left >= first:
                yield from ((first, *rest) for rest in build(left - first))

    usual = USUAL.get(units)
    return tuple(sorted(build(units), key=lambda groups: (groups != usual, len(groups), groups)))


def unit_of(time: TimeSignature) -> int:
    """The lower number that a grouping counts in: the finest one of a printed sum."""
    return max((unit for _, unit in time.groups), default=4)


def regular_grouping(time: TimeSignature) -> tuple[int, ...] | None:
    """The grouping of a meter that needs no inference; None for an irregular one.

    Source: common theory: 6, 9 and 12 are compound, 2, 3 and 4 simple; a printed sum says it itself.

    Example:
        >>> regular_grouping(TimeSignature((((6,), 8),))), regular_grouping(TimeSignature((((7,), 8),)))
        ((3, 3), None)
        >>> regular_grouping(TimeSignature((((2,), 4), ((3,), 8))))
        (2, 2, 3)
    """
    finest = unit_of(time)
    if len(time.groups) > 1 or len(time.groups[0][0]) > 1:
        return tuple(group for beats, lower in time.groups for group in _groups_of(beats, finest // lower))
    if time.beats in (6, 12) or (time.beats == 3 and finest >= 8):
        return (3,) * (time.beats // 3)
    if time.beats <= 4 or (time.beats == 8 and finest <= 4):
        return (1,) * time.beats
    return None if time.beats <= MOST_UNITS else ()


def _groups_of(beats: tuple[int, ...], units: int) -> tuple[int, ...]:
    """Groups of one fraction of a printed sum, each of its beats as many finest units long.

    Beats longer than the finest unit are pulses themselves: 2/4 + 3/8 is felt 2+2+3.
    """
    return beats if units == 1 else (units,) * sum(beats)


@dataclass(frozen=True)
class _Evidence:
    """Evidence of each kind, shape ``(measures, units)``: positive for a new pulse at the unit."""

    kinds: dict[GroupingSource, Floats]

    @property
    def total(self) -> Floats:
        total: Floats = sum((EVIDENCE[kind] * found for kind, found in self.kinds.items()), np.zeros(()))
        return total


def infer_grouping(columns: Columns, start: int, stop: int, time: TimeSignature) -> list[MeterSpan]:
    """The meter of measures ``start`` to ``stop`` (not included), split where the grouping turns."""
    regular = regular_grouping(time)
    if regular is not None:
        return [MeterSpan(start, str(time), regular, 1.0, "printed")]
    worded = stated_groupings(columns.score, start, stop, time.beats)
    if worded:
        edges = [measure for measure, _ in worded] + [stop]
        before = _infer(columns, start, edges[0], time) if edges[0] > start else []
        return before + [MeterSpan(at, str(time), groups, 1.0, "words") for at, groups in worded]
    return _infer(columns, start, stop, time)


_WORDED = re.compile(r"(?<![\d+])([1-9](?:\s*\+\s*[1-9])+)(?!\s*[\d+])")


def stated_groupings(score: Score, start: int, stop: int, units: int) -> list[tuple[int, tuple[int, ...]]]:
    """Groupings that words on the page state, such as "3 + 2", with the measure they stand in."""
    found: dict[int, tuple[int, ...]] = {}
    texts = [(mark.measure, mark.text) for mark in score.tempos]
    texts += [(words.measure, words.text) for part in score.parts for words in part.words]
    for measure, text in texts:
        match = _WORDED.search(text) if start <= measure < stop and "+" in text else None
        groups = tuple(int(group) for group in match.group(1).split("+")) if match else ()
        if sum(groups) == units:
            found.setdefault(measure, groups)
    return sorted(found.items())


def _infer(columns: Columns, start: int, stop: int, time: TimeSignature) -> list[MeterSpan]:
    """Groupings from beams, accents, bass and long notes."""
    candidates = groupings_of(time.beats)
    evidence = _gather(columns, start, stop, time)
    signs = np.array([_signs(groups) for groups in candidates], dtype=np.float64)
    path = _best_path(evidence.total @ signs.T / max(1, time.beats - 1))
    spans = []
    edges = [0, *(int(at) for at in np.flatnonzero(np.diff(path)) + 1), len(path)]
    for first, last in itertools.pairwise(edges):
        groups = candidates[path[first]]
        confidence, source = _trust(evidence, signs[path[first]], slice(first, last))
        if source == "custom":
            groups = candidates[0]
        spans.append(MeterSpan(start + first, str(time), groups, confidence, source))
    return spans


def _signs(groups: tuple[int, ...]) -> list[float]:
    """+1 at each unit where a group begins, -1 at the others, 0 at the barline."""
    signs = [-1.0] * sum(groups)
    at = 0
    for group in groups:
        signs[at] = 1.0
        at += group
    signs[0] = 0.0
    return signs


def _best_path(gain: Floats) -> list[int]:
    """For each measure its grouping: most gain in all, each turn paid for; the usual one on a tie."""
    measures, states = gain.shape
    reach, back = gain[0].copy(), np.zeros((measures, states), dtype=np.int64)
    for measure in range(1, measures):
        best = int(reach.argmax())
        turns = reach[best] - TURN_COST > reach
        back[measure] = np.where(turns, best, np.arange(states))
        reach = np.where(turns, reach[best] - TURN_COST, reach) + gain[measure]
    path = [int(reach.argmax())]
    for measure in range(measures - 1, 0, -1):
        path.append(int(back[measure, path[-1]]))
    return path[::-1]


def _trust(evidence: _Evidence, signs: Floats, where: slice) -> tuple[float, GroupingSource]:
    """How far the evidence of some measures agrees with a grouping (0 to 1), and what speaks for it most."""
    agreed, against = 0.0, 0.0
    best: tuple[GroupingSource, float] = ("custom", 0.0)
    for kind, found in evidence.kinds.items():
        weighed = EVIDENCE[kind] * found[where] * signs
        gain = float(weighed.sum())
        agreed += float(weighed[weighed > 0].sum())
        against -= float(weighed[weighed < 0].sum())
        if gain > 1e-9 and best[0] != "beams" and (kind == "beams" or gain > best[1]):
            best = (kind, gain)
    if best[0] == "custom" or agreed <= against:
        return 0.2, "custom"
    weight = min(1.0, (agreed + against) / max(1, where.stop - where.start))
    return round(agreed / (agreed + against) * weight, 2), best[0]


def _gather(columns: Columns, start: int, stop: int, time: TimeSignature) -> _Evidence:
    unit = to_ticks(Fraction(4, unit_of(time)))
    shape = (stop - start, time.beats)
    found = {kind: np.zeros(shape) for kind in EVIDENCE}
    parts = [part for part in columns.parts if len(part)]
    for part in parts:
        inside = [n for n in part.part.notes if start <= n.measure < stop and not n.is_cue]
        _add_beams(inside, start, unit, found["beams"])
        _add_accents(inside, start, unit, found["accents"])
    _add_rhythm(columns, start, stop, unit, found["rhythm"])
    _add_bass(columns, start, stop, unit, found["bass"])
    for kind, table in found.items():
        peak = np.abs(table).max(axis=1, keepdims=True)
        found[kind] = np.divide(table, peak, out=np.zeros(shape), where=peak > 0)
    return _Evidence(found)


def _unit_at(note: Note, unit: int, units: int) -> int | None:
    """Unit on which a note begins; None between units or past the measure."""
    at, rest = divmod(to_ticks(note.onset_quarters), unit)
    return at if rest == 0 and at < units else None


def _add_beams(notes: Sequence[Note], start: int, unit: int, table: Floats) -> None:
    """A beam speaks for a pulse where it begins, and against one inside it when it is two or three long."""
    begun: dict[tuple[int, str], int] = {}
    for note in notes:
        if not note.beams or note.in_chord or note.is_grace:
            continue
        key = (note.measure, note.voice)
        if note.beams[0] == "begin":
            at = _unit_at(note, unit, table.shape[1])
            if at is not None:
                begun[key] = at
        elif note.beams[0] == "end" and key in begun:
            first = begun.pop(key)
            end = -(-to_ticks(note.onset_quarters + note.duration_quarters) // unit)
            row = table[note.measure - start]
            if end - first < 2 or end > table.shape[1]:
                continue
            row[first] += 1
            if end < table.shape[1]:
                row[end] += 1
            if end - first <= 3:
                row[first + 1 : end] -= 1


def _add_accents(notes: Sequence[Note], start: int, unit: int, table: Floats) -> None:
    for note in notes:
        if ACCENTS.intersection(note.articulations):
            at = _unit_at(note, unit, table.shape[1])
            if at is not None:
                table[note.measure - start, at] += 1


def _add_rhythm(columns: Columns, start: int, stop: int, unit: int, table: Floats) -> None:
    """Long notes begin on pulses and cover the units that are none."""
    for part in columns.parts:
        inside = np.flatnonzero(part.struck & (part.measure >= start) & (part.measure < stop))
        at = (part.onset[inside] - columns.measure_start[part.measure[inside]]) / unit
        length = part.duration[inside] / unit
        for row, first, units in zip(part.measure[inside] - start, at, length, strict=True):
            if first == int(first) and 2 <= units <= 3 and first + units <= table.shape[1]:
                table[row, int(first)] += 1
                table[row, int(first) + 1 : int(first + units)] -= 1


def _add_bass(columns: Columns, start: int, stop: int, unit: int, table: Floats) -> None:
    """The lowest part's attacks on a new pitch."""
    pitched = [part for part in columns.parts if part.is_pitched]
    if not pitched:
        return
    bass = min(pitched, key=lambda part: (float(np.nanmean(part.sounding)), part.index)).line
    moved = np.ones(len(bass), dtype=np.bool_)
    moved[1:] = bass.sounding[1:] != bass.sounding[:-1]
    for measure, onset in zip(bass.measure[moved], bass.onset[moved], strict=True):
        at, rest = divmod(int(onset - columns.measure_start[measure]), unit)
        if start <= measure < stop and rest == 0 and at < table.shape[1]:
            table[measure - start, at] += 1
