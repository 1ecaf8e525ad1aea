"""A scoring form as a director shapes it: captions with points, bands in words, and ratings of the total."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import Any


class Better(StrEnum):
    """Which points are the better ones."""

    MORE = "more"
    LESS = "less"
    """The lowest points are the best, as with divisions: 1 is best."""


class Totaling(StrEnum):
    """How points of captions become a total."""

    SUM = "sum"
    MEAN = "mean"


@dataclass(frozen=True, slots=True)
class Band:
    """Points of a caption that have a word.

    Attributes:
        border: The least good points that still have it: where more is better, it holds from here up.
        word: Such as ``Superior, consistently``.
    """

    border: Decimal
    word: str


@dataclass(frozen=True, slots=True)
class Caption:
    """Something that gets points.

    Attributes:
        number: From 1 within its form, never given anew: points that were filled in are kept by it.
        name: Such as ``Tone``.
        most: The highest points; where 1 is best, the poorest.
        bands: From the best down; empty where no words were chosen.
    """

    number: int
    name: str
    most: Decimal
    bands: tuple[Band, ...] = ()


@dataclass(frozen=True, slots=True)
class Deduction:
    """Points taken off the total when something happened: none, or from ``least`` to ``most``.

    Where less is better they are added. ``number`` is as that of a caption, and no caption has the same.
    """

    number: int
    name: str
    least: Decimal
    most: Decimal


@dataclass(frozen=True, slots=True)
class Rating:
    """What a total is called.

    Attributes:
        border: The least good total that still has it.
        word: Such as ``Superior``.
        share: What it counts as in marks, 0 to 1; None: as much of the way to the best as the total came.
    """

    border: Decimal
    word: str
    share: Decimal | None = None


@dataclass(frozen=True, slots=True)
class ScoringForm:
    """A form for one reading of a piece, of the whole ensemble or of a section.

    Attributes:
        name: What it is called.
        captions: In the order in which they are filled in.
        ratings: From the best down; empty where totals are given no word.
        better: Which points are the better ones.
        totaling: How the total comes about.
        least: The lowest points of every caption.
        step: Points are whole multiples of it.
        deductions: What may be taken off.
        firsts: So many captions in their best band make the best rating, whatever the total; 0: no such rule.
    """

    name: str
    captions: tuple[Caption, ...]
    ratings: tuple[Rating, ...] = ()
    better: Better = Better.MORE
    totaling: Totaling = Totaling.SUM
    least: Decimal = Decimal(0)
    step: Decimal = Decimal(1)
    deductions: tuple[Deduction, ...] = ()
    firsts: int = 0

    @property
    def lines(self) -> tuple[Caption | Deduction, ...]:
        """All that points are filled in for: captions, then deductions."""
        return (*self.captions, *self.deductions)

    def is_as_good(self, points: Decimal, border: Decimal) -> bool:
        """Whether points are as good as a border, or better."""
        return points >= border if self.better is Better.MORE else points <= border


@dataclass(frozen=True, slots=True)
class FilledForm:
    """Points that were given on a day for a piece: to a section, or to the whole ensemble (None).

    ``points`` are by the number of a caption or deduction; what is missing was not filled in.
    """

    ensemble_id: int
    piece_id: int
    on: date
    section_id: int | None
    points: Mapping[int, Decimal]


def form_values(form: ScoringForm | None) -> dict[str, Any] | None:
    """A form as JSON values; decimals are text.

    Example:
        >>> form_values(ScoringForm("Ours", (Caption(1, "Tone", Decimal(5)),)))["captions"]
        [[1, 'Tone', '5', []]]
    """
    if form is None:
        return None
    return {
        "name": form.name,
        "captions": [
            [each.number, each.name, f"{each.most:f}", [[f"{b.border:f}", b.word] for b in each.bands]]
            for each in form.captions
        ],
        "ratings": [
            [f"{each.border:f}", each.word, None if each.share is None else f"{each.share:f}"]
            for each in form.ratings
        ],
        "better": form.better.value,
        "totaling": form.totaling.value,
        "least": f"{form.least:f}",
        "step": f"{form.step:f}",
        "deductions": [
            [each.number, each.name, f"{each.least:f}", f"{each.most:f}"] for each in form.deductions
        ],
        "firsts": form.firsts,
    }


def form_of(values: Mapping[str, Any] | None) -> ScoringForm | None:
    """What ``form_values`` wrote.

    Example:
        >>> form = ScoringForm("Ours", (Caption(1, "Tone", Decimal(5), (Band(Decimal(4), "Fine"),)),))
        >>> form_of(form_values(form)) == form
        True
    """
    if values is None:
        return None
    return ScoringForm(
        name=values["name"],
        captions=tuple(
            Caption(number, name, Decimal(most), tuple(Band(Decimal(at), word) for at, word in bands))
            for number, name, most, bands in values["captions"]
        ),
        ratings=tuple(
            Rating(Decimal(border), word, None if share is None else Decimal(share))
            for border, word, share in values["ratings"]
        ),
        better=Better(values["better"]),
        totaling=Totaling(values["totaling"]),
        least=Decimal(values["least"]),
        step=Decimal(values["step"]),
        deductions=tuple(
            Deduction(number, name, Decimal(least), Decimal(most))
            for number, name, least, most in values["deductions"]
        ),
        firsts=values["firsts"],
    )


def points_values(points: Mapping[int, Decimal]) -> dict[str, str]:
    """Points as JSON values by number; decimals are text.

    Example:
        >>> points_values({1: Decimal("26.5")})
        {'1': '26.5'}
    """
    return {str(number): f"{value:f}" for number, value in sorted(points.items())}


def points_of(values: Mapping[str, str]) -> dict[int, Decimal]:
    """What ``points_values`` wrote."""
    return {int(number): Decimal(text) for number, text in values.items()}
