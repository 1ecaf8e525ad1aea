"""Which repeats, endings and jumps stand on the page, once the parts' pages are laid together."""

from collections.abc import Iterable
from dataclasses import dataclass

from planner.core.issue import Issue
from planner.core.score import MarkKind, RoadmapMark, Score

MOST_TIMES = 20
"""A passage played more often than this is taken for a misprint. House choice."""

_OPENING = ("repeat-start", "ending-start", "segno", "coda")


@dataclass(frozen=True, slots=True)
class Ending:
    """A numbered ending from ``first`` to ``last`` (written positions, both included)."""

    first: int
    last: int
    numbers: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Passage:
    """A repeated passage.

    Attributes:
        first: Where the repeat goes back to.
        ends: Measures with the closing repeat bar, ascending.
        endings: Its numbered endings, in order of place.
        times: How often the passage is played in all.
        after_jump: The page asks for the repeat after a D.C. or D.S. too.
    """

    first: int
    ends: tuple[int, ...]
    endings: tuple[Ending, ...]
    times: int
    after_jump: bool

    @property
    def last(self) -> int:
        """Last measure that belongs to it, endings included."""
        return max((*self.ends, *(e.last for e in self.endings)))


def merged_marks(marks: Iterable[RoadmapMark]) -> tuple[RoadmapMark, ...]:
    """The marks of all pages as one list, each once, in order of place; opening marks first in a measure."""
    best: dict[tuple[MarkKind, int, tuple[int, ...]], RoadmapMark] = {}
    for mark in marks:
        key = (mark.kind, mark.measure, mark.numbers)
        known = best.get(key)
        if known is None or _detail(mark) > _detail(known):
            best[key] = mark
    return tuple(sorted(best.values(), key=lambda m: (m.measure, m.kind not in _OPENING, m.kind, m.numbers)))


def _detail(mark: RoadmapMark) -> tuple[int, bool, bool, int]:
    return (mark.times, bool(mark.name), bool(mark.time_only), len(mark.text))


def find_endings(marks: Iterable[RoadmapMark], measures: int) -> tuple[Ending, ...]:
    """The numbered endings; one without a stop runs to its repeat bar or to just before the next one.

    An ending without readable numbers takes the next free number of its run.
    """
    marks = tuple(marks)
    starts = [m for m in marks if m.kind == "ending-start"]
    stops = sorted(m.measure for m in marks if m.kind == "ending-stop")
    repeats = sorted(m.measure for m in marks if m.kind == "repeat-end")
    found: list[Ending] = []
    for at, start in enumerate(starts):
        limit = starts[at + 1].measure if at + 1 < len(starts) else measures
        if limit <= start.measure:
            continue
        closing = [s for s in (*stops, *repeats) if start.measure <= s < limit]
        last = min(closing, default=start.measure if limit == measures else limit - 1)
        follows = bool(found) and found[-1].last + 1 == start.measure
        numbers = tuple(n for n in start.numbers if 0 < n <= MOST_TIMES)
        found.append(Ending(start.measure, last, numbers or (_next_number(found, follows),)))
    return tuple(found)


def _next_number(found: list[Ending], follows: bool) -> int:
    return max(found[-1].numbers) + 1 if follows else 1


def _runs(endings: tuple[Ending, ...]) -> list[list[Ending]]:
    """Endings that stand side by side, together."""
    runs: list[list[Ending]] = []
    for ending in endings:
        if runs and runs[-1][-1].last + 1 == ending.first:
            runs[-1].append(ending)
        else:
            runs.append([ending])
    return runs


def find_passages(marks: tuple[RoadmapMark, ...], endings: tuple[Ending, ...]) -> tuple[Passage, ...]:
    """Pair each closing repeat bar with where it goes back to.

    A closing bar without an opening one goes back to just after the last closed
    passage, or to the beginning. Endings side by side belong to one passage.
    Endings without any repeat bar (used with a D.C.) make a passage of their own
    with nothing to go back to.
    """
    runs = _runs(endings)
    run_of = {
        measure: at for at, run in enumerate(runs) for e in run for measure in range(e.first, e.last + 1)
    }
    open_starts: list[int] = []
    by_run: dict[int, tuple[int, list[RoadmapMark]]] = {}
    passages: list[Passage] = []
    free = 0
    for mark in marks:
        if mark.kind == "repeat-start":
            open_starts.append(mark.measure)
        elif mark.kind == "repeat-end":
            run = run_of.get(mark.measure)
            if run is not None and run in by_run and not _opened_inside(open_starts, runs[run], mark.measure):
                by_run[run][1].append(mark)
                continue
            first = open_starts.pop() if open_starts else free
            open_starts = [start for start in open_starts if start >= free and start < first]
            if run is None:
                passages.append(Passage(first, (mark.measure,), (), _sane(mark.times), mark.after_jump))
                free = mark.measure + 1
            else:
                by_run[run] = (first, [mark])
                free = runs[run][-1].last + 1
    for at, run_endings in enumerate(runs):
        first, ends = by_run.get(at, (run_endings[0].first, []))
        passages.append(_with_endings(first, tuple(ends), tuple(run_endings)))
    return tuple(sorted(passages, key=lambda p: (p.first, p.last)))


def _opened_inside(open_starts: list[int], run: list[Ending], end: int) -> bool:
    return bool(open_starts) and run[0].first <= open_starts[-1] <= end


def _with_endings(first: int, ends: tuple[RoadmapMark, ...], endings: tuple[Ending, ...]) -> Passage:
    highest = max(n for ending in endings for n in ending.numbers)
    alone = len(endings) == 1 and bool(ends)
    return Passage(
        first,
        tuple(mark.measure for mark in ends),
        endings,
        highest + 1 if alone else highest,
        any(mark.after_jump for mark in ends),
    )


def _sane(times: int) -> int:
    return times if 1 <= times <= MOST_TIMES else 2


def find_conflicts(score: Score) -> tuple[Issue, ...]:
    """Repeat bars and endings that some parts' pages have and others lack.

    Jump words and signs are often printed over the top part alone, so they are
    only reported when several parts have them and others do not.
    """
    places: dict[tuple[str, int, tuple[int, ...]], set[int]] = {}
    for mark in score.marks:
        if mark.part >= 0:
            places.setdefault((mark.kind, mark.measure, mark.numbers), set()).add(mark.part)
    shared = {(m.kind, m.measure, m.numbers) for m in score.marks if m.part < 0}
    issues = []
    for (kind, measure, numbers), parts in sorted(places.items(), key=lambda item: (item[0][1], item[0])):
        everywhere = (kind, measure, numbers) in shared or len(parts) == len(score.parts)
        is_bar = kind.startswith(("repeat", "ending"))
        if everywhere or (not is_bar and len(parts) == 1):
            continue
        have = ", ".join(score.parts[p].name for p in sorted(parts) if p < len(score.parts))
        issues.append(
            Issue(
                "roadmap-differs",
                "warning",
                f"Bar {score.measure_number(measure)}: the {kind.replace('-', ' ')} stands only in {have}; "
                "it is taken to hold for everyone, so mark it in the other parts.",
                measure=measure,
            )
        )
    return tuple(issues)
