"""Which marks stand on the page once the parts' pages are laid together, and where the pages disagree."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from planner.core.issue import Issue
from planner.core.score import MarkKind, RoadmapMark, Score
from planner.study.roadmap.jump_words import leads_to
from planner.study.statements import bar_list, capital

MOST_TIMES = 20
"""A passage played more often than this is taken for a misprint. House choice."""

LATE_MEASURES = 1
"""How many bars jump words may stand before the bar line they belong to. House choice."""

JUMPS = ("da-capo", "dal-segno")
_OPENING = ("repeat-start", "ending-start", "segno", "coda")

MARK_NAMES: dict[str, str] = {
    "repeat-start": "opening repeat bar",
    "repeat-end": "closing repeat bar",
    "ending-start": "ending",
    "ending-stop": "end of an ending",
    "segno": "sign",
    "coda": "coda sign",
    "to-coda": "To Coda",
    "fine": "Fine",
    "da-capo": "D.C.",
    "dal-segno": "D.S.",
}
"""What a mark is called in a sentence."""


def merged_marks(marks: Iterable[RoadmapMark]) -> tuple[RoadmapMark, ...]:
    """The marks of all pages as one list, each once, in order of place; opening marks first in a measure."""
    best: dict[tuple[MarkKind, int, tuple[int, ...], str], RoadmapMark] = {}
    for mark in marks:
        name = mark.name if mark.kind in ("segno", "coda") else ""
        key = (mark.kind, mark.measure, mark.numbers, name)
        known = best.get(key)
        if known is None or _detail(mark) > _detail(known):
            best[key] = mark
    ordered = sorted(
        best.values(), key=lambda m: (m.measure, m.kind not in _OPENING, m.kind, m.numbers, m.name)
    )
    return _with_late_jumps(_with_to_coda(tuple(ordered)))


def _with_late_jumps(marks: tuple[RoadmapMark, ...]) -> tuple[RoadmapMark, ...]:
    """Jump words that begin a bar before a closing repeat bar hold at that bar, where they end.

    Such words are set flush with the end of the line, so they often start early (common engraving).
    """
    closings = [mark.measure for mark in marks if mark.kind == "repeat-end"]
    opened = [mark.measure for mark in marks if mark.kind in ("repeat-start", "ending-start")]
    moved = []
    for mark in marks:
        later = [end for end in closings if mark.measure < end <= mark.measure + LATE_MEASURES]
        if mark.kind in JUMPS and not mark.time_only and later and mark.measure not in closings:
            between = any(mark.measure < start <= later[0] for start in opened)
            mark = mark if between else replace(mark, measure=later[0])
        moved.append(mark)
    return tuple(sorted(moved, key=lambda m: m.measure))


def _detail(mark: RoadmapMark) -> tuple[int, bool, bool, int]:
    return (mark.times, bool(mark.name), bool(mark.time_only), len(mark.text))


def _with_to_coda(marks: tuple[RoadmapMark, ...]) -> tuple[RoadmapMark, ...]:
    """Where a coda sign alone stands for "To Coda": two signs of which the first comes before a jump."""
    signs = [mark for mark in marks if mark.kind == "coda"]
    jumps = [mark.measure for mark in marks if mark.kind in JUMPS]
    if any(mark.kind == "to-coda" for mark in marks) or len(signs) < 2 or not jumps:
        return marks
    first = signs[0]
    if first.measure > max(jumps):
        return marks
    return tuple(replace(mark, kind="to-coda") if mark is first else mark for mark in marks)


def movement_starts(score: Score) -> tuple[int, ...]:
    """Where movements begin: at the first measure, and wherever the numbering starts again from 0 or 1."""
    starts, before = [0], 0
    for measure in score.measures[1:]:
        if not measure.number.isdecimal():
            continue
        number = int(measure.number)
        if number <= 1 < before:
            starts.append(measure.index)
        before = number
    return tuple(starts)


def is_for_all(score: Score, parts: Iterable[int]) -> bool:
    """Whether a mark on these parts' pages is meant for everyone.

    It is when every part has it, or the top part alone: scores print system marks once, over the top staff.
    """
    held = set(parts)
    return -1 in held or held == {0} or len(held) == len(score.parts)


def find_conflicts(score: Score) -> tuple[Issue, ...]:
    """Marks that some parts' pages have and others lack, or have with another count.

    A jump word or sign in a single part is taken for one printed over the top of its group.
    """
    places: dict[tuple[int, str, tuple[int, ...]], list[RoadmapMark]] = {}
    for mark in score.marks:
        places.setdefault((mark.measure, mark.kind, mark.numbers), []).append(mark)
    told: dict[str, list[int]] = {}
    for (measure, kind, _), marks in sorted(places.items(), key=lambda item: item[0]):
        what = _difference(score, kind, marks)
        if what:
            told.setdefault(what, []).append(measure)
    return tuple(
        Issue(
            "roadmap-differs",
            "warning",
            f"{capital(bar_list(score, measures))}: {what}; compare the parts and mark them alike.",
            measure=measures[0],
        )
        for what, measures in told.items()
    )


def _difference(score: Score, kind: str, marks: Sequence[RoadmapMark]) -> str:
    name = MARK_NAMES[kind]
    if len({(mark.times, mark.after_jump, mark.time_only) for mark in marks}) > 1:
        return f"the {name} does not say the same in all parts (the longer way is counted)"
    parts = sorted({mark.part for mark in marks})
    is_bar_mark = kind.startswith(("repeat", "ending"))
    if is_for_all(score, parts) or kind == "ending-stop" or (not is_bar_mark and len(parts) == 1):
        return ""
    have = [score.parts[part].name for part in parts if part < len(score.parts)]
    named = ", ".join(have) if len(have) <= 3 else f"{len(have)} of {len(score.parts)} parts"
    return f"the {name} stands only in {named}, and is taken to hold for everyone"


def find_loose_ends(score: Score, marks: Sequence[RoadmapMark]) -> tuple[Issue, ...]:
    """Marks that lead nowhere: an unclosed repeat, a jump to a Fine or coda that is not there."""
    kinds = {mark.kind for mark in marks}
    closings = [mark.measure for mark in marks if mark.kind == "repeat-end"]
    issues = []
    for mark in marks:
        what = ""
        if mark.kind == "repeat-start" and not mark.implied and not any(c >= mark.measure for c in closings):
            what = "a repeat opens here and never closes"
        elif mark.kind == "repeat-end" and not 1 <= mark.times <= MOST_TIMES:
            what = f"the repeat says {mark.times} times, which is taken as 2"
        elif mark.kind in JUMPS and leads_to(mark.text) == "fine" and "fine" not in kinds:
            what = f"{mark.text} is printed, but there is no Fine, so it is played to the end"
        elif mark.kind in JUMPS and leads_to(mark.text) == "coda" and "to-coda" not in kinds:
            what = f"{mark.text} is printed, but nothing says where to leave for the coda"
        if what:
            sentence = f"Bar {score.measure_number(mark.measure)}: {what}; check it in the score."
            issues.append(Issue("roadmap-loose-end", "warning", sentence, measure=mark.measure))
    return tuple(issues)
