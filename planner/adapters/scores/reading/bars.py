"""The written bars of the score: how many, how numbered, how long, in which time.

Parts are laid side by side by position: MusicXML gives every part every bar.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from fractions import Fraction

from lxml import etree

from planner.adapters.scores.reading.draft import Clock, PartDraft
from planner.core.issue import Issue, valued
from planner.core.score import Measure, TimeSignature

_COMMON = TimeSignature((((4,), 4),))
_FREE = TimeSignature((), "free")
_LIKE_BARS = 0.6
"""Share of bars of one length from which a missing signature is taken. Source: house choice."""

Signatures = dict[int, tuple[TimeSignature, bool]]


def measures_of(
    drafts: Sequence[PartDraft], elements: Sequence[etree._Element], clock: Clock, issues: list[Issue]
) -> tuple[Measure, ...]:
    """The written measures; the longest part says how many there are and how they are numbered.

    Args:
        drafts: The parts as walked.
        elements: Their ``part`` elements, in the same order.
        clock: The score's clock.
        issues: What is odd is added here (or to the draft it concerns).
    """
    counts = [len(draft.lengths) for draft in drafts]
    longest = counts.index(max(counts))
    for draft, count in zip(drafts, counts, strict=True):
        if count < counts[longest]:
            values = valued(bars=count, longest=drafts[longest].name, longest_bars=counts[longest])
            issues.append(Issue("parts-uneven", "warning", draft.name, count, values))
    times = _signatures(drafts, clock, issues)
    if counts[longest] and 0 not in times:
        times[0] = (_assumed(drafts, clock, min(times, default=counts[longest]), issues), False)
    measures: list[Measure] = []
    start = Fraction(0)
    for index, element in enumerate(elements[longest].iterchildren("measure")):
        measure = _measure(index, element, start, drafts, times, clock, measures)
        measures.append(measure)
        start += measure.length_quarters
    return tuple(measures)


def _measure(
    index: int,
    element: etree._Element,
    start: Fraction,
    drafts: Sequence[PartDraft],
    times: Signatures,
    clock: Clock,
    before: list[Measure],
) -> Measure:
    signature, printed = times.get(index) or (before[-1].time, False)
    number = element.get("number", "") or str(index + 1)
    length = _length(drafts, index, signature, clock, number)
    is_bar_0 = index == 0 and number == "0"
    return Measure(
        index, number, start, length, signature, printed,
        _first(d.right_bars.get(index, "") for d in drafts),
        _first(d.rehearsals.get(index, "") for d in drafts),
        not _is_full(length, signature) if is_bar_0 else element.get("implicit") == "yes",
        any(index in d.fermatas for d in drafts),
    )  # fmt: skip


def _is_full(length: Fraction, signature: TimeSignature) -> bool:
    """Whether a measure fills its signature: then it is played as a bar, though its number is 0."""
    return 0 < signature.length_quarters <= length


def _first(texts: Iterable[str]) -> str:
    return next((text for text in texts if text), "")


def _signatures(drafts: Sequence[PartDraft], clock: Clock, issues: list[Issue]) -> Signatures:
    """Signatures by measure, and whether printed: those of most parts, of the first on a tie.

    A part without a new signature where others have one speaks for its old one only if its bar is as long
    as that; else its page is taken to lack the new one.
    """
    changes = [{change.measure: change for change in draft.times} for draft in drafts]
    in_force: list[TimeSignature | None] = [None] * len(drafts)
    found: Signatures = {}
    for measure in sorted({measure for each in changes for measure in each}):
        stated = [
            (draft, each[measure]) for draft, each in zip(drafts, changes, strict=True) if measure in each
        ]
        new = {change.time.length_quarters for _, change in stated}
        votes = Counter(change.time for _, change in stated)
        for at, (draft, each) in enumerate(zip(drafts, changes, strict=True)):
            old = in_force[at]
            if measure in each:
                in_force[at] = each[measure].time
            elif old is not None and old.length_quarters not in new and measure < len(draft.lengths):
                votes[old] += clock.quarters(draft.lengths[measure]) == old.length_quarters
        owner, taken = max(stated, key=lambda each: votes[each[1].time])
        most = max(votes, key=lambda time: votes[time])
        if votes[most] == votes[taken.time]:
            most = taken.time
            found[measure] = (most, any(change.is_printed for _, change in stated))
        for draft, change in stated:
            if change.time.length_quarters != most.length_quarters:
                other = owner.name if most == taken.time else ""
                values = valued(meter=str(change.time), other=other, other_meter=str(most))
                issues.append(Issue("meters-differ", "warning", draft.name, measure, values))
    return found


def _assumed(drafts: Sequence[PartDraft], clock: Clock, until: int, issues: list[Issue]) -> TimeSignature:
    """The signature of a score that begins without one: from the length most of its bars have, else free."""
    lengths = Counter(filter(None, (_reached(drafts, index) for index in range(until))))
    ticks, bars = lengths.most_common(1)[0] if lengths else (0, 0)
    quarters = clock.quarters(ticks)
    if not lengths:
        signature = _COMMON
    elif bars < _LIKE_BARS * lengths.total() or (4 * quarters).denominator != 1:
        signature = _FREE
    elif quarters.denominator == 1:
        signature = TimeSignature((((int(quarters),), 4),))
    else:
        unit = 4 * quarters.denominator
        signature = TimeSignature((((int(quarters * quarters.denominator),), unit),))
    taken = () if signature is _FREE else valued(meter=str(signature))
    issues.append(Issue("time-missing", "note", values=taken))
    return signature


def _reached(drafts: Sequence[PartDraft], index: int) -> int:
    return max(draft.lengths[index] if index < len(draft.lengths) else 0 for draft in drafts)


def _length(
    drafts: Sequence[PartDraft], index: int, signature: TimeSignature, clock: Clock, number: str
) -> Fraction:
    """Quarters of a measure: as far as its fullest part reaches; the signature's where nothing stands."""
    reached = _reached(drafts, index)
    nominal = signature.length_quarters
    if reached == 0:
        return nominal or Fraction(4)
    length = clock.quarters(reached)
    if nominal and length > nominal:
        fullest = next(d for d in drafts if index < len(d.lengths) and d.lengths[index] == reached)
        fullest.add_issue("bar-too-full", index, warning=True, bar=number, meter=str(signature))
    return length
