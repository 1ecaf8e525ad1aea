"""Walking through a score as a player would, mark by mark."""

from bisect import bisect_right
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from planner.core.issue import Issue, Value
from planner.core.profile import RoadmapTurn, TurnKind
from planner.core.score import RoadmapMark, Score
from planner.study.roadmap.jump_words import (
    leads_to,
    names_second_sign,
    opens_trio,
    section_named,
    wants_repeats,
)
from planner.study.roadmap.marks import JUMPS, LATE_MEASURES, movement_starts
from planner.study.roadmap.passages import Ending, Passage, find_passages, missing_repeats

MOST_PLAYED = 40
"""No walk plays more than this many times the written measures. House choice, against misprints."""


@dataclass(slots=True)
class Walk:
    """One walk through a score; ``order``, ``turns`` and ``issues`` are what came of it.

    Attributes:
        score, marks: The score and the marks of all its pages together.
        repeats_after_jump: Take repeats again after a jump; None decides by the page.
        order: Measures in the order played.
        turns: Where play leaves the page order.
        issues: Jumps that lead nowhere.
        passages: The repeated passages.
        movements: First measures of the movements; jumps stay within theirs.
        passes: For each passage, how often it has gone back since the last jump.
        visits: For each measure, how often it has been played.
        used: Jumps and codas taken, by measure and kind.
        jump: The last jump taken.
        in_coda: The coda of that jump has been reached.
        close: Where play ends after a D.C. that names no Fine: before the trio; None when it plays on.
    """

    score: Score
    marks: Sequence[RoadmapMark]
    repeats_after_jump: bool | None = None
    order: list[int] = field(default_factory=list)
    turns: list[RoadmapTurn] = field(default_factory=list)
    issues: list[Issue] = field(default_factory=list)
    passages: tuple[Passage, ...] = ()
    passes: Counter[int] = field(default_factory=Counter)
    visits: Counter[int] = field(default_factory=Counter)
    used: Counter[tuple[int, str]] = field(default_factory=Counter)
    jump: RoadmapMark | None = None
    in_coda: bool = False
    close: int | None = None
    movements: tuple[int, ...] = (0,)
    _closing: dict[int, int] = field(default_factory=dict)
    _opening: dict[int, tuple[int, Ending]] = field(default_factory=dict)
    _by_measure: dict[int, list[RoadmapMark]] = field(default_factory=dict)

    def run(self) -> None:
        """Fill ``order``, ``turns`` and ``issues``."""
        count = len(self.score.measures)
        self.movements = movement_starts(self.score)
        missing = missing_repeats(self.marks, count, self.movements)
        marks = sorted((*self.marks, *missing), key=lambda mark: mark.measure)
        borders = sorted({*self.movements, *self._after_closed_sections()})
        self.passages = find_passages(marks, count, borders, self._after_final_bars())
        for mark in missing:
            first = next((each.first for each in self.passages if mark.measure in each.ends), mark.measure)
            self._add_issue("repeat-missing", mark.measure, target_measure=first)
        for number, passage in enumerate(self.passages):
            self._closing |= dict.fromkeys(passage.ends, number)
            self._opening |= {ending.first: (number, ending) for ending in passage.endings}
        for mark in marks:
            self._by_measure.setdefault(mark.measure, []).append(mark)
        at: int | None = 0
        while at is not None and at < count and len(self.order) < count * MOST_PLAYED:
            if at in self.movements and self.order:
                self._begin_movement(at)
            skipped = self._after_skipped_ending(at)
            if skipped != at:
                at = skipped
                continue
            self.order.append(at)
            self.visits[at] += 1
            at = self._next(at) if at in self._by_measure or at == self.close else at + 1
        self._note_repeats()

    def _after_final_bars(self) -> list[int]:
        """Measures that follow a final bar line without a repeat."""
        closed = {mark.measure for mark in self.marks if mark.kind == "repeat-end"}
        return [
            measure.index + 1
            for measure in self.score.measures
            if measure.right_bar == "light-heavy" and measure.index not in closed
        ]

    def _after_closed_sections(self) -> list[int]:
        """Measures after a D.C. with a double bar or a new meter: no repeat goes back beyond them."""
        measures = self.score.measures
        found: list[int] = []
        for mark in self.marks:
            if mark.kind != "da-capo" or mark.time_only:
                continue
            for after in measures[mark.measure + 1 : mark.measure + 2 + LATE_MEASURES]:
                style = measures[after.index - 1].right_bar
                if style in ("light-light", "light-heavy") or after.time_changes:
                    found.append(after.index)
                    break
        return found

    def _begin_movement(self, at: int) -> None:
        """Forget the jumps of the movement before, when play comes into a new one."""
        if self._movement(self.order[-1])[0] != at:
            self.jump, self.close, self.in_coda = None, None, False
            self.passes.clear()

    def _movement(self, measure: int) -> tuple[int, int]:
        """First measure of the movement a measure is in, and the first one after it."""
        after = bisect_right(self.movements, measure)
        end = self.movements[after] if after < len(self.movements) else len(self.score.measures)
        return self.movements[after - 1], end

    def _note_repeats(self) -> None:
        """Note at each jump whether the repeats met after it are taken."""
        for place, turn in enumerate(self.turns):
            if turn.kind not in JUMPS:
                continue
            ends = (*JUMPS, "fine", "close")
            stop = next((t.at for t in self.turns[place + 1 :] if t.kind in ends), len(self.order))
            met = [at for at in self.order[turn.at : stop] if at in self._closing]
            if met:
                again = any(t.kind == "repeat" and turn.at <= t.at <= stop for t in self.turns[place + 1 :])
                self.turns[place] = replace(turn, takes_repeats=again)

    def _pass(self, at: int) -> int:
        """Which time through a passage this is, from 1; the last after a jump."""
        passage = self.passages[at]
        if self.jump is None or passage.after_jump or self._repeats_again(self.jump):
            return min(self.passes[at] + 1, passage.times)
        return self._last_pass(passage)

    def _last_pass(self, passage: Passage) -> int:
        """Which time is played when repeats are not taken.

        The last, or the one with the earlier ending in which the Fine or To Coda stands.
        """
        goals = {"fine"} if self._stops_at_fine() else set()
        if self._leaves_for_coda():
            goals.add("to-coda")
        wanted = {mark.measure for mark in self.marks if mark.kind in goals}
        for ending in reversed(passage.endings):
            if any(ending.first <= measure <= ending.last for measure in wanted):
                return max(ending.numbers)
        return passage.times

    def _repeats_again(self, jump: RoadmapMark) -> bool:
        if self.repeats_after_jump is not None:
            return self.repeats_after_jump
        return bool(wants_repeats(jump.text))

    def _after_skipped_ending(self, at: int) -> int:
        """Where to go on when an ending that is not for this time begins here; ``at`` when none does."""
        if at not in self._opening:
            return at
        number, ending = self._opening[at]
        if self._pass(number) in ending.numbers:
            if self.order and self.order[-1] + 1 != at:
                self.turns.append(RoadmapTurn(len(self.order), "ending", at, ending.numbers, ending.last))
            return at
        return ending.last + 1

    def _next(self, at: int) -> int | None:
        """Where to go after playing a measure with marks; None ends the piece."""
        coda = self._coda(at)
        if coda is not None:
            return coda
        number = self._closing.get(at)
        if number is not None and self._pass(number) < self._times(number):
            return self._go_back(number)
        if self._is_fine(at) or at == self.close:
            self.turns.append(RoadmapTurn(len(self.order), self._kind_of_end(at), at))
            return self._after_the_end(at)
        jump = self._due_jump(at)
        return at + 1 if jump is None else self._take(jump)

    def _kind_of_end(self, at: int) -> TurnKind:
        """A Fine that is printed, or an end that is only meant."""
        is_printed = at != self.close and not all(mark.implied for mark in self._at(at, "fine"))
        return "fine" if is_printed else "close"

    def _after_the_end(self, at: int) -> int:
        """Where play goes on after a Fine, or the end before a trio: with what the jump left behind.

        Music after a "D.C. al Fine" is one more episode (A B A C A), a coda, or the next movement; it is
        played when the Fine is reached. Source: common practice of the rondeau and of dance suites.
        """
        end = self._movement(at)[1]
        if self.jump is None:
            return end
        onward = next((m for m in range(self.jump.measure + 1, end) if not self.visits[m]), None)
        if onward is None or self._is_only_a_coda(onward) or not self._has_music(onward, end):
            return end
        if at != self.close and leads_to(self.jump.text) == "fine":
            self._add_issue("music-after-fine", self.jump.measure, text=self.jump.text, onward_measure=onward)
        self.jump, self.close, self.in_coda = None, None, False
        self.passes.clear()
        return onward

    def _has_music(self, first: int, end: int) -> bool:
        """Whether anything sounds there: some files keep an empty bar after the last one, to hold a sign."""
        struck = [note.measure for part in self.score.parts for note in part.notes if note.is_struck]
        return not struck or any(first <= measure < end for measure in struck)

    def _is_only_a_coda(self, measure: int) -> bool:
        """Whether a coda begins here that a To Coda leads to, and no other way."""
        return bool(self._at(measure, "coda")) and any(mark.kind == "to-coda" for mark in self.marks)

    def _times(self, number: int) -> int:
        passage = self.passages[number]
        if self.jump is None or passage.after_jump or self._repeats_again(self.jump):
            return passage.times
        return self._last_pass(passage)

    def _go_back(self, number: int) -> int:
        passage = self.passages[number]
        self.passes[number] += 1
        for other, inner in enumerate(self.passages):
            if other != number and passage.first <= inner.first and inner.last <= passage.last:
                self.passes[other] = 0
        self.turns.append(RoadmapTurn(len(self.order), "repeat", passage.first, (self.passes[number] + 1,)))
        return passage.first

    def _at(self, measure: int, *kinds: str) -> list[RoadmapMark]:
        return [mark for mark in self._by_measure.get(measure, ()) if mark.kind in kinds]

    def _coda(self, at: int) -> int | None:
        for mark in self._at(at, "to-coda"):
            due = self.visits[at] in mark.time_only if mark.time_only else self._is_time_for_coda(mark)
            if not due:
                continue
            target = self._target("coda", mark)
            if target is None:
                self._add_issue("coda-missing", at)
                continue
            self.in_coda = True
            self.used[at, "to-coda"] += 1
            self.turns.append(RoadmapTurn(len(self.order), "coda", target))
            return target
        return None

    def _is_time_for_coda(self, mark: RoadmapMark) -> bool:
        if self.used[mark.measure, "to-coda"]:
            return False
        if not any(other.kind in JUMPS for other in self.marks):
            return self.visits[mark.measure] == 2
        return self._leaves_for_coda()

    def _leaves_for_coda(self) -> bool:
        return self.jump is not None and not self.in_coda and leads_to(self.jump.text) != "fine"

    def _stops_at_fine(self) -> bool:
        return self.jump is not None and (self.in_coda or leads_to(self.jump.text) != "coda")

    def _is_fine(self, at: int) -> bool:
        marks = self._at(at, "fine")
        if any(mark.time_only for mark in marks):
            return any(self.visits[at] in mark.time_only for mark in marks)
        return bool(marks) and self._stops_at_fine()

    def _due_jump(self, at: int) -> RoadmapMark | None:
        """A jump to take now: once, or on the times it names (1 is the usual first time, repeats done)."""
        for mark in self._at(at, *JUMPS):
            done = self.used[at, mark.kind]
            named = [time for time in mark.time_only if time != 1]
            if named and self.visits[at] in named and done < len(mark.time_only):
                return mark
            if not done and (not named or 1 in mark.time_only) and not self._is_the_repeat(mark):
                return mark
        return None

    def _is_the_repeat(self, jump: RoadmapMark) -> bool:
        """Whether a D.C. or D.S. says the same as the repeat bar it stands at: back to there, and once more.

        Songs of several verses have both; with a Fine or To Coda on the way the jump asks for something else.
        """
        number = self._closing.get(jump.measure)
        if number is None or leads_to(jump.text):
            return False
        target = self._top(jump) if jump.kind == "da-capo" else self._target("segno", jump)
        first = self.passages[number].first
        if target is None or not all(self.score.measures[at].implicit for at in range(target, first)):
            return False
        goals = [m.measure for m in self.marks if m.kind in ("fine", "to-coda")]
        return target <= first and not any(target <= goal < jump.measure for goal in goals)

    def _take(self, jump: RoadmapMark) -> int:
        self.used[jump.measure, jump.kind] += 1
        target = self._top(jump) if jump.kind == "da-capo" else self._target("segno", jump)
        if target is None:
            self._add_issue("segno-missing", jump.measure)
            return jump.measure + 1
        self.jump, self.in_coda = jump, False
        self.close = self._close_of(jump, target)
        self.passes.clear()
        kind: TurnKind = "da-capo" if jump.kind == "da-capo" else "dal-segno"
        self.turns.append(RoadmapTurn(len(self.order), kind, target))
        return target

    def _top(self, jump: RoadmapMark) -> int:
        """Where a D.C. goes: to the section that it names, else to the beginning of the movement."""
        start = self._movement(jump.measure)[0]
        section = section_named(jump.text)
        heading = find_heading(self.score, section, start, jump.measure) if section else None
        return start if heading is None else heading

    def _close_of(self, jump: RoadmapMark, first: int) -> int | None:
        """Where a D.C. without any Fine ends: before a named trio, or at the end of a named minuet."""
        end = self._movement(jump.measure)[1]
        has_fine = any(mark.kind == "fine" and first <= mark.measure < end for mark in self.marks)
        if jump.kind != "da-capo" or has_fine or leads_to(jump.text):
            return None
        trio = find_trio(self.score, first, jump.measure)
        close = None if trio is None else trio - 1
        if close is None and section_named(jump.text):
            ends = sorted(
                {p.last for p in self.passages if p.ends and first <= p.first and p.last <= jump.measure}
            )
            close = ends[len(ends) // 2 - 1] if len(ends) >= 4 and len(ends) % 2 == 0 else None
        if close is not None:
            self._add_issue("fine-missing", jump.measure, text=jump.text, end_measure=close)
        return close

    def _target(self, kind: str, mark: RoadmapMark) -> int | None:
        """Where a jump goes: the sign of its name, else see ``_signs_for``; for a coda the next one on."""
        first, end = self._movement(mark.measure)
        signs = [m for m in self.marks if m.kind == kind and first <= m.measure < end]
        for sign in signs:
            if mark.name and sign.name == mark.name:
                return sign.measure
        if kind == "segno":
            signs = self._signs_for(mark, signs)
        else:
            signs = [m for m in signs if m.measure > mark.measure]
        return signs[0].measure if signs else None

    def _signs_for(self, jump: RoadmapMark, signs: list[RoadmapMark]) -> list[RoadmapMark]:
        """The signs a D.S. may mean, the likeliest first: D.S.S. the second one, else the nearest one back.

        A sign in the bar of the D.S. itself stands beside its words, or ends "from sign to sign".
        """
        if names_second_sign(jump.text):
            return signs[1:] or signs
        if any(names_second_sign(mark.text) for mark in self.marks):
            return signs
        before = [m for m in signs if m.measure < jump.measure] or [
            m for m in signs if m.measure == jump.measure
        ]
        return before[-1:] or signs

    def _add_issue(self, slug: str, measure: int, **values: Value) -> None:
        issue = Issue(slug, "warning", measure=measure, values=tuple(values.items()))
        if issue not in self.issues:
            self.issues.append(issue)


def find_trio(score: Score, after: int, before: int) -> int | None:
    """Measure where words open a trio, between two measures; None without one."""
    return min((at for at, text in _headings(score, after, before) if opens_trio(text)), default=None)


def find_heading(score: Score, section: str, after: int, before: int) -> int | None:
    """Measure where the words of a section stand, such as a minuet's, between two measures; None without.

    Words over the first full bar hold from the upbeat on.
    """
    found = max(
        (at for at, text in _headings(score, after, before) if section_named(text) == section), default=None
    )
    if found is not None and score.measures[found - 1].implicit:
        return found - 1
    return found


def _headings(score: Score, after: int, before: int) -> Iterator[tuple[int, str]]:
    """Words that may open a section, between two measures, with where they stand."""
    places = [(mark.measure, mark.text) for mark in score.tempos]
    places += [(words.measure, words.text) for part in score.parts for words in part.words]
    places += [(measure.index, measure.rehearsal) for measure in score.measures]
    return ((at, text) for at, text in places if text and after < at < before)
