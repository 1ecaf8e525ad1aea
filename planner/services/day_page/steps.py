"""The steps of a reading day with their seconds, as planned or by a published procedure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from planner.core.day_clock import Step, StepKind
from planner.core.procedures import BY_SLUG, Procedure
from planner.core.term import Term, again_minutes
from planner.services.day.read_day import DayView
from planner.services.day_page.turns import Turn, TurnPiece, turns_of

FACE_DOWN_S = 30
"""Seconds in which parts are handed out face down; not counted among the minutes of the day. House choice."""
LEAST_S = 20
"""No step is shorter than this, however full the day. House choice."""
NAMING_SHARE = 1 / 3
"""Of the minutes for naming and fixing, what naming takes. House choice."""
GRAIN_S = 5
"""Seconds are rounded to this. House choice."""

_READINGS = frozenset({StepKind.FIRST, StepKind.SECOND})
_UNCOUNTED = frozenset({StepKind.FACE_DOWN, StepKind.SCORE})
_BEGINS_ITSELF = frozenset({StepKind.SUMMARY, StepKind.HEARING, StepKind.FIXING})
"""Steps that follow when the one before has run out; every other waits for the director."""


@dataclass(frozen=True, slots=True)
class DaySteps:
    """What the clock of a day leads through.

    Attributes:
        turns: What is read at one time.
        steps: In order.
        procedure: The published procedure by which music is studied; None as planned.
        spare_s: Seconds of the day that are left over; below 0 where the steps take more than there are.
    """

    turns: tuple[Turn, ...]
    steps: tuple[Step, ...]
    procedure: Procedure | None
    spare_s: int


def day_steps(view: DayView) -> DaySteps:
    """The steps of a day: of each of its pieces, or of each round in which stations read at once.

    Where they would take longer than the day, all but the readings are shortened in the same measure.
    """
    turns, procedure = turns_of(view), chosen_procedure(view.term, view)
    lengths = [_of_turn(turn, procedure) for turn in turns]
    limit_s = 60 * view.term.minutes_on(view.on)
    if procedure is None:
        lengths = _shortened(lengths, limit_s)
    steps = [step for at, each in enumerate(lengths) for step in _steps(at, each)]
    taken = sum(step.seconds for step in steps if step.kind not in _UNCOUNTED)
    return DaySteps(turns, tuple(steps), procedure, round(limit_s) - taken)


def chosen_procedure(term: Term, view: DayView) -> Procedure | None:
    """The published procedure chosen for a day; None as planned, or where this version does not know it."""
    return BY_SLUG.get(dict(term.procedures).get(view.on, ""))


def _of_turn(turn: Turn, procedure: Procedure | None) -> dict[StepKind, float]:
    """Seconds of each step of a turn: what its longest piece needs."""
    found: dict[StepKind, float] = {}
    for piece in turn.pieces:
        for kind, seconds in _of_piece(piece, procedure).items():
            found[kind] = max(seconds, found.get(kind, 0.0))
    return {kind: found[kind] for kind in StepKind if kind in found}


def _of_piece(piece: TurnPiece, procedure: Procedure | None) -> dict[StepKind, float]:
    time = piece.time.steps
    if piece.is_again:
        second = 60 * time.second
        left = 60 * again_minutes(time.total) - second
        return {
            StepKind.FACE_DOWN: FACE_DOWN_S,
            StepKind.STUDY: max(float(LEAST_S), left),
            StepKind.SECOND: second,
        }
    after = {
        StepKind.FIRST: 60 * time.first,
        StepKind.NAMING: 60 * time.fixing * NAMING_SHARE,
        StepKind.FIXING: 60 * time.fixing * (1 - NAMING_SHARE),
        StepKind.SECOND: 60 * time.second,
    }
    if procedure is None:
        return {
            StepKind.FACE_DOWN: FACE_DOWN_S, StepKind.STUDY: 60 * time.study,
            StepKind.HEARING: 60 * time.hearing, **after,
        }  # fmt: skip
    before = {StepKind.SCORE: procedure.score_s, StepKind.STUDY: procedure.study_s,
              StepKind.SUMMARY: procedure.summary_s}  # fmt: skip
    return {StepKind.FACE_DOWN: FACE_DOWN_S, **{k: float(s) for k, s in before.items() if s}, **after}


def _shortened(lengths: Sequence[Mapping[StepKind, float]], limit_s: float) -> list[dict[StepKind, float]]:
    counted = [(kind, s) for each in lengths for kind, s in each.items() if kind not in _UNCOUNTED]
    reading = sum(seconds for kind, seconds in counted if kind in _READINGS)
    rest = sum(seconds for kind, seconds in counted if kind not in _READINGS)
    share = min(1.0, max(0.0, limit_s - reading) / rest) if rest else 1.0
    kept = _READINGS | _UNCOUNTED
    return [{kind: s if kind in kept else s * share for kind, s in each.items()} for each in lengths]


def _steps(turn: int, lengths: Mapping[StepKind, float]) -> list[Step]:
    kinds = list(lengths)
    return [
        Step(
            turn,
            kind,
            max(LEAST_S, GRAIN_S * round(lengths[kind] / GRAIN_S)),
            begins_itself=kind in _BEGINS_ITSELF
            or (kind is StepKind.STUDY and kinds[at - 1] is StepKind.SCORE),
        )
        for at, kind in enumerate(kinds)
    ]
