"""Whether the hands get there: break, valves, slide, strings, drums and sticks."""

from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from planner.core.fact import named
from planner.matching.part_check import Check, CheckKind, Fix, Severity
from planner.study.difficulty.evidence import PartEvidence
from planner.study.difficulty.scales import on_scale
from planner.study.facts import StudyFacts
from planner.study.lines.slide import SLIDE_MOVE, SLIDES, slide_moves
from planner.study.lines.strings import STRINGS, positions_needed, strings_skipped
from planner.study.lines.technique import (
    HARD_VALVE_COST,
    breaks_crossed,
    joined,
    seconds_between,
    valve_costs,
    written_for,
)
from planner.study.lines.technique_tables import PERCUSSION_CHANGE_SECONDS, POSITION_LEVEL, QUICK_SECONDS
from planner.study.lines.timpani import (
    DRUM_RANGES,
    RETUNE_SECONDS,
    SMALLEST_DRUM,
    Retuning,
    Stroke,
    retunings,
)
from planner.study.notes.attack_lines import AttackLine
from planner.study.notes.columns import TICKS_PER_QUARTER, Bools, Ints

LEAST_TIMES, LEAST_SHARE = 2, 0.03
"""Awkward motions are worth a word from two on, and from three in a hundred notes. House choice."""


def hand_checks(each: PartEvidence, facts: StudyFacts, level: float, players: int = 1) -> Iterator[Check]:
    """Every check of fingers, slide, bow and sticks."""
    instrument = each.instrument
    if instrument is None:
        return
    if instrument.id == "timpani":
        yield from timpani_checks(each, facts)
    elif instrument.family == "percussion":
        yield from percussion_checks(each, facts, players)
    elif each.has_melody and len(each.lines[0]) > 1:
        yield from motion_checks(each, facts, level)
        yield from position_checks(each, level)


def motion_checks(each: PartEvidence, facts: StudyFacts, level: float) -> Iterator[Check]:
    """Break crossings, valve changes, slide moves and jumps over a string too quick for a level: where."""
    assert each.instrument
    group, line = each.instrument.group, each.lines[0]
    notes, near = written_for(each, line), joined(line)
    quick = near & (seconds_between(line, facts) < on_scale(level, QUICK_SECONDS))
    long_moves, moves_fix = _long_slide_moves(group, notes, near, quick)
    jumps = strings_skipped(group, notes, near, highest_position(group, level)) > 0
    for kind, pairs, fix in (
        (CheckKind.CLARINET_BREAK, breaks_crossed(group, notes, near), Fix.RIGHT_HAND_DOWN),
        (CheckKind.VALVE_CHANGES, valve_costs(group, notes) >= HARD_VALVE_COST, Fix.SILENT_FINGERING),
        (CheckKind.SLIDE_MOVES, long_moves, moves_fix),
        (CheckKind.STRING_CROSSINGS, jumps, Fix.BOW_NEAR_MIDDLE_STRING),
    ):
        found = pairs & quick
        if int(found.sum()) >= max(LEAST_TIMES, LEAST_SHARE * len(notes)):
            times = named(times=int(found.sum()), level=level)
            yield Check(
                kind, Severity.NOTE, fix,
                measures=tuple(np.unique(line.measure[1:][found]).tolist()),
                numbers=times + named(positions=SLIDE_MOVE) if kind is CheckKind.SLIDE_MOVES else times,
            )  # fmt: skip


def _long_slide_moves(group: str, notes: Ints, near: Bools, quick: Bools) -> tuple[Bools, Fix]:
    """Long moves that no alternate saves, and what helps: an F attachment where it saves them all."""
    found = slide_moves(group, notes, near) >= SLIDE_MOVE
    if not (found & quick).any() or group not in SLIDES:
        return found, Fix.MOVE_EARLY
    attached = slide_moves(group, notes, near, attachment=True) >= SLIDE_MOVE
    saved = not SLIDES[group][2] and not (attached & quick).any()
    return found, Fix.F_ATTACHMENT if saved else Fix.MOVE_EARLY


def highest_position(group: str, level: float) -> int:
    """The highest position in which a string player of a level reads; 1 of other instruments."""
    return round(on_scale(level, POSITION_LEVEL[group])) if group in POSITION_LEVEL else 1


def position_checks(each: PartEvidence, level: float) -> Iterator[Check]:
    """Notes above the position a string player of that level reads in."""
    assert each.instrument
    group, line = each.instrument.group, each.lines[0]
    if group not in STRINGS:
        return
    notes = written_for(each, line)
    needed, allowed = positions_needed(group, notes), highest_position(group, level)
    comfort = each.instrument.comfortable(level)
    beyond = needed > allowed
    if comfort is not None:  # what lies outside is reported as such
        beyond &= (notes >= comfort[0]) & (notes <= comfort[1])
    if beyond.any():
        yield Check(
            CheckKind.POSITIONS, Severity.WARNING, Fix.FINGERING,
            measures=tuple(np.unique(line.measure[beyond]).tolist()),
            numbers=named(notes=int(beyond.sum()), allowed=allowed, highest=int(needed[beyond].max())),
        )  # fmt: skip


def drum_strokes(line: AttackLine, facts: StudyFacts) -> tuple[Stroke, ...]:
    """The strokes of a timpani part, two drums at once where two heads are struck."""
    per_tick = 60.0 / (np.array(facts.quarter_bpm) * TICKS_PER_QUARTER)
    begins = np.r_[0.0, np.cumsum(np.diff(line.onset) * per_tick[line.measure[:-1]])]
    ends = begins + (line.end - line.onset) * per_tick[line.measure]
    return tuple(
        Stroke(tuple(int(p) for p in dict.fromkeys(pair) if p == p), begin, end)
        for pair, begin, end in zip(
            zip(line.bottom.tolist(), line.top.tolist(), strict=True), begins.tolist(), ends.tolist(),
            strict=True,
        )
    )  # fmt: skip


def timpani_checks(each: PartEvidence, facts: StudyFacts) -> Iterator[Check]:
    """Retunings that four drums cannot avoid, and the time for the quickest."""
    line = each.lines[0]
    strokes = drum_strokes(line, facts)
    changes = retunings(strokes, DRUM_RANGES)
    if not changes:
        return
    quickest = min(changes, key=lambda change: change.seconds)
    severity, fix = Severity.NOTE, Fix.WRITE_CHANGES
    if quickest.seconds < RETUNE_SECONDS:
        five = (retunings(strokes, (*DRUM_RANGES, size)) for size in (*DRUM_RANGES, SMALLEST_DRUM))
        saved = any(all(change.seconds >= RETUNE_SECONDS for change in found) for found in five)
        severity, fix = Severity.WARNING, Fix.ADD_DRUM if saved else Fix.LEAVE_STROKES
    yield Check(
        CheckKind.TIMPANI_RETUNING,
        severity,
        fix,
        measures=tuple(np.unique(line.measure[[change.at for change in changes]]).tolist()),
        numbers=named(times=len(changes), seconds=max(0.0, quickest.seconds),
                      worst=int(line.measure[quickest.at])),
        terms=_pitch_names(each, quickest),
    )  # fmt: skip


def _pitch_names(each: PartEvidence, change: Retuning) -> tuple[str, str]:
    """The pitches a drum leaves and takes, spelled as the part writes them."""
    part = each.part.part
    spelled = {
        int(note.pitch.midi) + part.transposition_at(note.measure).semitones: note.pitch.pitch_class_name
        for note in part.notes
        if note.pitch is not None
    }
    return spelled[change.before], spelled[change.after]


def percussion_checks(each: PartEvidence, facts: StudyFacts, players: int = 1) -> Iterator[Check]:
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
            CheckKind.PERCUSSION_CHANGES, Severity.NOTE, Fix.TWO_PLAYERS if players > 1 else Fix.ONE_OF_TWO,
            measures=tuple(sorted({change[1] for change in quick})),
            numbers=named(times=len(quick), seconds=max(0.0, seconds), worst=measure),
            terms=(old, new),
        )  # fmt: skip
