"""What the page asks beside rhythm and pitch: clefs, rests, marks, roadmap, endurance, the other parts."""

import numpy as np

from planner.core.difficulty import Dimension, Measured, Quantity
from planner.core.instruments import Instrument
from planner.core.instruments.part_page import clef_name
from planner.core.score import Clef
from planner.study.difficulty.printed import PrintedNotes, in_force
from planner.study.difficulty.scales import Anchors, DimensionLevel, bounded, on_scale
from planner.study.facts import StudyFacts
from planner.study.notes.attack_lines import AttackLine
from planner.study.notes.columns import TICKS_PER_QUARTER, Columns, Floats, PartColumns

UNSHARED: Anchors = ((0.0, 0.5), (0.05, 1.4), (0.1, 2.2), (0.2, 3.5), (0.35, 4.7), (0.6, 5.5), (1.0, 6.0))
"""Share of the beats in which a part is parted from the others, to level.

Source: house choice: the first partings cost most, for whoever seldom moves with the others gets little from
them anyway.
"""
HANDS: Anchors = ((0.0, 0.5), (0.2, 1.6), (0.5, 3.2), (0.8, 4.8), (1.0, 6.0))
"""Share of the attacks that one hand of a keyboard has alone, to level. Source: house choice."""
RESTS: Anchors = ((0.0, 0.5), (1.0, 1.0), (3.0, 2.0), (6.0, 3.0), (10.0, 4.0), (16.0, 5.0), (25.0, 6.0))
"""Entrances in sixteen bars, each counted by the doublings of its bars of rest, to level. House choice."""
PHRASES = 16
"""Bars that rests and changes of clef are counted in. Source: house choice: two eight-bar phrases."""

LEDGER: Anchors = ((0.0, 0.5), (0.25, 1.2), (0.75, 2.2), (1.5, 3.5), (2.5, 5.0), (4.0, 6.0))
"""Ledger lines to a note, on the whole, to level. Source: house choice."""
OTHER_CLEF: Anchors = ((0.0, 0.5), (0.05, 1.5), (0.3, 3.0), (1.0, 4.5))
"""Share of the notes in another than the usual clef, to level. From memory: tenor clef comes to bassoons,
cellos and trombones at about level 4."""
CLEF_CHANGES: Anchors = ((0.0, 0.0), (1.0, 0.4), (4.0, 1.0), (8.0, 1.5))
SUNG_CLEFS = frozenset({"treble", "bass", "treble-8vb", ""})

JUMPS: Anchors = ((0, 0.5), (1, 1.0), (3, 2.0), (6, 3.0), (12, 4.0), (24, 5.0))
MARKS: Anchors = ((0, 0.5), (3, 1.0), (6, 2.0), (10, 3.0), (16, 4.0), (24, 5.0), (36, 6.0))
STRETCH: Anchors = ((48, 0.5), (96, 1.0), (160, 2.0), (256, 3.0), (400, 4.0), (800, 5.0), (1500, 6.0))
"""Quarters played without a rest, to level.

Counted in notated time, for a faster tempo must not make a part easier. Source: house choice; 48 quarters
are half a minute at a usual tempo.
"""


def independence_level(unshared: float) -> DimensionLevel:
    """How much the part must be held against the others."""
    evidence = (Measured(Quantity.UNSHARED_ATTACKS, round(unshared, 4)),)
    return DimensionLevel(Dimension.INDEPENDENCE, on_scale(unshared, UNSHARED), evidence)


def hands_level(between: float) -> DimensionLevel:
    """How often one hand plays without the other."""
    return DimensionLevel(
        Dimension.HANDS, on_scale(between, HANDS), (Measured(Quantity.ONE_HAND, round(between, 4)),)
    )


def rests_level(lines: tuple[AttackLine, ...], columns: Columns) -> DimensionLevel:
    """How often a player must count rests and find the way in again."""
    bars = np.concatenate([rests_before(line, columns) for line in lines])
    length = max(PHRASES, len(columns.measure_start))
    counted = float(np.log2(1.0 + bars).sum()) * PHRASES / length
    evidence = (Measured(Quantity.ENTRANCES, len(bars)),) if len(bars) else ()
    return DimensionLevel(Dimension.RESTS, on_scale(counted, RESTS), evidence)


def rests_before(line: AttackLine, columns: Columns) -> Floats:
    """Whole bars of rest before each entrance that has at least one, shape ``(n_entrances,)``."""
    before = np.append(columns.measure_start[0], np.maximum.accumulate(line.end)[:-1])
    bar = np.maximum(columns.measure_length[line.measure], 1)
    bars = np.floor(np.maximum(0, line.onset - before) / bar)
    found: Floats = bars[bars >= 1.0]
    return found


def clef_and_ledger_levels(
    columns: Columns, part: PartColumns, printed: PrintedNotes, instrument: Instrument | None
) -> tuple[DimensionLevel, DimensionLevel]:
    """How much stands in a clef that its players read less often, and how far from the staff notes lie."""
    usual = _usual_clefs(part, instrument)
    other, lines, changes = 0, 0, 0
    for staff in range(1, max(1, part.part.staves) + 1):
        clefs = _clefs_of(part, staff)
        here = (printed.staff == staff) & printed.pitched
        if not clefs or not here.any():
            continue
        at = in_force(columns, [(clef.measure, clef.onset_quarters) for clef in clefs], printed.onset[here])
        changes += len(clefs) - 1
        if usual is not None:
            other += int(np.array([clef_name(clef) not in usual for clef in clefs])[at].sum())
        away = np.abs(printed.diatonic[here] - np.array([_middle(clef) for clef in clefs])[at])
        lines += int(np.maximum(0, (away - 4) // 2).sum())
    heads, bars = max(1, int(printed.pitched.sum())), max(PHRASES, len(columns.measure_start))
    share, mean = other / heads, lines / heads
    level = on_scale(share, OTHER_CLEF) + on_scale(changes * PHRASES / bars, CLEF_CHANGES)
    evidence = [Measured(Quantity.OTHER_CLEF, round(share, 4))] if share >= 0.005 else []
    evidence += [Measured(Quantity.CLEF_CHANGES, changes)] if changes else []
    clef_level = DimensionLevel(Dimension.CLEF, bounded(level), tuple(evidence))
    far = (Measured(Quantity.LEDGER_LINES, round(mean, 2)),) if mean >= 0.05 else ()
    return clef_level, DimensionLevel(Dimension.LEDGER, on_scale(mean, LEDGER), far)


def _clefs_of(part: PartColumns, staff: int) -> list[Clef]:
    """The clefs of a staff in order, each where it differs from the one before."""
    found: list[Clef] = []
    own = (clef for clef in part.part.clefs if clef.staff == staff)
    for clef in sorted(own, key=lambda clef: (clef.measure, clef.onset_quarters)):
        if not found or _kind(found[-1]) != _kind(clef):
            found.append(clef)
    return found


def _kind(clef: Clef) -> tuple[str, int, int]:
    return clef.sign, clef.line, clef.octave_change


def _usual_clefs(part: PartColumns, instrument: Instrument | None) -> frozenset[str] | None:
    """Clefs that the part's players read every day; None where every clef is usual."""
    if part.part.staves > 1 or (instrument and instrument.family in ("keyboard", "percussion", "plucked")):
        return None
    if instrument is None or instrument.family == "voice":
        return SUNG_CLEFS
    return frozenset({instrument.clefs[0], ""})


_CLEF_STEP = {"G": 32, "F": 24, "C": 28}
"""Staff step of the note that a clef names: G4, F3, C4."""


def _middle(clef: Clef) -> int:
    """Staff step of the middle line under a clef."""
    return (
        _CLEF_STEP.get(clef.sign, 34)
        + 7 * clef.octave_change
        + 2 * (3 - clef.line if clef.sign in _CLEF_STEP else 0)
    )


def roadmap_level(facts: StudyFacts) -> DimensionLevel:
    """How often the eye must go to another place."""
    order = np.array(facts.roadmap.play_order, dtype=np.int64)
    jumps = int((np.diff(order) != 1).sum()) if len(order) else 0
    return DimensionLevel(Dimension.ROADMAP, on_scale(jumps, JUMPS), (Measured(Quantity.JUMPS, jumps),))


def expression_level(part: PartColumns) -> DimensionLevel:
    """How many different marks the page asks for."""
    kinds = {d.mark for d in part.part.dynamics} | {h.kind for h in part.part.hairpins}
    for note in part.part.notes:
        if note.articulations or note.ornaments or note.technical:
            kinds.update(note.articulations, note.ornaments, note.technical)
    evidence = (Measured(Quantity.MARKS, len(kinds)),)
    return DimensionLevel(Dimension.EXPRESSION, on_scale(len(kinds), MARKS), evidence)


def endurance_level(lines: tuple[AttackLine, ...]) -> DimensionLevel:
    """Longest stretch without a rest."""
    longest = max(longest_stretch(line) for line in lines)
    evidence = (Measured(Quantity.LONGEST_STRETCH, round(longest, 3)),)
    return DimensionLevel(Dimension.ENDURANCE, on_scale(longest, STRETCH), evidence)


def longest_stretch(line: AttackLine) -> float:
    """Quarters of the longest unbroken playing in written order."""
    reach = np.maximum.accumulate(line.end)
    breaks = np.flatnonzero(line.onset[1:] > reach[:-1]) + 1
    starts, stops = np.append(0, breaks), np.append(breaks, len(line)) - 1
    return float(((reach[stops] - line.onset[starts]) / TICKS_PER_QUARTER).max())
