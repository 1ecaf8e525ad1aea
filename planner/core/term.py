"""A term of reading days, the plan that fills it, and what came out on each day."""

from dataclasses import asdict, dataclass
from datetime import date, time, timedelta
from decimal import Decimal
from enum import StrEnum
from typing import Any, Literal

from planner.core.fact import Place
from planner.core.mark_scheme import USUAL, MarkScheme
from planner.core.profile import Contribution
from planner.core.scoring_form import ScoringForm


@dataclass(frozen=True, slots=True)
class Station:
    """A group that reads in a room of its own.

    Attributes:
        name: E.g. ``"Brass"``.
        section_ids: Who sits there; no section sits at two stations of a day.
    """

    name: str
    section_ids: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class DayShape:
    """How one reading day differs from the others of its term.

    Attributes:
        on: Its date.
        minutes: Minutes for reading; None as on other days.
        slots: Pieces, or rounds on a day with stations; None as on other days.
        stations: Groups that read at the same time in their own rooms, rotating; empty: all together.
        absent: Sections that are away.
    """

    on: date
    minutes: float | None = None
    slots: int | None = None
    stations: tuple[Station, ...] = ()
    absent: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Term:
    """When an ensemble reads.

    Attributes:
        id: Identity in the library; 0 before it is stored.
        ensemble_id: Whose term it is.
        name: E.g. ``"Autumn 2026"``.
        first, last: First and last date, both included.
        weekdays: Days of the week on which it reads, Monday is 0.
        days_off: Dates without a reading.
        minutes: Minutes for sight-reading on a reading day.
        slots: Pieces on one day.
        start_level, target_level: Where the levels should begin and end; None follows the sections.
        aims: Levels the line should pass on dates between; it may rise, rest and dip.
        concerts: Dates of concerts; the reading day before one is easier.
        shapes: Reading days that differ from the others.
        announced_days: Days ahead, from today, within which a plan no longer changes by itself.
        starts_at: When reading begins on a day; None when that is left open.
        time_zone: Whose clock ``starts_at`` is read on, by its IANA name; may be empty without one.
        marks: How the marks of its gradebook are worked out.
        procedures: Days on which music is studied by a published procedure, with what it is stored as.
        form: The scoring form that is filled in on its days; None as long as the director chose none.

    Example:
        >>> t = Term(0, 1, "Two weeks", date(2026, 9, 1), date(2026, 9, 14), weekdays=(0, 3))
        >>> [d.isoformat() for d in t.reading_dates()]
        ['2026-09-03', '2026-09-07', '2026-09-10', '2026-09-14']
    """

    id: int
    ensemble_id: int
    name: str
    first: date
    last: date
    weekdays: tuple[int, ...]
    days_off: tuple[date, ...] = ()
    minutes: float = 10.0
    slots: int = 1
    start_level: float | None = None
    target_level: float | None = None
    aims: tuple[tuple[date, float], ...] = ()
    concerts: tuple[date, ...] = ()
    shapes: tuple[DayShape, ...] = ()
    announced_days: int = 14
    starts_at: time | None = None
    time_zone: str = ""
    marks: MarkScheme = USUAL
    procedures: tuple[tuple[date, str], ...] = ()
    form: ScoringForm | None = None

    def reading_dates(self) -> tuple[date, ...]:
        """Every reading day's date, in order."""
        days = (self.last - self.first).days + 1
        dates = (self.first + timedelta(days=n) for n in range(days))
        return tuple(d for d in dates if d.weekday() in self.weekdays and d not in self.days_off)

    def is_day_off(self, on: date) -> bool:
        """Whether it would read on a date, were that not one of its days off."""
        return on in self.days_off and self.first <= on <= self.last and on.weekday() in self.weekdays

    def shape_on(self, on: date) -> DayShape:
        """How a day differs from the others; one of its kind says nothing but its date."""
        return next((shape for shape in self.shapes if shape.on == on), DayShape(on))

    def slots_on(self, on: date) -> int:
        """Pieces of a day, or its rounds if it has stations."""
        return self.shape_on(on).slots or self.slots

    def minutes_on(self, on: date) -> float:
        """Minutes for reading on a day."""
        return self.shape_on(on).minutes or self.minutes


class ReasonKind(StrEnum):
    """Why a piece stands where it stands in a plan. Beside each: the values it carries."""

    PINNED = "pinned"
    """The director put it on this day."""
    AGAIN = "again"
    """The director wanted it read again. last_on: when it was read before, None where nothing says so."""
    LEVEL = "level"
    """Of plans made by earlier versions. numbers: level of what is read, target of the day."""
    AIM = "aim"
    """numbers: mean share of bars that the sections should get right, share the day aims at (``aim``)."""
    EASIER = "easier"
    """The day aims lower than those around it. last_on: the concert ahead; None: the first after a break."""
    TRAINS = "trains"
    """The slot's skill. evidence: the piece's own; numbers: named, how often results called it a problem."""
    FEATURES = "features"
    """section_id: who has the tune; last_on: when it was last featured, None for the first time this term."""
    HARDEST = "hardest"
    """section_id: for whom the piece is hardest; numbers: share of measures they should get right."""
    TIME = "time"
    """numbers: minutes it takes, of so many minutes a day (``available``)."""
    PASSAGE = "passage"
    """As TIME, where only a passage is read. bars: its first and last bar as printed."""


@dataclass(frozen=True, slots=True)
class Reason:
    """One reason for a slot, as values: what a plan keeps, and a page puts into words.

    Attributes:
        kind: Which.
        numbers: Named numbers; the kind says which.
        section_id: The section it speaks of; None for none.
        last_on: A date it speaks of.
        bars: Bar numbers as printed.
        evidence: What the study found of the skill.
    """

    kind: ReasonKind
    numbers: tuple[tuple[str, float], ...] = ()
    section_id: int | None = None
    last_on: date | None = None
    bars: tuple[str, ...] = ()
    evidence: Contribution | None = None

    def number(self, name: str) -> float:
        """A named number.

        Raises:
            KeyError: If it has none of that name.
        """
        return dict(self.numbers)[name]


def reason_values(reason: Reason) -> dict[str, Any]:
    """A reason as JSON values, for ``profile.from_plain``; what it does not carry is left out.

    Example:
        >>> reason_values(Reason(ReasonKind.FEATURES, section_id=3, last_on=date(2026, 9, 1)))
        {'kind': <ReasonKind.FEATURES: 'features'>, 'section_id': 3, 'last_on': '2026-09-01'}
    """
    values = {name: value for name, value in asdict(reason).items() if value not in (None, ())}
    if reason.last_on is not None:
        values["last_on"] = reason.last_on.isoformat()
    return values


@dataclass(frozen=True, slots=True)
class Slot:
    """One piece on one reading day.

    Attributes:
        on: Date of the reading day.
        position: 0-based place within the day; on a day with stations the round.
        piece_id: What is read.
        focus: The skill it trains, one of ``core.difficulty.FOCUSES``.
        featured_section_id: Section whose part leads, or None.
        minutes: Minutes it is expected to take, study included.
        is_pinned: The director fixed this piece to this day.
        reasons: Why this piece here.
        station: Which of the day's stations reads it, counted from 0; None: the whole ensemble.
    """

    on: date
    position: int
    piece_id: int
    focus: str
    featured_section_id: int | None = None
    minutes: float = 0.0
    is_pinned: bool = False
    reasons: tuple[Reason, ...] = ()
    station: int | None = None


@dataclass(frozen=True, slots=True)
class Wish:
    """A piece the director wants ``pinned`` to a date, ``banned`` from it, or read ``again`` on it.

    ``on`` None means the whole term; a second reading always has its date.
    """

    kind: Literal["pinned", "banned", "again"]
    piece_id: int
    on: date | None = None


AGAIN_SHARE = 0.5
"""Share of its minutes that a second reading of a piece on a later day takes. Source: house choice."""


def again_minutes(minutes: float) -> float:
    """Minutes of a second reading, to a tenth, by those of the first.

    Example:
        >>> again_minutes(9.5)
        4.8
    """
    return round(AGAIN_SHARE * minutes, 1)


@dataclass(frozen=True, slots=True)
class Plan:
    """A filled term.

    Attributes:
        term_id: The term it fills.
        slots: In order of date and position.
        cost: What its readings cost by ``scheduling.check.cost``, open slots left aside; lower is better. 0
            where nobody knows, as after a change by hand.
        bound: The readings of no plan with as many of them cost less than this; 0 where nobody knows.
        is_proven: The plan is proven best within the solver's tolerance.
        made_from: Fingerprint of what it was made from; empty where nobody knows. While that is the same
            there is nothing new to plan for.
    """

    term_id: int
    slots: tuple[Slot, ...]
    cost: float = 0.0
    bound: float = 0.0
    is_proven: bool = False
    made_from: str = ""

    def on(self, day: date) -> tuple[Slot, ...]:
        """The slots of one day."""
        return tuple(slot for slot in self.slots if slot.on == day)


FELL_APART_SHARE = 0.25
"""Share of bars right that a first reading has which fell apart: it stopped before its end.

Nobody counts the bars of such a reading. All that is known is that the section lost the music, so that it got
something between none and half of its bars right (``levels.readable.LOST_SHARE``). Source: house choice, the
middle of the two. Levels and marks take it as any other share.
"""


@dataclass(frozen=True, slots=True)
class Result:
    """How one section read one piece on one day.

    Attributes:
        ensemble_id, section_id, piece_id: Who read what.
        on: Date of the reading.
        first_share: Share of measures right on the first reading, 0 to 1.
        second_share: The same on the second reading; None when there was none.
        tempo_bpm: Tempo of the first reading in beats a minute, when noted.
        problems: Focus words naming what went wrong.
        note: A remark, in free words.
        counts: Whether it moves the section's level. One that does not uses the piece up all the same.
        fell_apart: The first reading stopped before its end; ``first_share`` is then ``FELL_APART_SHARE``.
        wrong_bars: Hard bars of the section's part that went wrong: first and last measure of each place.
    """

    ensemble_id: int
    section_id: int
    piece_id: int
    on: date
    first_share: float
    second_share: float | None = None
    tempo_bpm: float | None = None
    problems: tuple[str, ...] = ()
    note: str = ""
    counts: bool = True
    fell_apart: bool = False
    wrong_bars: tuple[Place, ...] = ()


class Attendance(StrEnum):
    """Whether a player was there on a reading day."""

    PRESENT = "present"
    LATE = "late"
    ABSENT = "absent"
    EXCUSED = "excused"
    """Away with leave: the day counts neither for nor against them."""


WAS_THERE = frozenset({Attendance.PRESENT, Attendance.LATE})
"""In the room for the reading, or for most of it."""


@dataclass(frozen=True, slots=True)
class PlayerMark:
    """What was entered of a player on one reading day.

    Attributes:
        player_id: Whose seat.
        on: The reading day.
        attendance: None as long as nobody has said.
        mark: A mark of their own, 0 to 100, exact; None: they have their section's.
        made_up_on: When they made up for a day they missed.
        note: A remark.
    """

    player_id: int
    on: date
    attendance: Attendance | None = None
    mark: Decimal | None = None
    made_up_on: date | None = None
    note: str = ""

    @property
    def is_blank(self) -> bool:
        """Whether it says nothing."""
        return self == PlayerMark(self.player_id, self.on)
