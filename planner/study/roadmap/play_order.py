"""In which order the written measures are played.

Source: MusicXML 4.0, elements ``sound``, ``repeat`` and ``ending`` (W3C Music
Notation Community Group): D.C. and D.S. hold the first time, To Coda the second
time, unless ``time-only`` says otherwise. Repeats and first endings are not
taken again after a jump (common practice), unless ``after-jump`` or the words ask for it.
"""

from dataclasses import dataclass, replace

from planner.core.fact import Fact
from planner.core.issue import Issue
from planner.core.profile import Roadmap
from planner.core.score import Score
from planner.study.roadmap.marks import (
    find_conflicts,
    find_loose_ends,
    find_unplayed,
    merged_marks,
    movement_starts,
)
from planner.study.roadmap.pages import roadmap_facts
from planner.study.roadmap.walk import Walk


@dataclass(frozen=True, slots=True)
class RoadmapStudy:
    """The roadmap, facts about it for readers, and oddities of the pages."""

    roadmap: Roadmap
    facts: tuple[Fact, ...] = ()
    issues: tuple[Issue, ...] = ()

    @property
    def play_order(self) -> tuple[int, ...]:
        """Written measures in the order played."""
        return self.roadmap.play_order


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
    known = tuple(mark for mark in score.marks if 0 <= mark.measure < len(score.measures))
    score = score if len(known) == len(score.marks) else replace(score, marks=known)
    marks = merged_marks(known, movement_starts(score))
    walk = Walk(score, marks, repeats_after_jump)
    walk.run()
    order = tuple(walk.order)
    issues = (*find_conflicts(score), *find_loose_ends(marks), *walk.issues, *find_unplayed(score, order))
    other = Walk(score, marks, repeats_after_jump=True)
    other.run()
    with_repeats = () if tuple(other.order) == order else tuple(other.order)
    roadmap = Roadmap(order, tuple(walk.turns), with_repeats, marks)
    return RoadmapStudy(roadmap, roadmap_facts(score, marks, order), issues)
