"""Hard places by pitch: leaps, changes of register, clusters of accidentals, the ends of the range."""

from collections.abc import Iterator

import numpy as np

from planner.core.difficulty import Challenge, ChallengeKind
from planner.core.fact import named
from planner.core.pitch import Pitch
from planner.study.difficulty.evidence import PartEvidence
from planner.study.difficulty.pitch_dimensions import leap_costs
from planner.study.lines.breath_places import BREATH_MARKS, PAUSES
from planner.study.notes.arrays import differences, distinct, is_among
from planner.study.notes.attack_lines import AttackLine
from planner.study.notes.columns import Bools, Columns, Ints
from planner.study.notes.ranges import family_of
from planner.study.page.accidentals import telling_signs

LEAST_LEAP: dict[str, int] = {"keyboard": 13, "percussion": 13, "strings": 10, "plucked": 13}
"""Smallest leap in semitones worth a look, by family; elsewhere ``WIDE``. Source: house choice."""
WIDE = 8
REGISTER_SHIFT = 9.0
"""Semitones between the mean pitches of neighbouring bars that make a new register. Source: house choice."""
REGISTER_KNOWN = 3.0
"""Semitones from a new register within which, or beyond, an earlier bar has made it known. House choice."""
CLUSTER_NOTES, CLUSTER_SHARE, CLUSTER_NAMES = 3, 0.25, 2
"""Fewest accidentals of a bar that is hard by them, their least share of its notes, fewest different ones:
one that comes again in other octaves is read once. Source: house choice."""


_PARTING = BREATH_MARKS | PAUSES
"""Signs over a note after which a player breathes or waits."""


def pitch_challenges(each: PartEvidence, columns: Columns) -> Iterator[Challenge]:
    """Every pitch challenge of a part."""
    if not each.has_melody:
        return
    for line in each.lines:
        yield from hand_leaps(each, line) if len(each.lines) > 1 else leaps(each, line)
        yield from register_changes(line)
    yield from accidental_clusters(each, columns)


def leaps(each: PartEvidence, line: AttackLine) -> Iterator[Challenge]:
    """Wide leaps from a note to the one that follows it at once."""
    least = LEAST_LEAP.get(family_of(each.part), WIDE)
    moves = np.diff(line.top)
    with np.errstate(invalid="ignore"):
        wide = (np.abs(moves) >= least) & _goes_on(each, line)
    for at in np.flatnonzero(wide).tolist():
        start, goal = _written(each, line, at), _written(each, line, at + 1)
        if start is None or goal is None:
            continue
        weight = float(leap_costs(np.abs(moves[at : at + 1]))[0])
        ends = (str(start), str(goal))
        yield Challenge(int(line.measure[at + 1]), ChallengeKind.WIDE_LEAP, weight, notes=ends)


def hand_leaps(each: PartEvidence, line: AttackLine) -> Iterator[Challenge]:
    """Wide leaps of one hand at a keyboard: within one voice, between the nearest heads of two attacks."""
    least = LEAST_LEAP.get(family_of(each.part), WIDE)
    near = np.flatnonzero(_goes_on(each, line))
    far = near[np.abs(np.diff(line.top)[near]) >= least]
    if not far.size:
        return
    heads = _heads_by_onset(each, line, far)
    notes = each.part.part.notes
    for at in far.tolist():
        start, goal = notes[int(line.note[at])], notes[int(line.note[at + 1])]
        if start.voice != goal.voice:
            continue
        before, after = (
            sorted(
                (pitch for pitch, voice in heads[int(line.onset[moment])] if voice == start.voice),
                key=lambda pitch: pitch.midi,
            )
            for moment in (at, at + 1)
        )
        for one, two in ((before[-1], after[0]), (after[-1], before[0])):
            size = float(two.midi - one.midi)
            if size >= least:
                names = (str(one), str(two)) if one is before[-1] else (str(two), str(one))
                weight = float(leap_costs(np.array([size]))[0])
                yield Challenge(int(line.measure[at + 1]), ChallengeKind.WIDE_LEAP, weight, notes=names)


def _goes_on(each: PartEvidence, line: AttackLine) -> Bools:
    """For each attack but the last whether the next follows without a rest, a hold or a breath between."""
    part, notes = each.part, each.part.part.notes
    ends_here = [notes[at].has_fermata or not _PARTING.isdisjoint(notes[at].articulations)
                 for at in part.note.tolist()]  # fmt: skip
    held = np.sort(part.onset[np.array(ends_here, dtype=np.bool_)])
    stops = np.searchsorted(held, line.onset)
    return np.asarray((line.onset[1:] <= line.end[:-1]) & (stops[1:] == stops[:-1]), dtype=np.bool_)


def _heads_by_onset(each: PartEvidence, line: AttackLine, places: Ints) -> dict[int, list[tuple[Pitch, str]]]:
    """Pitches and voices struck on the staff of a line at some of its attacks and at those after them."""
    moments = distinct(np.concatenate([line.onset[places], line.onset[places + 1]]))
    part, notes = each.part, each.part.part.notes
    staff = notes[int(line.note[0])].staff
    here = np.flatnonzero(part.struck & (part.staff == staff) & is_among(part.onset, moments))
    found: dict[int, list[tuple[Pitch, str]]] = {}
    for at in here.tolist():
        note = notes[int(part.note[at])]
        if note.pitch is not None:
            found.setdefault(int(part.onset[at]), []).append((note.pitch, note.voice))
    return found


def _written(each: PartEvidence, line: AttackLine, at: int) -> Pitch | None:
    return each.part.part.notes[int(line.note[at])].pitch


def register_changes(line: AttackLine) -> Iterator[Challenge]:
    """Bars that lie far above or below the bar played just before, where no earlier bar has lain there."""
    starts = np.flatnonzero(np.append(True, line.measure[1:] != line.measure[:-1]))
    counts = differences(starts, len(line))
    means = np.add.reduceat(line.top, starts) / counts
    bars = line.measure[starts]
    with np.errstate(invalid="ignore"):
        far = (np.abs(np.diff(means)) >= REGISTER_SHIFT) & (np.diff(bars) == 1)
    for at in np.flatnonzero(far).tolist():
        shift = float(means[at + 1] - means[at])
        way = 1.0 if shift > 0 else -1.0
        if np.nanmax(way * means[: at + 1]) > way * float(means[at + 1]) - REGISTER_KNOWN:
            continue
        moved = named(semitones=round(shift, 2))
        yield Challenge(int(bars[at + 1]), ChallengeKind.REGISTER_CHANGE, abs(shift) / 18.0, numbers=moved)


def accidental_clusters(each: PartEvidence, columns: Columns) -> Iterator[Challenge]:
    """Bars with several accidentals of at least two notes; signs that change nothing are none."""
    count = len(columns.measure_start)
    struck = np.bincount(each.part.measure[each.part.struck], minlength=count)
    by_measure: dict[int, list[str]] = {}
    for note in telling_signs(each.part.part):
        if note.pitch is not None:
            by_measure.setdefault(note.measure, []).append(note.pitch.pitch_class_name)
    for measure, names in by_measure.items():
        different = tuple(dict.fromkeys(names))
        is_dense = len(names) >= CLUSTER_NOTES and len(names) >= CLUSTER_SHARE * struck[measure]
        if is_dense and len(different) >= CLUSTER_NAMES:
            yield Challenge(
                measure, ChallengeKind.ACCIDENTAL_CLUSTER, 0.2 * len(names),
                notes=different, numbers=named(accidentals=len(names)),
            )  # fmt: skip
