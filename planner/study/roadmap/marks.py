"""Which marks stand on the page once the parts' pages are laid together, and where the pages disagree."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

from planner.core.issue import Issue, Value, valued
from planner.core.score import MarkKind, RoadmapMark, Score
from planner.study.roadmap.jump_words import is_endless, leads_to, names_fine, stops_at_sign

MOST_TIMES = 20
"""A passage played more often than this is taken for a misprint. House choice."""

LATE_MEASURES = 1
"""How many bars jump words may stand before the bar line they belong to. House choice."""

JUMPS = ("da-capo", "dal-segno")
_OPENING = ("repeat-start", "ending-start", "segno", "coda")


def merged_marks(marks: Iterable[RoadmapMark], movements: Collection[int] = ()) -> tuple[RoadmapMark, ...]:
    """The marks of all pages as one list, each once, in order of place; opening marks first in a measure.

    Args:
        marks: Those of all parts.
        movements: First measures of movements, which no mark is moved over.
    """
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
    return _with_late_jumps(_with_sign_to_stop_at(_with_to_coda(_with_whole_words(ordered))), movements)


def _with_whole_words(marks: Sequence[RoadmapMark]) -> tuple[RoadmapMark, ...]:
    """Jump words that the file keeps in two pieces, "D.C." and "al Coda", as one mark."""
    goes_on = {
        mark.measure: mark.text
        for mark in marks
        if mark.kind == "to-coda" and mark.text.casefold().startswith(("al ", "alla "))
    }
    split = {mark.measure for mark in marks if mark.kind in JUMPS and mark.measure in goes_on}
    return tuple(
        replace(mark, text=f"{mark.text} {goes_on[mark.measure]}".strip())
        if mark.kind in JUMPS and mark.measure in split and not leads_to(mark.text)
        else mark
        for mark in marks
        if not (mark.kind == "to-coda" and mark.measure in split and mark.text == goes_on[mark.measure])
    )


def _with_sign_to_stop_at(marks: tuple[RoadmapMark, ...]) -> tuple[RoadmapMark, ...]:
    """After "D.C. al segno" the bar before the sign is the last: there the coda is taken, or it is the end.

    Source: common practice of the 18th and 19th centuries ("D.C. al segno, poi la coda"), from memory.
    """
    added: list[RoadmapMark] = []
    kinds = {mark.kind for mark in marks}
    for jump in marks:
        if jump.kind != "da-capo" or not stops_at_sign(jump.text) or kinds & {"to-coda", "fine"}:
            continue
        signs = [mark for mark in marks if mark.kind == "segno" and 0 < mark.measure < jump.measure]
        has_coda = any(mark.kind == "coda" and mark.measure > jump.measure for mark in marks)
        if signs and (has_coda or not is_endless(jump.text)):
            kind: MarkKind = "to-coda" if has_coda else "fine"
            added.append(RoadmapMark(kind, signs[0].measure - 1, implied=True))
    return tuple(sorted((*marks, *added), key=lambda mark: mark.measure)) if added else marks


def _with_late_jumps(marks: tuple[RoadmapMark, ...], movements: Collection[int]) -> tuple[RoadmapMark, ...]:
    """Jump words that begin a bar before a closing repeat bar hold at that bar, where they end.

    Such words are set flush with the end of the line, so they often start early (common engraving).
    """
    closings = [mark.measure for mark in marks if mark.kind == "repeat-end"]
    opened = [mark.measure for mark in marks if mark.kind in ("repeat-start", "ending-start")]
    opened += movements
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
    """Where movements begin: at the first measure, and wherever the numbering starts again from 0 or 1.

    A lone 0, as the second half of a split bar has in some files, starts nothing: the numbers have to go on
    from there.
    """
    numbered = [(m.index, int(m.number)) for m in score.measures if m.number.isdecimal()]
    starts, before = [0], 0
    for at, (index, number) in enumerate(numbered):
        following = numbered[at + 1][1] if at + 1 < len(numbered) else number
        if index and number <= 1 < before and following <= number + 1:
            starts.append(index)
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
    found: dict[tuple[tuple[str, Value], ...], list[int]] = {}
    for (measure, kind, _), marks in sorted(places.items(), key=lambda item: item[0]):
        difference = _difference(score, kind, marks)
        if difference:
            found.setdefault(difference, []).append(measure)
    return tuple(
        Issue(
            "roadmap-differs", "warning", measure=measures[0],
            values=(*difference, *(("measure", measure) for measure in measures)),
        )
        for difference, measures in found.items()
    )  # fmt: skip


def _difference(score: Score, kind: str, marks: Sequence[RoadmapMark]) -> tuple[tuple[str, Value], ...]:
    """The mark, and the parts that alone have it (``part``), if it is not that all have it differently."""
    if len({(mark.times, mark.after_jump, mark.time_only) for mark in marks}) > 1:
        return valued(mark=kind)
    parts = sorted({mark.part for mark in marks})
    is_bar_mark = kind.startswith(("repeat", "ending"))
    if is_for_all(score, parts) or kind == "ending-stop" or (not is_bar_mark and len(parts) == 1):
        return ()
    have = [score.parts[part].name for part in parts if part < len(score.parts)]
    return (*valued(mark=kind, parts=len(score.parts)), *(("part", name) for name in have))


def find_loose_ends(marks: Sequence[RoadmapMark]) -> tuple[Issue, ...]:
    """Marks that lead nowhere: an unclosed repeat, a jump to a Fine or coda that is not there."""
    kinds = {mark.kind for mark in marks}
    closings = [mark.measure for mark in marks if mark.kind == "repeat-end"]
    issues = []
    for mark in marks:
        fault = ""
        if mark.kind == "repeat-start" and not mark.implied and not any(c >= mark.measure for c in closings):
            fault = "never-closes"
        elif mark.kind == "repeat-end" and not 1 <= mark.times <= MOST_TIMES:
            fault = "absurd-times"
        elif (
            mark.kind in JUMPS
            and names_fine(mark.text)
            and leads_to(mark.text) == "fine"
            and "fine" not in kinds
        ):
            fault = "no-fine"
        elif mark.kind in JUMPS and leads_to(mark.text) == "coda" and "to-coda" not in kinds:
            fault = "no-to-coda"
        if fault:
            values = valued(fault=fault, text=mark.text, times=mark.times)
            issues.append(Issue("roadmap-loose-end", "warning", measure=mark.measure, values=values))
    return tuple(issues)


def find_unplayed(score: Score, order: Sequence[int]) -> tuple[Issue, ...]:
    """The written bars that the roadmap never reaches, as one issue; ``measure`` is the first of them."""
    played = set(order)
    left = [measure.index for measure in score.measures if measure.index not in played]
    if not left:
        return ()
    values = tuple(("measure", measure) for measure in left)
    return (Issue("bars-unplayed", "warning", measure=left[0], values=values),)
