"""Which bars have no number on the page, and what they are to the bars around them."""

import re
from collections.abc import Sequence

from planner.core.profile import UnnumberedBar, UnnumberedKind
from planner.core.score import Measure, Score

_PRINTED = re.compile(r"\d+")
_DOUBLE = frozenset({"light-light", "light-heavy", "heavy-light", "heavy-heavy"})
"""Bar lines of two strokes. Source: MusicXML 4.0, bar-style."""


_FINAL = "light-heavy"
_CLOSES = frozenset({"repeat-end", "ending-start", "ending-stop", "da-capo", "dal-segno", "fine"})
"""Marks of a bar that belongs to what comes before it: none leads as an upbeat to the next number.

Source: common practice: at the repeat sign the upbeat of the beginning completes the last bar.
"""


def unnumbered_bars(score: Score) -> tuple[UnnumberedBar, ...]:
    """The bars that a player cannot find by a number of their own, in order.

    They are those that the file does not count, those whose number is none ("X1", "12a"), a first bar
    with the number 0 that is shorter than its meter, and the second of two short bars with the same number.

    Example:
        >>> unnumbered_bars(Score("Empty", (), ()))
        ()
    """
    measures = score.measures
    lacking = [_lacks_number(measures, at) for at in range(len(measures))]
    first = lacking.index(False) if False in lacking else len(lacking)
    last = len(lacking) - lacking[::-1].index(False) - 1 if False in lacking else -1
    doubled = {at for at, measure in enumerate(measures) if measure.right_bar in _DOUBLE}
    doubled |= {mark.measure for mark in score.marks if mark.kind == "repeat-end"}
    doubled |= {mark.measure - 1 for mark in score.marks if mark.kind == "repeat-start"}
    closing = {mark.measure for mark in score.marks if mark.kind in _CLOSES}
    closing |= {at for at, measure in enumerate(measures) if measure.right_bar == _FINAL}

    def kind(at: int) -> UnnumberedKind:
        leads_on = at < last and at not in closing
        return _kind(measures, at, has_before=at > first, leads_on=leads_on, is_new=at - 1 in doubled)

    return tuple(UnnumberedBar(at, kind(at), at - 1 in doubled) for at, lacks in enumerate(lacking) if lacks)


def _lacks_number(measures: Sequence[Measure], at: int) -> bool:
    measure = measures[at]
    if measure.implicit or not _PRINTED.fullmatch(measure.number):
        return True
    return (
        at > 0
        and measures[at - 1].number == measure.number
        and _is_short(measures[at - 1])
        and _is_short(measure)
    )


def _is_short(measure: Measure) -> bool:
    return 0 < measure.length_quarters < measure.time.length_quarters


def _kind(
    measures: Sequence[Measure], at: int, *, has_before: bool, leads_on: bool, is_new: bool
) -> UnnumberedKind:
    """What an unnumbered bar is; ``leads_on`` where it can be an upbeat, ``is_new`` after a double bar."""
    measure = measures[at]
    if not _is_short(measure):
        return "extra"
    if not has_before:
        return "pickup" if at == 0 else "upbeat" if leads_on else "extra"
    before = measures[at - 1]
    completes = _is_short(before) and (
        before.length_quarters + measure.length_quarters <= before.time.length_quarters
    )
    if completes and not (is_new and leads_on):
        return "rest"
    return "upbeat" if leads_on else "extra"
