"""What readers need to know of the roadmap: its length, its marks, and the pages that lack one."""

from collections.abc import Iterator, Sequence

from planner.core.fact import Fact, FactKind, named
from planner.core.score import RoadmapMark, Score
from planner.study.roadmap.marks import is_for_all


def roadmap_facts(score: Score, marks: Sequence[RoadmapMark], order: Sequence[int]) -> tuple[Fact, ...]:
    """Facts of the roadmap: how many bars are played, where the marks stand, who lacks one.

    Args:
        score: The score.
        marks: The marks of all its pages together.
        order: The order of play.
    """
    if not order:
        return ()
    played, written = count_bars(score, order), count_bars(score, range(len(score.measures)))
    if played == written and not any(mark.kind not in ("segno", "coda", "fine") for mark in marks):
        return (Fact(FactKind.PLAYED_STRAIGHT, weight=0.3),)
    found = [Fact(FactKind.ROADMAP, numbers=named(written=written, played=played), certainty=0.9, weight=1.0)]
    shown = [at for at, mark in enumerate(marks) if is_shown(mark)]
    if shown:
        found.append(Fact(FactKind.ROADMAP_MARKS, numbers=_places(shown), weight=0.7))
    return (*found, *_lacking(score, marks))


def is_shown(mark: RoadmapMark) -> bool:
    """Whether a mark is worth naming: an ending is named by its start, and some marks are only meant."""
    return mark.kind != "ending-stop" and not mark.implied


def _lacking(score: Score, marks: Sequence[RoadmapMark]) -> Iterator[Fact]:
    """For each part, the marks that its own page lacks while other pages have them."""
    holders: dict[tuple[str, int], set[int]] = {}
    for mark in score.marks:
        holders.setdefault((mark.kind, mark.measure), set()).add(mark.part)
    for index, part in enumerate(score.parts):
        lacking = []
        for at, mark in enumerate(marks):
            parts = holders.get((mark.kind, mark.measure), {-1})
            if index not in parts and not is_for_all(score, parts) and is_shown(mark):
                lacking.append(at)
        if lacking:
            yield Fact(FactKind.MARKS_LACKING, part.name, numbers=_places(lacking), weight=0.9)


def _places(marks: Sequence[int]) -> tuple[tuple[str, float], ...]:
    return tuple(("mark", at) for at in marks)


def count_bars(score: Score, order: Sequence[int]) -> int:
    """Bars as a player counts them: pickups and second halves of split bars are not counted."""
    counted = sum(not score.measures[measure].implicit for measure in order)
    return counted or len(order)
