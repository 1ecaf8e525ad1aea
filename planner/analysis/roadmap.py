"""In which order the written measures are played.

Repeats with counts, endings of any shape, D.C., D.S., Fine, Coda and several
segnos, walked through as a player would.

Source: MusicXML 4.0, elements ``sound``, ``repeat`` and ``ending`` (W3C Music
Notation Community Group): D.C. and D.S. hold the first time, To Coda the second
time, unless ``time-only`` says otherwise. Repeats and first endings are not
taken again after a jump (common practice), unless ``after-jump`` or the words ask for it.
"""

from collections import Counter
from dataclasses import dataclass, field

from planner.analysis.roadmap_marks import (
    MOST_TIMES,
    Ending,
    Passage,
    find_conflicts,
    find_endings,
    find_passages,
    merged_marks,
)
from planner.analysis.roadmap_speech import Turn, page_marks, speak
from planner.analysis.roadmap_words import marks_in_words, wants_repeats
from planner.core.issue import Issue
from planner.core.profile import Roadmap, Statement
from planner.core.score import RoadmapMark, Score

MOST_PLAYED = 40
"""No walk plays more than this many times the written measures. House choice, against misprints."""


@dataclass(frozen=True, slots=True)
class RoadmapStudy:
    """The order of play (0-based written positions), how it is said, and what the pages show."""

    play_order: tuple[int, ...]
    spoken: str
    statements: tuple[Statement, ...]
    issues: tuple[Issue, ...] = ()

    @property
    def roadmap(self) -> Roadmap:
        """The value kept in the profile."""
        return Roadmap(self.play_order, self.spoken)


def find_play_order(score: Score, *, repeats_after_jump: bool | None = None) -> RoadmapStudy:
    """Walk the roadmap of a score.

    Args:
        score: The score.
        repeats_after_jump: Take repeats again after a D.C. or D.S.; None decides by the page.

    Example:
        >>> from planner.core.score import Score
        >>> find_play_order(Score("Empty", (), ())).play_order
        ()
    """
    marks = merged_marks((*score.marks, *marks_in_words(score)))
    walk = _Walk(score, marks, repeats_after_jump)
    walk.run()
    spoken = speak(score, tuple(walk.order), tuple(walk.turns))
    statements = page_marks(score, marks, tuple(walk.order), spoken)
    return RoadmapStudy(tuple(walk.order), spoken, statements, (*find_conflicts(score), *walk.issues))


@dataclass(slots=True)
class _Walk:
    """One walk through the score; ``order`` and ``turns`` are what came of it."""

    score: Score
    marks: tuple[RoadmapMark, ...]
    repeats_after_jump: bool | None
    order: list[int] = field(default_factory=list)
    turns: list[Turn] = field(default_factory=list)
    issues: list[Issue] = field(default_factory=list)
    passes: Counter[int] = field(default_factory=Counter)
    visits: Counter[int] = field(default_factory=Counter)
    used: Counter[tuple[int, str]] = field(default_factory=Counter)
    jump: RoadmapMark | None = None
    in_coda: bool = False
    with_repeats: bool = False
    passages: tuple[Passage, ...] = ()
    closing: dict[int, int] = field(default_factory=dict)
    opening: dict[int, tuple[int, Ending]] = field(default_factory=dict)

    def run(self) -> None:
        """Fill ``order``, ``turns`` and ``issues``."""
        count = len(self.score.measures)
        self.passages = find_passages(self.marks, find_endings(self.marks, count))
        for at, passage in enumerate(self.passages):
            self.closing |= dict.fromkeys(passage.ends, at)
            self.opening |= {ending.first: (at, ending) for ending in passage.endings}
        self._note_misprints()
        at, limit = 0, max(1, count) * MOST_PLAYED
        while at < count and len(self.order) < limit:
            skipped = self._after_skipped_ending(at)
            if skipped != at:
                at = skipped
                continue
            self.order.append(at)
            self.visits[at] += 1
            following = self._next(at)
            if following is None:
                return
            at = following

    def _note_misprints(self) -> None:
        for mark in self.marks:
            if mark.kind == "repeat-end" and not 1 <= mark.times <= MOST_TIMES:
                self._note("repeat-times", mark.measure, f"the repeat says {mark.times} times, taken as 2")

    def _note(self, slug: str, measure: int, what: str) -> None:
        number = self.score.measure_number(measure)
        issue = Issue(slug, "warning", f"Bar {number}: {what}; check it in the score.", measure=measure)
        if issue not in self.issues:
            self.issues.append(issue)

    def _pass(self, passage: int) -> int:
        """Which time through a passage this is, from 1; the last after a jump."""
        found = self.passages[passage]
        if self.jump is not None and not (self.with_repeats or found.after_jump):
            return found.times
        return self.passes[passage] + 1

    def _after_skipped_ending(self, at: int) -> int:
        """Where to go on when an ending that is not for this time begins here; ``at`` when none does."""
        if at not in self.opening:
            return at
        passage, ending = self.opening[at]
        if self._pass(passage) in ending.numbers:
            if self.order and self.order[-1] + 1 != at:
                self.turns.append(Turn(len(self.order), "ending", at, ending.numbers))
            return at
        return ending.last + 1

    def _next(self, at: int) -> int | None:
        """Where to go after playing a measure; None ends the piece."""
        coda = self._coda(at)
        if coda is not None:
            return coda
        passage = self.closing.get(at)
        if passage is not None and self._pass(passage) < self.passages[passage].times:
            return self._go_back(passage)
        if passage is not None:
            self.passes[passage] = 0
        if self._is_fine(at):
            self.turns.append(Turn(len(self.order), "fine", at))
            return None
        jump = self._due_jump(at)
        return at + 1 if jump is None else self._take(jump)

    def _go_back(self, passage: int) -> int:
        found = self.passages[passage]
        self.passes[passage] += 1
        for other, inner in enumerate(self.passages):
            if other != passage and found.first <= inner.first and inner.last <= found.last:
                self.passes[other] = 0
        self.turns.append(Turn(len(self.order), "repeat", found.first, (self.passes[passage] + 1,)))
        return found.first

    def _at(self, measure: int, *kinds: str) -> list[RoadmapMark]:
        return [m for m in self.marks if m.measure == measure and m.kind in kinds]

    def _coda(self, at: int) -> int | None:
        for mark in self._at(at, "to-coda"):
            due = self.visits[at] in mark.time_only if mark.time_only else self._coda_is_open()
            if not due:
                continue
            target = self._target("coda", mark, after=at)
            if target is None:
                self._note("coda-missing", at, "To Coda is printed, but there is no coda to go to")
                continue
            self.in_coda = True
            self.turns.append(Turn(len(self.order), "coda", target))
            return target
        return None

    def _coda_is_open(self) -> bool:
        return self.jump is not None and not self.in_coda and "fine" not in self.jump.text.lower()

    def _is_fine(self, at: int) -> bool:
        marks = self._at(at, "fine")
        if not marks:
            return False
        if any(mark.time_only for mark in marks):
            return any(self.visits[at] in mark.time_only for mark in marks)
        if self.jump is None:
            return False
        return self.in_coda or "coda" not in self.jump.text.lower()

    def _due_jump(self, at: int) -> RoadmapMark | None:
        for mark in self._at(at, "da-capo", "dal-segno"):
            done = self.used[at, mark.kind]
            wanted = [time for time in mark.time_only if time != 1]
            if wanted:
                if self.visits[at] in wanted or (1 in mark.time_only and not done):
                    return mark
            elif not done:
                return mark
        return None

    def _take(self, jump: RoadmapMark) -> int:
        self.used[jump.measure, jump.kind] += 1
        target: int | None = 0
        if jump.kind == "dal-segno":
            target = self._target("segno", jump, after=None)
        if target is None:
            self._note("segno-missing", jump.measure, "a D.S. is printed, but there is no sign to go to")
            return jump.measure + 1
        self.jump, self.in_coda = jump, False
        self.with_repeats = self._repeats_again(jump)
        self.passes.clear()
        self.turns.append(Turn(len(self.order), jump.kind, target, has_repeats=self.with_repeats))
        return target

    def _repeats_again(self, jump: RoadmapMark) -> bool:
        if self.repeats_after_jump is not None:
            return self.repeats_after_jump
        return bool(wants_repeats(jump.text))

    def _target(self, kind: str, mark: RoadmapMark, after: int | None) -> int | None:
        """Where a jump goes: the sign of its name, else the nearest fitting one."""
        signs = [m for m in self.marks if m.kind == kind and (after is None or m.measure > after)]
        named = [m for m in signs if mark.name and m.name == mark.name]
        if named:
            return named[0].measure
        if kind == "segno":
            before = [m for m in signs if m.measure <= mark.measure]
            signs = before[-1:] or signs
        return signs[0].measure if signs else None
