"""What a report holds: words, tables and the values of its pictures; pages and sheets lay them out."""

from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # the ports need this module: it may load neither them nor numpy
    from planner.levels.history import LevelBelief
    from planner.services.levels.section_term import SectionTerm


@dataclass(frozen=True, slots=True)
class LevelPicture:
    """A section's level over the term."""

    view: "SectionTerm"


@dataclass(frozen=True, slots=True)
class TwoReadings:
    """The shares of bars right, 0 to 1, on the first and on the second reading of a piece."""

    on: date
    first: float
    second: float | None


@dataclass(frozen=True, slots=True)
class ReadingsPicture:
    """First readings against second ones over the days of a term."""

    first: date
    last: date
    readings: tuple[TwoReadings, ...]


@dataclass(frozen=True, slots=True)
class MarkPoint:
    """A day of somebody's marks, 0 to 100; None where there is none.

    Attributes:
        on: The day.
        mark: Their mark of the day.
        section: The section's mark of the day.
        is_counted: Whether it makes the mark of the term.
    """

    on: date
    mark: Fraction | None
    section: Fraction | None
    is_counted: bool


@dataclass(frozen=True, slots=True)
class MarksPicture:
    """A player's marks over a term, with the section's behind them."""

    first: date
    last: date
    days: tuple[MarkPoint, ...]


@dataclass(frozen=True, slots=True)
class CountRow:
    """How often something was, and how often something else."""

    label: str
    first: int
    second: int


@dataclass(frozen=True, slots=True)
class CountsPicture:
    """Bars of counts: a full one and an empty one a row."""

    title: str
    rows: tuple[CountRow, ...]
    first_name: str
    second_name: str


@dataclass(frozen=True, slots=True)
class LevelRow:
    """A section's level at the beginning and at the end."""

    label: str
    begin: "LevelBelief"
    end: "LevelBelief"


@dataclass(frozen=True, slots=True)
class LevelsPicture:
    """Levels of all sections at the beginning and at the end of a term."""

    rows: tuple[LevelRow, ...]


Picture = LevelPicture | ReadingsPicture | MarksPicture | CountsPicture | LevelsPicture


@dataclass(frozen=True, slots=True)
class ReportColumn:
    """A column: its heading, how wide it is beside the others on paper, and whether it holds numbers."""

    head: str
    width: float
    is_number: bool = False


@dataclass(frozen=True, slots=True)
class ReportTable:
    """A table; the first cell of a row names it."""

    columns: tuple[ReportColumn, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class ReportPart:
    """What stands under one heading.

    Attributes:
        heading: What it is about.
        sentences: In order.
        picture: Beneath them.
        table: Beneath the picture.
    """

    heading: str
    sentences: tuple[str, ...] = ()
    picture: Picture | None = None
    table: ReportTable | None = None


@dataclass(frozen=True, slots=True)
class ReportView:
    """A report.

    Attributes:
        name: Of its file, without the ending; it holds nobody's name.
        title: Whom or what it is about.
        about: Term, ensemble and what else places it.
        lead: What matters most, in order.
        parts: The rest.
        ensemble: For the foot of the sheet.
        made_on, library_version: For the foot of the sheet.
    """

    name: str
    title: str
    about: str
    lead: tuple[str, ...]
    parts: tuple[ReportPart, ...]
    ensemble: str
    made_on: date
    library_version: str = field(default="")
