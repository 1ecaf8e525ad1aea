"""How a part is to be played: dynamics, hairpins, articulations, words."""

from collections import Counter
from dataclasses import dataclass

from planner.analysis.columns import Columns
from planner.core.profile import Articulation, DynamicUse, Expression, Statement
from planner.core.score import Part


@dataclass(frozen=True, slots=True)
class PartExpression:
    """A part's dynamics and hairpins in order of place, and its articulations by kind."""

    dynamics: tuple[DynamicUse, ...]
    articulations: tuple[Articulation, ...]


@dataclass(frozen=True, slots=True)
class ExpressionStudy:
    """Every part's expression in score order, the words of the piece, and what to say."""

    by_part: tuple[PartExpression, ...]
    terms: tuple[Expression, ...] = ()
    statements: tuple[Statement, ...] = ()


def find_expression(columns: Columns) -> ExpressionStudy:
    """Dynamics, articulations and words of a score.

    Example:
        >>> from planner.analysis.columns import columns_of
        >>> from planner.core.score import Score
        >>> find_expression(columns_of(Score("Empty", (), ()))).by_part
        ()
    """
    return ExpressionStudy(tuple(find_part_expression(part) for part in columns.score.parts))


def find_part_expression(part: Part) -> PartExpression:
    """Dynamics, hairpins and articulations of one part.

    Example:
        >>> find_part_expression(Part("P1", "Flute")).dynamics
        ()
    """
    marks = [(d.measure, d.onset_quarters, DynamicUse(d.measure, d.mark)) for d in part.dynamics]
    marks += [
        (h.measure, h.onset_quarters, DynamicUse(h.measure, h.kind, h.end_measure)) for h in part.hairpins
    ]
    marks.sort(key=lambda item: item[:2])
    counts: Counter[str] = Counter()
    first: dict[str, int] = {}
    for note in part.notes:
        for name in note.articulations:
            counts[name] += 1
            first.setdefault(name, note.measure)
    kinds = sorted(counts, key=lambda name: (first[name], name))
    return PartExpression(
        tuple(use for _, _, use in marks),
        tuple(Articulation(name, counts[name], first[name]) for name in kinds),
    )
