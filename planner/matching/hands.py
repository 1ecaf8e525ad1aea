"""Whether the hands get there: break, valves, slide, strings, drums and sticks."""

from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from planner.core.fact import named
from planner.matching.part_check import Check, CheckKind, Fix, Severity
from planner.study.difficulty.evidence import PartEvidence
from planner.study.difficulty.scales import on_scale
from planner.study.facts import StudyFacts
from planner.study.lines.technique import (
    HARD_VALVE_COST,
    breaks_crossed,
    joined,
    slide_moves,
    strings_skipped,
    valve_costs,
    written_for,
)
from planner.study.lines.technique_tables import (
    DRUM_RANGES,
    PERCUSSION_CHANGE_SECONDS,
    POSITION_LEVEL,
    REACH,
    RETUNE_SECONDS,
    SLIDE_MOVE,
    STRINGS,
)
from planner.study.notes.columns import TICKS_PER_QUARTER, Ints


def hand_checks(each: PartEvidence, facts: StudyFacts, level: float) -> Iterator[Check]:
    """Every check of fingers, slide, bow and sticks."""
    instrument = each.instrument
    if instrument is None:
        return
    if instrument.id == "timpani":
        yield from timpani_checks(each, facts)
    elif instrument.family == "percussion":
        yield from percussion_checks(each, facts)
    elif each.has_melody and len(each.lines[0]) > 1:
        yield from motion_checks(each, instrument.group)
        yield from position_checks(each, instrument.group, level)


def motion_checks(each: PartEvidence, group: str) -> Iterator[Check]:
    """Break crossings, valve changes, slide moves and skipped strings: how many, and where."""
    line = each.lines[0]
    notes, near = written_for(each, line), joined(line)
    for kind, pairs, fix in (
        (CheckKind.CLARINET_BREAK, breaks_crossed(group, notes, near), Fix.RIGHT_HAND_DOWN),
        (CheckKind.VALVE_CHANGES, valve_costs(group, notes) >= HARD_VALVE_COST, Fix.SILENT_FINGERING),
        (CheckKind.SLIDE_MOVES, slide_moves(group, notes) >= SLIDE_MOVE, Fix.ALTERNATE_POSITION),
        (CheckKind.STRING_CROSSINGS, strings_skipped(group, notes) > 0, Fix.NEIGHBORING_STRINGS),
    ):
        found = pairs & near
        if found.any():
            times = named(times=int(found.sum()))
            yield Check(
                kind, Severity.NOTE, fix,
                measures=tuple(np.unique(line.measure[1:][found]).tolist()),
                numbers=times + named(positions=SLIDE_MOVE) if kind is CheckKind.SLIDE_MOVES else times,
            )  # fmt: skip


def positions_needed(group: str, notes: Ints) -> Ints:
    """Lowest left-hand position in which each note can be played; 0 below the open strings."""
    strings, reach = np.array(STRINGS[group]), np.array(REACH[group])
    string = np.searchsorted(strings, notes, side="right") - 1
    above = notes - strings[np.maximum(string, 0)]
    place = np.where(string >= 0, np.searchsorted(reach, above, side="left") + 1, 0)
    found: Ints = np.where(above == 0, 1, place)
    return found


def position_checks(each: PartEvidence, group: str, level: float) -> Iterator[Check]:
    """Notes above the position a string player of that level reads in."""
    if group not in STRINGS:
        return
    line = each.lines[0]
    needed = positions_needed(group, written_for(each, line))
    allowed = round(on_scale(level, tuple((lv, float(p)) for p, lv in POSITION_LEVEL)))
    beyond = needed > max(1, allowed)
    if beyond.any():
        yield Check(
            CheckKind.POSITIONS, Severity.WARNING, Fix.FINGERING_OR_OCTAVE,
            measures=tuple(np.unique(line.measure[beyond]).tolist()),
            numbers=named(notes=int(beyond.sum()), allowed=allowed, highest=int(needed[beyond].max())),
        )  # fmt: skip


def retunings(pitches: Ints, drums: int) -> list[tuple[int, int, int]]:
    """When a drum must change pitch with so many drums: ``(attack index, from, to)``.

    A drum that has the pitch is used; else, of those whose range holds it, the one not needed for longest.
    """
    ranges = DRUM_RANGES[:drums] if drums >= len(DRUM_RANGES) else DRUM_RANGES[1 : 1 + drums]
    tuned: list[int | None] = [None] * len(ranges)
    changes = []
    for at, pitch in enumerate(pitches.tolist()):
        if pitch in tuned:
            continue
        able = [d for d, (low, high) in enumerate(ranges) if low <= pitch <= high] or [0]
        free = [d for d in able if tuned[d] is None]
        drum = free[0] if free else max(able, key=lambda d: _next_use(tuned[d], pitches[at:]))
        if tuned[drum] is not None:
            changes.append((at, int(tuned[drum] or 0), int(pitch)))
        tuned[drum] = pitch
    return changes


def _next_use(pitch: int | None, coming: Ints) -> int:
    found = np.flatnonzero(coming == pitch)
    return int(found[0]) if found.size else len(coming)


def timpani_checks(each: PartEvidence, facts: StudyFacts) -> Iterator[Check]:
    """Retunings that four drums cannot avoid, and the time for the quickest."""
    line = each.lines[0]
    pitches = np.nan_to_num(line.top, nan=-1).astype(np.int64)
    changes = retunings(pitches, len(DRUM_RANGES))
    if not changes:
        return
    bars, times = [], []
    for at, old, _ in changes:
        before = np.flatnonzero(pitches[:at] == old)
        last = int(line.end[before[-1]]) if before.size else 0
        bpm = facts.quarter_bpm[int(line.measure[at])]
        times.append((int(line.onset[at]) - last) / TICKS_PER_QUARTER * 60.0 / bpm)
        bars.append(int(line.measure[at]))
    quickest = int(np.argmin(times))
    yield Check(
        CheckKind.TIMPANI_RETUNING,
        Severity.WARNING if times[quickest] < RETUNE_SECONDS else Severity.NOTE,
        Fix.ADD_DRUM,
        measures=tuple(sorted(set(bars))),
        numbers=named(times=len(changes), seconds=times[quickest], worst=bars[quickest]),
    )


def percussion_checks(each: PartEvidence, facts: StudyFacts) -> Iterator[Check]:
    """Changes of instrument on a percussion line, and the seconds given for the quickest."""
    notes = each.part.part.notes
    struck = [(int(o), int(e), notes[n]) for o, e, n in zip(
        each.lines[0].onset, each.lines[0].end, each.lines[0].note, strict=True)]  # fmt: skip
    found = []
    for (_, end, before), (onset, _, after) in pairwise(struck):
        if before.percussion and after.percussion and before.percussion != after.percussion:
            seconds = (onset - end) / TICKS_PER_QUARTER * 60.0 / facts.quarter_bpm[after.measure]
            found.append((seconds, after.measure, before.percussion, after.percussion))
    quick = [change for change in found if change[0] < PERCUSSION_CHANGE_SECONDS]
    if quick:
        seconds, measure, old, new = min(quick)
        yield Check(
            CheckKind.PERCUSSION_CHANGES, Severity.NOTE, Fix.TWO_PLAYERS,
            measures=tuple(sorted({change[1] for change in quick})),
            numbers=named(times=len(quick), seconds=max(0.0, seconds), worst=measure),
            terms=(old, new),
        )  # fmt: skip
