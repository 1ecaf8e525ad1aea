"""The level each dimension of difficulty asks of one part, with the evidence for it."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from planner.analysis.columns import TICKS_PER_QUARTER, Columns, Floats, Ints, PartColumns
from planner.analysis.facts import StudyFacts
from planner.analysis.ranges import instrument_of, measure_range
from planner.core.ensemble import HIGHEST_LEVEL, LOWEST_LEVEL

Anchors = tuple[tuple[float, float], ...]

DENSITY: Anchors = (
    (0.8, 0.5),
    (1.5, 1.0),
    (2.2, 1.5),
    (3.0, 2.0),
    (4.5, 3.0),
    (6.5, 4.0),
    (9.0, 5.0),
    (13, 6.0),
)
"""Attacks a second in the busiest bars to level.

Source: eye-hand span of 2 to 4 notes at about a second, Furneaux & Land 1999; the steps between are ours.
"""
MOTION: Anchors = ((0.0, 0.5), (0.05, 1.0), (0.15, 2.0), (0.3, 3.0), (0.5, 4.0), (0.8, 5.5))
ACCIDENTALS: Anchors = ((0.0, 0.0), (0.02, 0.4), (0.06, 1.0), (0.12, 2.0), (0.25, 3.0))
FIFTHS: tuple[float, ...] = (0.5, 0.75, 1.25, 2.0, 2.75, 3.5, 4.25, 5.0)


@dataclass(frozen=True, slots=True)
class DimensionLevel:
    """What one dimension asks: its name, the level from 0.5 to 6, and why in words."""

    name: str
    level: float
    why: str


def on_scale(x: float, anchors: Anchors) -> float:
    """Level by straight lines between anchors, held at the ends."""
    return float(np.interp(x, [a for a, _ in anchors], [b for _, b in anchors]))


def measure_dimensions(columns: Columns, facts: StudyFacts) -> tuple[tuple[DimensionLevel, ...], ...]:
    """Levels by dimension for each part in score order; empty for a part that never plays."""
    shared = (meter_level(facts), roadmap_level(facts))
    doubled = independence(columns)
    found: list[tuple[DimensionLevel, ...]] = []
    for part in columns.parts:
        if not part.struck.any():
            found.append(())
            continue
        own = [
            rhythm_level(part, columns, facts),
            density_level(part, columns, facts),
            expression_level(part),
            endurance_level(part, facts),
            DimensionLevel("independence", doubled[part.index][0], doubled[part.index][1]),
        ]
        if part.is_pitched:
            own += [key_level(part), range_level(part), motion_level(part)]
        found.append((*own, *shared))
    return tuple(found)


def rhythm_level(part: PartColumns, columns: Columns, facts: StudyFacts) -> DimensionLevel:
    """Smallest values, tuplets, dots and attacks off the pulse."""
    notes = [part.part.notes[int(n)] for n in part.note]
    values = {(note.value, note.dots > 0, note.tuplet) for note in notes}
    shortest = float(part.duration[part.duration > 0].min()) / TICKS_PER_QUARTER if len(part) else 4.0
    level = on_scale(
        -np.log2(max(shortest, 1 / 32)), ((-2, 0.5), (0, 0.5), (1, 1.0), (2, 2.5), (3, 4.5), (4, 5.5))
    )
    tuplets = any(t for _, _, t in values)
    off = float(off_pulse(part, columns, facts).mean())
    level += on_scale(off, ((0.0, 0.0), (0.1, 0.3), (0.4, 1.2), (0.8, 2.0))) + (0.5 if tuplets else 0.0)
    words = [f"shortest note {shortest:g} of a quarter", f"{off:.0%} of the notes held across a pulse"]
    return DimensionLevel("rhythm", min(level, HIGHEST_LEVEL), ", ".join(words))


def off_pulse(part: PartColumns, columns: Columns, facts: StudyFacts) -> Ints:
    """1 for each struck note that begins off the pulse and sounds over the next one, else 0."""
    struck = part.struck
    onset, end = part.onset[struck], (part.onset + part.duration)[struck]
    pulses = facts.pulse_ticks(columns)
    if not len(pulses):
        return np.zeros(len(onset), dtype=np.int64)
    at = np.searchsorted(pulses, onset, side="left")
    on = (at < len(pulses)) & (pulses[np.minimum(at, len(pulses) - 1)] == onset)
    after = pulses[np.minimum(np.searchsorted(pulses, onset, side="right"), len(pulses) - 1)]
    held: Ints = (~on & (end > after) & (after > onset)).astype(np.int64)
    return held


def meter_level(facts: StudyFacts) -> DimensionLevel:
    """The hardest meter, and how often it changes."""
    if not facts.meters:
        return DimensionLevel("meter", 2.0, "no meter is printed")
    steps = {
        "2/4": 0.5, "4/4": 0.5, "3/4": 1.0, "2/2": 1.5, "6/8": 1.5, "3/8": 2.0, "4/2": 2.0, "3/2": 2.0,
        "9/8": 2.5, "12/8": 2.5, "6/4": 2.0, "5/4": 3.0, "5/8": 4.0, "7/8": 4.0,
    }  # fmt: skip
    hardest = max(facts.meters, key=lambda m: steps.get(m.time, 4.0))
    changes = len(facts.meters) - 1
    level = steps.get(hardest.time, 4.0) + on_scale(changes, ((0, 0), (1, 0.5), (4, 1.0), (20, 2.0)))
    words = f"{hardest.time}" + (f", {changes} changes" if changes else "")
    return DimensionLevel("meter", min(level, HIGHEST_LEVEL), words)


def roadmap_level(facts: StudyFacts) -> DimensionLevel:
    """How often the eye must jump to another place."""
    order = np.array(facts.roadmap.play_order)
    jumps = int((np.diff(order) != 1).sum()) if len(order) else 0
    level = on_scale(jumps, ((0, 0.5), (1, 1.0), (3, 2.0), (6, 3.0), (12, 4.0)))
    return DimensionLevel("roadmap", level, f"{jumps} jumps" if jumps else "straight through")


def key_level(part: PartColumns) -> DimensionLevel:
    """Sharps or flats as written for the part, changes of signature, and printed accidentals."""
    fifths = [key.fifths for key in part.part.keys] or [0]
    worst = min(7, max(abs(f) for f in fifths))
    printed = sum(1 for n in part.note if part.part.notes[int(n)].accidental)
    share = printed / max(1, int(part.struck.sum()))
    changes = len({k.measure for k in part.part.keys if k.measure > 0})
    level = FIFTHS[worst] + on_scale(share, ACCIDENTALS) + on_scale(changes, ((0, 0), (1, 0.3), (4, 1)))
    words = f"{worst} {'sharps' if max(fifths, key=abs) > 0 else 'flats'}" if worst else "no sharps or flats"
    return DimensionLevel("key", min(level, HIGHEST_LEVEL), f"{words}, {printed} accidentals")


def range_level(part: PartColumns) -> DimensionLevel:
    """The player level whose comfortable range holds the part."""
    facts, instrument = measure_range(part), instrument_of(part)
    assert facts.written
    span = f"{facts.written[0]} to {facts.written[1]}"
    if instrument is None or not instrument.by_level:
        width = facts.high - facts.low
        level = on_scale(width, ((5, 0.5), (9, 1.0), (14, 1.5), (19, 2.5), (24, 3.5), (36, 5.0)))
        return DimensionLevel("range", level, span)
    shift = part.part.transposition.semitones - instrument.transposition.semitones
    low, high = facts.low + shift, facts.high + shift
    for step in np.arange(LOWEST_LEVEL, HIGHEST_LEVEL + 0.01, 0.25):
        bounds = instrument.comfortable(float(step))
        if bounds and bounds[0] <= low and high <= bounds[1]:
            return DimensionLevel("range", float(step), span)
    return DimensionLevel("range", HIGHEST_LEVEL, span)


def motion_level(part: PartColumns) -> DimensionLevel:
    """How much of the line leaps."""
    line = part.line
    if len(line) < 2:
        return DimensionLevel("motion", LOWEST_LEVEL, "one note")
    step = np.abs(np.diff(line.sounding))
    cost = np.interp(step, [0, 2, 4, 7, 12, 24], [0, 0, 0.1, 0.4, 1.0, 2.0])
    widest = int(step.max())
    return DimensionLevel("motion", on_scale(float(cost.mean()), MOTION), f"widest leap {widest} semitones")


def attack_rates(part: PartColumns, columns: Columns, facts: StudyFacts) -> Floats:
    """Attacks a second in each written measure, chords counted once, shape ``(n_measures,)``."""
    count = len(columns.measure_start)
    struck = part.struck
    keys = np.unique(part.onset[struck])
    measure = np.searchsorted(columns.measure_start, keys, side="right") - 1
    attacks = np.bincount(measure, minlength=count).astype(float)
    seconds = columns.measure_length / TICKS_PER_QUARTER * 60.0 / np.array(facts.quarter_bpm)
    rates: Floats = np.divide(attacks, seconds, out=np.zeros(count), where=seconds > 0)
    return rates


def density_level(part: PartColumns, columns: Columns, facts: StudyFacts) -> DimensionLevel:
    """How many attacks a second the busiest tenth of the playing bars asks for."""
    rates = attack_rates(part, columns, facts)
    busy = float(np.quantile(rates[rates > 0], 0.9))
    return DimensionLevel(
        "density", on_scale(busy, DENSITY), f"{busy:.1f} notes a second in the busiest bars"
    )


def independence(columns: Columns) -> tuple[tuple[float, str], ...]:
    """For each part, how much of it no other part attacks with it."""
    sets = [set(np.unique(p.onset[p.struck]).tolist()) for p in columns.parts]
    found = []
    for at, own in enumerate(sets):
        others: set[int] = set().union(*(s for i, s in enumerate(sets) if i != at)) if len(sets) > 1 else own
        alone = len(own - others) / len(own) if own else 0.0
        level = on_scale(alone, ((0.0, 0.5), (0.05, 1.0), (0.15, 2.0), (0.35, 3.5), (0.7, 5.0)))
        found.append((level, f"{alone:.0%} of its attacks stand alone"))
    return tuple(found)


def expression_level(part: PartColumns) -> DimensionLevel:
    """How many different marks a page asks for."""
    notes = part.part.notes
    kinds = {a for n in notes for a in (*n.articulations, *n.ornaments, *n.technical)}
    kinds |= {d.mark for d in part.part.dynamics} | {h.kind for h in part.part.hairpins}
    level = on_scale(len(kinds), ((0, 0.5), (3, 1.0), (6, 2.0), (10, 3.0), (16, 4.0), (24, 5.0)))
    return DimensionLevel("expression", level, f"{len(kinds)} kinds of marks")


def endurance_level(part: PartColumns, facts: StudyFacts) -> DimensionLevel:
    """Longest stretch without a rest, in seconds."""
    longest = longest_stretch(part, facts)
    level = on_scale(longest, ((10, 0.5), (30, 1.0), (60, 2.0), (120, 3.0), (240, 4.0), (480, 5.0)))
    return DimensionLevel("endurance", level, f"{longest:.0f} seconds without a rest")


def longest_stretch(part: PartColumns, facts: StudyFacts) -> float:
    """Seconds of the longest unbroken playing, written order."""
    order = np.argsort(part.onset, kind="stable")
    onset, end = part.onset[order], np.maximum.accumulate((part.onset + part.duration)[order])
    breaks = np.flatnonzero(onset[1:] > end[:-1]) + 1
    starts, stops = np.r_[0, breaks], np.r_[breaks, len(onset)] - 1
    bpm: Sequence[float] = facts.quarter_bpm
    quarters = (end[stops] - onset[starts]) / TICKS_PER_QUARTER
    seconds = [q * 60.0 / bpm[int(part.measure[order][s])] for q, s in zip(quarters, starts, strict=True)]
    return max(seconds, default=0.0)
