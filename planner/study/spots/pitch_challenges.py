"""Hard places by pitch: leaps, changes of register, clusters of accidentals, the ends of the range."""

from collections.abc import Iterator

import numpy as np

from planner.core.pitch import Pitch
from planner.study.difficulty.evidence import PartEvidence
from planner.study.difficulty.pitch_dimensions import leap_costs
from planner.study.notes.attack_lines import AttackLine
from planner.study.notes.columns import TICKS_PER_QUARTER, Columns
from planner.study.notes.ranges import family_of
from planner.study.spots.challenges import Challenge, interval_name
from planner.study.statements import spoken_pitch

LEAST_LEAP: dict[str, int] = {"keyboard": 13, "percussion": 13, "strings": 10, "plucked": 13}
"""Smallest leap in semitones worth a look, by family; elsewhere ``WIDE``. Source: house choice."""
WIDE = 8
LONGEST_GAP = 2 * TICKS_PER_QUARTER
"""A rest of two quarters or more leaves time to prepare a leap. Source: house choice."""
REGISTER_SHIFT = 9.0
"""Semitones between the mean pitches of neighbouring bars that make a new register. Source: house choice."""
CLUSTER_NOTES, CLUSTER_SHARE = 3, 0.25


def pitch_challenges(each: PartEvidence, columns: Columns) -> Iterator[Challenge]:
    """Every pitch challenge of a part."""
    if not each.has_melody:
        return
    for line in each.lines:
        yield from leaps(each, line)
        yield from register_changes(line)
    yield from accidental_clusters(each, columns)


def leaps(each: PartEvidence, line: AttackLine) -> Iterator[Challenge]:
    """Wide leaps without time to prepare."""
    least = LEAST_LEAP.get(family_of(each.part), WIDE)
    moves = np.diff(line.top)
    with np.errstate(invalid="ignore"):
        wide = (np.abs(moves) >= least) & (line.onset[1:] - line.end[:-1] < LONGEST_GAP)
    for at in np.flatnonzero(wide).tolist():
        start, goal = _written(each, line, at), _written(each, line, at + 1)
        if start is None or goal is None:
            continue
        way = "up" if moves[at] > 0 else "down"
        name = interval_name(goal.diatonic - start.diatonic)
        words = f"leap of {name} {way} from {spoken_pitch(str(start))} to {spoken_pitch(str(goal))}"
        weight = float(leap_costs(np.abs(moves[at : at + 1]))[0])
        yield Challenge(int(line.measure[at + 1]), "wide leap", weight, words)


def _written(each: PartEvidence, line: AttackLine, at: int) -> Pitch | None:
    return each.part.part.notes[int(line.note[at])].pitch


def register_changes(line: AttackLine) -> Iterator[Challenge]:
    """Bars that lie far above or below the bar played just before."""
    starts = np.flatnonzero(np.r_[True, np.diff(line.measure) != 0])
    counts = np.diff(np.append(starts, len(line)))
    means = np.add.reduceat(line.top, starts) / counts
    bars = line.measure[starts]
    with np.errstate(invalid="ignore"):
        far = (np.abs(np.diff(means)) >= REGISTER_SHIFT) & (np.diff(bars) == 1)
    for at in np.flatnonzero(far).tolist():
        shift = float(means[at + 1] - means[at])
        words = (
            "the line moves into a higher register" if shift > 0 else "the line drops into a lower register"
        )
        yield Challenge(int(bars[at + 1]), "register change", abs(shift) / 18.0, words)


def _sign(pitch: Pitch) -> str:
    """A pitch class as the sign on the page shows it: a natural where no sharp or flat is meant."""
    name = spoken_pitch(pitch.pitch_class_name)
    return name if len(name) > 1 else f"{name}♮"


def accidental_clusters(each: PartEvidence, columns: Columns) -> Iterator[Challenge]:
    """Bars with several printed accidentals."""
    count = len(columns.measure_start)
    notes = each.part.part.notes
    printed = [notes[n] for n in each.part.note.tolist() if notes[n].accidental and not notes[n].is_courtesy]
    struck = np.bincount(each.part.measure[each.part.struck], minlength=count)
    by_measure: dict[int, list[str]] = {}
    for note in printed:
        if note.pitch is not None:
            by_measure.setdefault(note.measure, []).append(_sign(note.pitch))
    for measure, names in by_measure.items():
        if len(names) >= CLUSTER_NOTES and len(names) >= CLUSTER_SHARE * struck[measure]:
            different = sorted(set(names), key=names.index)
            words = f"{len(names)} accidentals ({', '.join(different)})"
            yield Challenge(measure, "accidental cluster", 0.2 * len(names), words)
