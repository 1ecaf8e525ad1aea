"""How marks are worked out in a term: what the director chose, in exact decimals."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields
from datetime import date
from decimal import Decimal
from typing import Any


@dataclass(frozen=True, slots=True)
class ScaleStep:
    """From this share of bars right on (0 to 1), this mark (0 to 100) and word."""

    share: Decimal
    mark: Decimal
    word: str


def _step(share: str, mark: int, word: str) -> ScaleStep:
    return ScaleStep(Decimal(share), Decimal(mark), word)


SCALE: tuple[ScaleStep, ...] = (
    _step("0", 50, "Begin again together"),
    _step("0.5", 65, "Getting there"),
    _step("0.65", 75, "Holding on"),
    _step("0.75", 82, "Steady"),
    _step("0.85", 90, "Sure"),
    _step("0.93", 96, "Fluent"),
    _step("0.98", 100, "As if rehearsed"),
)
"""The scale as long as the director chose no other.

Source: House choice. The borders 0.50 and 0.85 follow the total of a published 100-point concert
form (Fair below 50, Good from 50, Excellent from 70, Superior from 85).
"""
SCALES: Mapping[str, tuple[tuple[ScaleStep, ...], bool]] = {
    "usual": (SCALE, False),
    "letters": (
        (
            _step("0", 0, "F"), _step("0.6", 60, "D"), _step("0.7", 70, "C"), _step("0.8", 80, "B"),
            _step("0.9", 90, "A"), _step("1", 100, "A"),
        ),
        True,
    ),
    "points": ((_step("0", 0, ""), _step("1", 100, "")), True),
    "standards": (
        (
            _step("0", 60, "Not yet"), _step("0.6", 75, "Getting close"),
            _step("0.8", 88, "Meets the standard"), _step("0.93", 97, "Beyond the standard"),
        ),
        False,
    ),
}  # fmt: skip
"""Scales to begin from, and whether the mark rises evenly between their steps.

Source: letters at 60, 70, 80 and 90 of 100: common practice; the standards in words: house choice.
"""
HUNDRED = Decimal(100)
"""The highest mark, full credit, and the weight of a day of which nothing else was chosen."""


@dataclass(frozen=True, slots=True)
class MarkScheme:
    """How a term's marks are worked out. Weights are 0 or more, and only their proportions matter.

    Attributes:
        scale: By rising share; each share once.
        even: Between two steps the mark rises evenly with the share; else a step holds up to the next.
        first, second, gain: Weights of the readings of a piece: bars right on the first, on the second, and
            what was put right of that which was wrong on the first.
        form: Weight of the points of the scoring form beside them.
        section, own, attendance: Weights of what makes a player's day: how the section read, a mark of
            their own, the credit for being there.
        own_replaces: An own mark takes the place of the section's; else both count by their weights.
        late, absent: Credit for coming late and for being absent, 0 to 100; being there gives 100.
        drop: So many days with the lowest marks are left out; one day always stays.
        days: Weights of days that weigh otherwise than 100, by date.
    """

    scale: tuple[ScaleStep, ...] = SCALE
    even: bool = False
    first: Decimal = HUNDRED
    second: Decimal = Decimal(0)
    gain: Decimal = Decimal(0)
    form: Decimal = Decimal(0)
    section: Decimal = HUNDRED
    own: Decimal = HUNDRED
    attendance: Decimal = Decimal(0)
    own_replaces: bool = True
    late: Decimal = Decimal(50)
    absent: Decimal = Decimal(0)
    drop: int = 0
    days: tuple[tuple[date, Decimal], ...] = ()

    def weight_of(self, on: date) -> Decimal:
        """How much a day weighs."""
        return dict(self.days).get(on, HUNDRED)


USUAL = MarkScheme()
"""As long as the director chose nothing."""
READING_WEIGHTS = ("first", "second", "gain", "form")
"""The fields that are weights of what makes a section's mark of a piece."""
DAY_WEIGHTS = ("section", "own", "attendance")
"""The fields that are weights of what makes a player's day."""
WEIGHTS = (*READING_WEIGHTS, *DAY_WEIGHTS)
"""The fields that are weights."""
CHOICES = ("even", "own_replaces")
"""The fields that are yes or no."""
CREDITS = ("late", "absent")
"""The fields that are credits."""


def scheme_values(scheme: MarkScheme) -> dict[str, Any]:
    """What of a scheme is not as everywhere, as JSON values by field; decimals are text.

    Example:
        >>> scheme_values(MarkScheme(drop=1, gain=Decimal("12.5")))
        {'gain': '12.5', 'drop': 1}
    """
    usual = full_scheme_values(USUAL)
    return {name: value for name, value in full_scheme_values(scheme).items() if value != usual[name]}


def full_scheme_values(scheme: MarkScheme) -> dict[str, Any]:
    """All of a scheme as JSON values by field; decimals are text."""
    return {each.name: _plain(getattr(scheme, each.name)) for each in fields(scheme)}


def scheme_of(values: Mapping[str, Any]) -> MarkScheme:
    """What ``scheme_values`` wrote; what is missing or None is as everywhere.

    Example:
        >>> scheme_of({"gain": "12.5", "drop": None}).gain
        Decimal('12.5')
    """
    read: dict[str, Callable[[Any], Any]] = {
        **dict.fromkeys((*WEIGHTS, *CREDITS), Decimal),
        **dict.fromkeys(CHOICES, bool),
        "drop": int,
        "scale": lambda steps: tuple(ScaleStep(Decimal(s), Decimal(m), word) for s, m, word in steps),
        "days": lambda days: tuple((date.fromisoformat(on), Decimal(weight)) for on, weight in days),
    }
    return MarkScheme(
        **{name: make(values[name]) for name, make in read.items() if values.get(name) is not None}
    )


def _plain(value: Any) -> Any:
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, ScaleStep):
        return [_plain(value.share), _plain(value.mark), value.word]
    return [_plain(each) for each in value] if isinstance(value, tuple) else value
