"""One part's answers, put into its profile."""

from dataclasses import dataclass

import numpy as np

from planner.core.fact import Place
from planner.core.profile import AccidentalUse, Landmark, PartProfile, Pattern, Spot
from planner.core.score import Part
from planner.study.difficulty.difficulty import PartLevel
from planner.study.notes.columns import PartColumns
from planner.study.notes.ranges import RangeFacts
from planner.study.page.expression import PartExpression
from planner.study.page.signatures import printed_signatures, written_signatures
from planner.study.time.rhythm import values_used


@dataclass(frozen=True)
class PartAnswers:
    """What the questions found for one part."""

    columns: PartColumns
    compass: RangeFacts
    level: PartLevel
    spots: tuple[Spot, ...]
    accidentals: tuple[AccidentalUse, ...]
    expression: PartExpression
    patterns: tuple[Pattern, ...]
    landmarks: tuple[Landmark, ...]


def build_part(answers: PartAnswers) -> PartProfile:
    """The profile of one part."""
    columns, part = answers.columns, answers.columns.part
    return PartProfile(
        name=part.name,
        instrument=part.instrument,
        transposition_semitones=part.transposition.semitones,
        notes=int(columns.struck.sum()),
        written_range=answers.compass.written,
        sounding_range=answers.compass.sounding,
        level=answers.level.level,
        contributions=answers.level.contributions,
        spots=answers.spots,
        accidentals=answers.accidentals,
        dynamics=answers.expression.dynamics,
        articulations=answers.expression.articulations,
        keys=written_signatures(part),
        values=values_used(part),
        largest_leap_semitones=_largest_leap(columns),
        patterns=answers.patterns,
        level_error=answers.level.error,
        signatures=printed_signatures(part),
        landmarks=answers.landmarks,
        sounds=sounding_bars(part),
    )


def sounding_bars(part: Part) -> tuple[Place, ...]:
    """The stretches of bars in each of which a part sounds, with a pitch or without; cues do not count.

    Example:
        >>> sounding_bars(Part("P1", "Oboe"))
        ()
    """
    found: list[Place] = []
    for at in sorted({note.measure for note in part.notes if not (note.is_rest or note.is_cue)}):
        if found and found[-1][1] == at - 1:
            found[-1] = (found[-1][0], at)
        else:
            found.append((at, at))
    return tuple(found)


def _largest_leap(columns: PartColumns) -> int:
    """Semitones of the widest step of the leading line; 0 with fewer than two notes."""
    line = columns.line
    return int(np.abs(np.diff(line.sounding)).max()) if len(line) > 1 else 0
