"""The mark of one day, for a section and for a player, with what made it.

Everything is worked out in fractions, so that no border is missed by a rounding; who shows a mark rounds it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from planner.core.mark_scheme import HUNDRED, MarkScheme, ScaleStep
from planner.core.term import WAS_THERE, Attendance, PlayerMark


class Source(StrEnum):
    """Where a part of a mark comes from."""

    READING = "reading"
    """How the section read a piece."""
    SECTION = "section"
    """The section's mark of the day."""
    OWN = "own"
    ATTENDANCE = "attendance"


class ShareKind(StrEnum):
    """What of a reading makes its share."""

    FIRST = "first"
    """Bars right on the first reading."""
    SECOND = "second"
    GAIN = "gain"
    """Of the bars wrong at first, those put right."""
    FORM = "form"
    """The points of the scoring form."""


@dataclass(frozen=True, slots=True)
class Share:
    """Something that makes the share of a reading: 0 to 1, and how much it counts beside the others."""

    kind: ShareKind
    share: Fraction
    weight: Decimal


class LeftOut(StrEnum):
    """Why a part of a mark does not count."""

    OWN_STANDS = "own-stands"
    """The player's own mark stands in its place."""
    MISSED = "missed"
    """The player was not there when the section read."""
    NOT_MADE_UP = "not-made-up"
    """A mark for a day that was missed, and is not made up."""
    EXCUSED = "excused"
    NO_WEIGHT = "no-weight"
    """The scheme gives it the weight 0."""


@dataclass(frozen=True, slots=True)
class Part:
    """Something that makes a mark, or would.

    Attributes:
        source: Where it comes from.
        mark: 0 to 100.
        weight: How much it counts beside the others.
        left_out: Why it does not count; None when it does.
        name: The title of the piece, of a reading.
        share: The share that counts, of a reading.
        shares: What made that share, of a reading; weights of 0 among them.
        fell_apart: Whether the first reading stopped before its end.
    """

    source: Source
    mark: Fraction
    weight: Decimal
    left_out: LeftOut | None = None
    name: str = ""
    share: Fraction | None = None
    shares: tuple[Share, ...] = ()
    fell_apart: bool = False


@dataclass(frozen=True, slots=True)
class DayMark:
    """The mark of a day; None when nothing makes one."""

    on: date
    mark: Fraction | None
    parts: tuple[Part, ...] = ()


@dataclass(frozen=True, slots=True)
class Reading:
    """How a section read a piece: shares of bars right, 0 to 1; None where there was no reading.

    ``form`` is what the points of the scoring form come to, 0 to 1; None where it is not filled in.
    ``fell_apart``: the first reading stopped before its end, and ``first`` is what that is taken as.
    """

    piece: str
    first: Decimal | None
    second: Decimal | None = None
    form: Fraction | None = None
    fell_apart: bool = False


def share_that_counts(scheme: MarkScheme, reading: Reading) -> Fraction | None:
    """Readings, gain and form by their weights.

    The first reading alone where nothing that is there weighs anything; None where that is missing too.

    Source: House choice.

    Example:
        >>> share_that_counts(MarkScheme(), Reading("Rondo", Decimal("0.8"), Decimal("0.9")))
        Fraction(4, 5)
        >>> even = MarkScheme(first=Decimal(1), second=Decimal(1), gain=Decimal(2))
        >>> share_that_counts(even, Reading("Rondo", Decimal("0.6"), Decimal("0.8")))
        Fraction(3, 5)
        >>> half = MarkScheme(first=Decimal(1), form=Decimal(1))
        >>> share_that_counts(half, Reading("Rondo", Decimal("0.8"), form=Fraction(9, 10)))
        Fraction(17, 20)
    """
    mean = weighed_mean([(each.share, Fraction(each.weight)) for each in shares_of(scheme, reading)])
    if mean is None and reading.first is not None:
        return Fraction(reading.first)
    return mean


def shares_of(scheme: MarkScheme, reading: Reading) -> tuple[Share, ...]:
    """What there is of a reading, each with its weight.

    The gain is the share of what was wrong at first that was put right: from 60 to 80 of 100 is half of it.
    It is never below 0, and where everything was right at first there is none.

    Source: House choice.
    """
    found = []
    if reading.first is not None:
        first = Fraction(reading.first)
        found.append(Share(ShareKind.FIRST, first, scheme.first))
        if reading.second is not None:
            second = Fraction(reading.second)
            found.append(Share(ShareKind.SECOND, second, scheme.second))
            if first < 1:
                gain = max(Fraction(0), (second - first) / (1 - first))
                found.append(Share(ShareKind.GAIN, gain, scheme.gain))
    if reading.form is not None:
        found.append(Share(ShareKind.FORM, reading.form, scheme.form))
    return tuple(found)


def step_of_share(scale: Sequence[ScaleStep], share: Fraction) -> ScaleStep | None:
    """The step of a scale that holds for a share; None below the whole scale.

    Example:
        >>> step_of_share(MarkScheme().scale, Fraction(85, 100)).word
        'Sure'
    """
    reached = [step for step in scale if step.share <= share]
    return max(reached, key=lambda step: step.share) if reached else None


def mark_of_share(scheme: MarkScheme, share: Fraction) -> Fraction | None:
    """The mark of a share: that of its step, or evenly on the way to the next; None below the whole scale.

    Example:
        >>> from dataclasses import replace
        >>> mark_of_share(MarkScheme(), Fraction(80, 100))
        Fraction(82, 1)
        >>> mark_of_share(replace(MarkScheme(), even=True), Fraction(80, 100))
        Fraction(86, 1)
    """
    step = step_of_share(scheme.scale, share)
    if step is None:
        return None
    mark, above = Fraction(step.mark), [each for each in scheme.scale if each.share > share]
    if not scheme.even or not above:
        return mark
    following = min(above, key=lambda each: each.share)
    way = (share - Fraction(step.share)) / Fraction(following.share - step.share)
    return mark + way * (Fraction(following.mark) - mark)


def word_of_mark(scale: Sequence[ScaleStep], mark: Fraction) -> str:
    """The word of the highest step whose mark is reached; empty below all.

    Example:
        >>> word_of_mark(MarkScheme().scale, Fraction(179, 2))
        'Steady'
    """
    reached = [step for step in scale if step.mark <= mark]
    return max(reached, key=lambda step: (step.mark, step.share)).word if reached else ""


def weighed_mean(values: Sequence[tuple[Fraction, Fraction]]) -> Fraction | None:
    """The mean of values by their weights; None where nothing weighs anything."""
    total = sum((weight for _, weight in values), Fraction(0))
    return sum((value * weight for value, weight in values), Fraction(0)) / total if total else None


def section_day(scheme: MarkScheme, on: date, readings: Sequence[Reading]) -> DayMark:
    """A section's day: its readings of pieces count alike."""
    parts = []
    for reading in readings:
        share = share_that_counts(scheme, reading)
        mark = None if share is None else mark_of_share(scheme, share)
        if mark is not None:
            part = Part(
                Source.READING, mark, Decimal(1), name=reading.piece, share=share,
                shares=shares_of(scheme, reading), fell_apart=reading.fell_apart,
            )  # fmt: skip
            parts.append(part)
    return _day(on, parts)


def player_day(scheme: MarkScheme, section: DayMark, entered: PlayerMark) -> DayMark:
    """A player's day, from the section's and what was entered of them.

    Nothing of a day that was missed counts but the credit for it, and what was made up: then an own mark
    counts, and being absent is credited as being there. Excused is never credited.
    """
    missed = entered.attendance is not None and entered.attendance not in WAS_THERE
    made_up = entered.made_up_on is not None
    has_own = entered.mark is not None and (not missed or made_up)
    parts = []
    if section.mark is not None:
        why = LeftOut.MISSED if missed else LeftOut.OWN_STANDS if has_own and scheme.own_replaces else None
        parts.append(_part(Source.SECTION, section.mark, scheme.section, why))
    if entered.mark is not None:
        why = None if has_own else LeftOut.NOT_MADE_UP
        parts.append(_part(Source.OWN, Fraction(entered.mark), scheme.own, why))
    if entered.attendance is not None:
        why = LeftOut.EXCUSED if entered.attendance is Attendance.EXCUSED else None
        credit = _credit(scheme, entered.attendance, made_up=made_up)
        parts.append(_part(Source.ATTENDANCE, Fraction(credit), scheme.attendance, why))
    return _day(section.on, parts)


def _credit(scheme: MarkScheme, attendance: Attendance, *, made_up: bool) -> Decimal:
    if attendance is Attendance.LATE:
        return scheme.late
    if attendance is Attendance.ABSENT and not made_up:
        return scheme.absent
    return HUNDRED


def _part(source: Source, mark: Fraction, weight: Decimal, why: LeftOut | None) -> Part:
    return Part(source, mark, weight, why or (LeftOut.NO_WEIGHT if not weight else None))


def _day(on: date, parts: Sequence[Part]) -> DayMark:
    counted = [(part.mark, Fraction(part.weight)) for part in parts if part.left_out is None]
    return DayMark(on, weighed_mean(counted), tuple(parts))
