"""Which passages are repeated, how often, and which endings they have."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from planner.core.score import RoadmapMark
from planner.study.roadmap.marks import JUMPS, MOST_TIMES


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
        ends: Measures with the closing repeat bar, ascending; empty for endings used with a jump only.
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


def find_endings(marks: Sequence[RoadmapMark], measures: int) -> tuple[Ending, ...]:
    """The numbered endings; one without a stop runs to its repeat bar or to just before the next one.

    An ending without readable numbers takes the next number of its run. A bracket drawn over the first
    bars of an ending only is taken on to the repeat bar before the next ending; one drawn on beyond its
    repeat bar ends there when another ending follows; a bracket broken at the end of a line, with the same
    numbers on both sides, is one.
    """
    starts = _with_missing_starts(marks)
    opened = [mark.measure for mark in marks if mark.kind == "repeat-start"]
    closed = [mark.measure for mark in marks if mark.kind == "repeat-end"]
    left = [mark.measure for mark in marks if mark.kind in JUMPS]
    found: list[Ending] = []
    for at, start in enumerate(starts):
        limit = starts[at + 1].measure if at + 1 < len(starts) else measures
        if limit <= start.measure:
            continue
        numbers = tuple(n for n in start.numbers if 0 < n <= MOST_TIMES)
        closing = [end for end in closed if start.measure <= end < limit]
        bracket = _stop_of(start, marks, limit)
        last = _end_of(start.measure, bracket, closing, limit, measures)
        if at + 1 < len(starts) and closing:
            last = _fitted(start.measure, last, closing, opened, _goes_on(numbers, starts[at + 1]), limit)
        follows = bool(found) and found[-1].last + 1 == start.measure
        if follows and numbers == found[-1].numbers and not {*closed, *left} & {found[-1].last}:
            found[-1] = replace(found[-1], last=last)
            continue
        next_number = max(found[-1].numbers) + 1 if follows else 1
        found.append(Ending(start.measure, last, numbers or (next_number,)))
    return tuple(found)


def _end_of(first: int, bracket: int | None, closing: Sequence[int], limit: int, measures: int) -> int:
    """Where an ending ends by its bracket, else by its repeat bar, else before the next one."""
    if bracket is not None:
        return bracket
    return min(closing, default=first if limit == measures else limit - 1)


def _goes_on(numbers: Sequence[int], following: RoadmapMark) -> bool:
    """Whether the next bracket counts on from this one."""
    return bool(numbers) and following.numbers[:1] == (max(numbers) + 1,)


def _fitted(
    first: int, last: int, closing: Sequence[int], opened: Sequence[int], goes_on: bool, limit: int
) -> int:
    """The end of an ending that another one follows, moved to its repeat bar where the bracket misses it."""
    if goes_on and last < closing[-1] == limit - 1:
        return closing[-1]
    inside = [end for end in closing if end < last and not any(first <= start <= end for start in opened)]
    return inside[0] if inside and not any(end >= last for end in closing) else last


def _with_missing_starts(marks: Sequence[RoadmapMark]) -> list[RoadmapMark]:
    """The starts of endings; a stop without its start gets one in the same measure."""
    starts: list[RoadmapMark] = []
    is_open = False
    for mark in sorted(marks, key=lambda m: (m.measure, m.kind == "ending-stop")):
        if mark.kind == "ending-start":
            starts.append(mark)
            is_open = True
        elif mark.kind == "ending-stop":
            if not is_open:
                starts.append(replace(mark, kind="ending-start"))
            is_open = False
    return starts


def _stop_of(start: RoadmapMark, marks: Sequence[RoadmapMark], limit: int) -> int | None:
    """Where the bracket's own stop stands, so that a repeat inside a longer ending does not cut it."""
    stops = [m.measure for m in marks if m.kind == "ending-stop" and start.measure <= m.measure < limit]
    return min(stops) if stops else None


def runs_of(endings: Sequence[Ending]) -> list[list[Ending]]:
    """Endings that stand side by side, together; renumbered in order when numbers are missing."""
    runs: list[list[Ending]] = []
    for ending in endings:
        if runs and runs[-1][-1].last + 1 == ending.first and ending.numbers != (1,):
            runs[-1].append(ending)
        else:
            runs.append([ending])
    return [_renumbered(run) for run in runs]


def _renumbered(run: list[Ending]) -> list[Ending]:
    numbers = [n for ending in run for n in ending.numbers]
    if sorted(numbers) == list(range(1, len(numbers) + 1)):
        return run
    renumbered, before = [], 0
    for ending in run:
        after = before + len(ending.numbers)
        renumbered.append(replace(ending, numbers=tuple(range(before + 1, after + 1))))
        before = after
    return renumbered


@dataclass(slots=True)
class _Pairing:
    """Closing repeat bars on their way to their passages."""

    runs: list[list[Ending]]
    passages: list[Passage] = field(default_factory=list)
    starts: list[int] = field(default_factory=list)
    by_run: dict[int, tuple[int, list[RoadmapMark]]] = field(default_factory=dict)
    free: int = 0
    signs: list[int] = field(default_factory=list)

    def begin(self, movement: int) -> None:
        """A movement begins: no repeat goes back beyond it."""
        self.starts.clear()
        self.free = max(self.free, movement)

    def close(self, mark: RoadmapMark, run: int | None) -> None:
        if run is not None and run in self.by_run and not self._opened_inside(run):
            if not self._is_inside_the_last(mark, run):
                self.by_run[run][1].append(mark)
                return
            last = self.runs[run][-1]
            self.free = self.free if last.first <= self.free <= mark.measure else last.first
        first = self.starts.pop() if self.starts else self._free_for(mark)
        if run is None or self._opened_inside_first(first, run):
            times = mark.times if 1 <= mark.times <= MOST_TIMES else 2
            self.passages.append(Passage(first, (mark.measure,), (), times, mark.after_jump))
            self.free = mark.measure + 1
        else:
            self.by_run[run] = (first, [mark])
            self.free = self.runs[run][-1].last + 1

    def _free_for(self, mark: RoadmapMark) -> int:
        """Where a closing bar without an opening one goes back to: a repeat that is only meant, to a sign."""
        signs = [sign for sign in self.signs if self.free <= sign <= mark.measure]
        return signs[0] if mark.implied and signs else self.free

    def _is_inside_the_last(self, mark: RoadmapMark, run: int) -> bool:
        """Whether a closing bar has bars of the last ending after it: it repeats a strain begun in there."""
        last = self.runs[run][-1]
        return len(self.runs[run]) > 1 and last.first <= mark.measure < last.last

    def _opened_inside(self, run: int) -> bool:
        """Whether the repeat opened last, and not closed yet, was opened within these endings."""
        return bool(self.starts) and self.runs[run][0].first <= self.starts[-1]

    def _opened_inside_first(self, first: int, run: int) -> bool:
        return self.runs[run][0].first <= first


def find_passages(
    marks: Sequence[RoadmapMark], measures: int, movements: Sequence[int] = (0,), finals: Sequence[int] = ()
) -> tuple[Passage, ...]:
    """Pair each closing repeat bar with where it goes back to, within its movement.

    A closing bar without an opening one goes back to just after the last closed
    passage or the last final bar line, or to the beginning. Endings side by side belong to
    one passage; a repeat that opens and closes inside an ending is a passage of its own,
    and so is one that closes inside the last ending, from where that begins.
    Endings without any repeat bar that a D.C. or D.S. comes back over have nothing to go back to.

    Args:
        marks: All marks, those of ``missing_repeats`` among them.
        measures: How many measures are written.
        movements: First measures of the movements.
        finals: Measures that follow a final bar line.
    """
    runs = runs_of(find_endings(marks, measures))
    run_of = {at: n for n, run in enumerate(runs) for e in run for at in range(e.first, e.last + 1)}
    has_dal_segno = any(mark.kind == "dal-segno" for mark in marks)
    signs = [] if has_dal_segno else [mark.measure for mark in marks if mark.kind == "segno"]
    pairing = _Pairing(runs, signs=signs)
    waiting = [start for start in movements if start > 0]
    after_final = [first for first in finals if run_of.get(first) is None or run_of.get(first - 1) is None]
    for mark in marks:
        while waiting and waiting[0] <= mark.measure:
            pairing.begin(waiting.pop(0))
        while after_final and after_final[0] <= mark.measure:
            pairing.free = max(pairing.free, after_final.pop(0))
        if mark.kind == "repeat-start":
            pairing.starts.append(mark.measure)
        elif mark.kind == "repeat-end":
            pairing.close(mark, run_of.get(mark.measure))
    for at, run in enumerate(runs):
        first, ends = pairing.by_run.get(at, (run[0].first, []))
        pairing.passages.append(_with_endings(first, ends, tuple(run)))
    return tuple(sorted(pairing.passages, key=lambda p: (p.first, p.last)))


def missing_repeats(
    marks: Sequence[RoadmapMark], measures: int, movements: Sequence[int] = (0,)
) -> tuple[RoadmapMark, ...]:
    """Closing repeat bars that endings imply where none is printed: a first ending means going back.

    An ending with another one after it lacks its repeat bar when it ends with no jump and no Fine, and
    another of its run has one, or no D.C. and no D.S. of the movement comes back over them.
    Source: common practice: "1." and "2." over a passage are played one after the other.
    """
    closed = [mark.measure for mark in marks if mark.kind == "repeat-end"]
    jumps = [mark.measure for mark in marks if mark.kind in JUMPS]
    leaving = {mark.measure for mark in marks if mark.kind in (*JUMPS, "fine", "to-coda")}
    ends = [*movements[1:], measures]
    found: list[RoadmapMark] = []
    for run in runs_of(find_endings(marks, measures)):
        end = next(end for end in ends if end > run[0].first)
        has_one = any(e.first <= at <= e.last for e in run[:-1] for at in closed)
        if not has_one and any(run[0].first <= jump < end for jump in jumps):
            continue
        found += [
            RoadmapMark("repeat-end", ending.last, implied=True)
            for ending in run[:-1]
            if ending.last not in leaving and not any(ending.first <= at <= ending.last for at in closed)
        ]
    return tuple(found)


def _with_endings(first: int, ends: Sequence[RoadmapMark], endings: tuple[Ending, ...]) -> Passage:
    highest = max(n for ending in endings for n in ending.numbers)
    alone = len(endings) == 1 and bool(ends)
    return Passage(
        first,
        tuple(mark.measure for mark in ends),
        endings,
        highest + 1 if alone else highest,
        any(mark.after_jump for mark in ends),
    )
