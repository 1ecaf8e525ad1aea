"""The written bars of the score: how many, how numbered, how long, in which time.

Parts are laid side by side by position: MusicXML gives every part every bar.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from fractions import Fraction

from lxml import etree

from planner.adapters.scores.reading.draft import Clock, PartDraft
from planner.core.issue import Issue, valued
from planner.core.score import Measure, TimeChange, TimeSignature

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
    times = _signatures(drafts, issues)
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
    return Measure(
        index, number, start, _length(drafts, index, signature, clock, number), signature, printed,
        _first(d.right_bars.get(index, "") for d in drafts),
        _first(d.rehearsals.get(index, "") for d in drafts),
        element.get("implicit") == "yes" or (index == 0 and number == "0"),
    )  # fmt: skip


def _first(texts: Iterable[str]) -> str:
    return next((text for text in texts if text), "")


def _signatures(drafts: Sequence[PartDraft], issues: list[Issue]) -> Signatures:
    """Signatures by measure, and whether printed: what most parts that have one there say, the first on a tie."""
    stated: dict[int, list[tuple[str, TimeChange]]] = {}
    for draft in drafts:
        for measure, change in {change.measure: change for change in draft.times}.items():
            stated.setdefault(measure, []).append((draft.name, change))
    found: Signatures = {}
    for measure, changes in stated.items():
        votes = Counter(change.time for _, change in changes)
        owner, taken = max(changes, key=lambda each: votes[each[1].time])
        found[measure] = (taken.time, any(change.is_printed for _, change in changes))
        for name, change in changes:
            if change.time.length_quarters != taken.time.length_quarters:
                values = valued(meter=str(change.time), other=owner, other_meter=str(taken.time))
                issues.append(Issue("meters-differ", "warning", name, measure, values))
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
