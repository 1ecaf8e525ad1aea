"""What would mend notes that a section cannot reach, tried on whoever would play them."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from planner.matching.part_check import Fix
from planner.study.difficulty.evidence import PartEvidence
from planner.study.lines.technique import joined, written_for
from planner.study.notes.attack_lines import AttackLine
from planner.study.notes.columns import Bools, Floats, Ints

WIDEST_SEAM = 12
"""Semitones that a line may leap into or out of notes moved by an octave, if it did not leap wider before.
House choice: more would tear the line apart."""

FEW_NOTES = 1 / 3
"""Share of the notes of their bars that may be moved alone if the line then leaps wider than it did: with
more of them it is in shreds. House choice."""


@dataclass(frozen=True, eq=False)
class Reader:
    """A section with what it reads.

    Attributes:
        name: Of the section.
        part: Its part, on the section's own instrument.
        level: Of the section.
    """

    name: str
    part: PartEvidence
    level: float

    @cached_property
    def struck(self) -> dict[tuple[int, int], int]:
        """By tick and sounding pitch class the attack of its first line."""
        line = self.part.lines[0]
        tops = np.nan_to_num(line.top).tolist()
        return {
            (on, int(top) % 12): at
            for at, (on, top) in enumerate(zip(line.onset.tolist(), tops, strict=True))
        }


@dataclass(frozen=True, eq=False)
class Written:
    """A line as its player reads it: highest and lowest written MIDI number of each attack."""

    line: AttackLine
    high: Ints
    low: Ints

    def outside(self, lowest: float, highest: float) -> tuple[Bools, Bools]:
        """Which attacks are too high for a range, and which of the others too low."""
        too_high = self.high > highest
        return np.asarray(too_high), np.asarray((self.low < lowest) & ~too_high)


def written(each: PartEvidence) -> Written:
    """The first line of a part as its instrument reads it."""
    line = each.lines[0]
    high = written_for(each, line)
    spread = np.nan_to_num(line.top - line.bottom)
    return Written(line, high, np.asarray(high - np.rint(spread), dtype=np.int64))


def range_remedy(
    each: PartEvidence, outside: Bools, level: float, others: Sequence[Reader]
) -> tuple[Fix, str]:
    """What mends notes out of reach: an octave, else a section that has them, has a cue or rests.

    Whatever is advised has been tried: every note lies in comfort of who would play it, at that section's
    level and on its own instrument.

    Args:
        each: The part, on the section's own instrument.
        outside: Which attacks of its first line are out of reach.
        level: Of the section.
        others: The other sections that read.

    Returns:
        The fix and the name of the section that helps, empty where none does.
    """
    assert each.instrument
    comfort = each.instrument.comfortable(level)
    own = written(each)
    if comfort is not None:
        in_bars = np.isin(own.line.measure, own.line.measure[outside])
        for octave, of_bars, of_notes in (
            (-12, Fix.OCTAVE_LOWER, Fix.NOTES_OCTAVE_LOWER),
            (12, Fix.OCTAVE_HIGHER, Fix.NOTES_OCTAVE_HIGHER),
        ):
            if can_move(own, in_bars, octave, comfort):
                return of_bars, ""
            is_few = bool(outside.sum() <= FEW_NOTES * in_bars.sum())
            if can_move(own, outside, octave, comfort, widest_seam=WIDEST_SEAM if is_few else 0):
                return of_notes, ""
    helpers = [other for other in others if _is_of_its_kind(each, other)]
    for tried, fix in ((_plays_them, Fix.OTHER_SECTION), (_has_a_cue, Fix.CUE), (_could_play, Fix.GIVE_TO)):
        able = [other for other in helpers if tried(each, own.line, outside, other)]
        if able:
            height = float(own.line.top[outside].mean())
            return fix, min(able, key=lambda other: _strangeness(each, height, other)).name
    return Fix.LEAVE_OUT, ""


def can_move(
    own: Written,
    moved: Bools,
    semitones: int,
    comfort: tuple[float, float],
    widest_seam: int = WIDEST_SEAM,
) -> bool:
    """Whether notes can be moved so far: all of them stay in comfort, and the line holds together.

    It does where it leaps into and out of them no wider than it did, or than ``widest_seam`` semitones.
    """
    shift = np.where(moved, semitones, 0)
    high, low = own.high + shift, own.low + shift
    if ((high[moved] > comfort[1]) | (low[moved] < comfort[0])).any():
        return False
    seam = (moved[1:] != moved[:-1]) & joined(own.line)
    leap, before = np.abs(np.diff(high)), np.abs(np.diff(own.high))
    return bool((leap[seam] <= np.maximum(widest_seam, before[seam])).all())


def _is_of_its_kind(each: PartEvidence, other: Reader) -> bool:
    """Whether a section may stand in: singers for singers, and no keyboard or drum for a wind or a string."""
    own, theirs = each.instrument, other.part.instrument
    if own is None or theirs is None or not other.part.has_melody:
        return False
    alone = ("voice", "keyboard", "percussion")
    return own.family == theirs.family or not (own.family in alone or theirs.family in alone)


def _strangeness(each: PartEvidence, height: float, other: Reader) -> tuple[bool, float]:
    """How far a section is from who should play: another family, then another range than the notes'."""
    assert each.instrument
    assert other.part.instrument
    low, high = other.part.instrument.comfortable(other.level) or (0.0, 127.0)
    middle = (low + high) / 2 + other.part.instrument.transposition.semitones
    return other.part.instrument.family != each.instrument.family, abs(height - middle)


def _in_comfort(other: Reader, high: Ints | Floats, low: Ints | Floats) -> bool:
    """Whether written notes lie in comfort of a section on its instrument."""
    comfort = other.part.instrument.comfortable(other.level) if other.part.instrument else None
    return comfort is not None and bool(((high <= comfort[1]) & (low >= comfort[0])).all())


def _plays_them(each: PartEvidence, line: AttackLine, outside: Bools, other: Reader) -> bool:
    """Whether a section strikes the same notes at the same moments, octave aside, in its own comfort."""
    del each
    wanted = [(on, int(top) % 12) for on, top in zip(
        line.onset[outside].tolist(), line.top[outside].tolist(), strict=True)]  # fmt: skip
    found = [other.struck[each] for each in wanted if each in other.struck]
    if len(found) < len(wanted):
        return False
    theirs = written(other.part)
    return _in_comfort(other, theirs.high[found], theirs.low[found])


def _has_a_cue(each: PartEvidence, line: AttackLine, outside: Bools, other: Reader) -> bool:
    """Whether a section's page has the notes as a cue, in its own comfort."""
    part, instrument = other.part.part.part, other.part.instrument
    assert instrument
    cues = {
        (note.measure, note.onset_quarters, int(note.pitch.midi + part.transposition.semitones) % 12): int(
            note.pitch.midi + part.transposition.semitones - instrument.transposition.semitones
        )
        for note in part.notes
        if note.is_cue and note.pitch is not None
    }
    notes = each.part.part.notes
    wanted = [(notes[at].measure, notes[at].onset_quarters, int(top) % 12) for at, top in zip(
        line.note[outside].tolist(), line.top[outside].tolist(), strict=True)]  # fmt: skip
    found = np.array([cues[place] for place in wanted if place in cues])
    return len(found) == len(wanted) and _in_comfort(other, found, found)


def _could_play(each: PartEvidence, line: AttackLine, outside: Bools, other: Reader) -> bool:
    """Whether a section rests in those bars and has the notes in comfort, where they sound."""
    del each
    instrument = other.part.instrument
    assert instrument
    if np.isin(other.part.part.measure, line.measure[outside]).any():
        return False
    shift = instrument.transposition.semitones
    return _in_comfort(other, line.top[outside] - shift, line.bottom[outside] - shift)
