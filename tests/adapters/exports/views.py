"""Views to print: a guide, a plan and a gradebook, small and complete."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from fractions import Fraction

from planner.core.mark_scheme import SCALE, MarkScheme
from planner.core.term import Attendance
from planner.services.sheets.views import (
    CalendarDay,
    DayWithoutPiece,
    DynamicPlace,
    GradebookDay,
    GradebookSheet,
    GuideBlock,
    GuideLine,
    GuideStart,
    GuideView,
    PlanRow,
    PlanSheet,
    PlayerDay,
    QuestionLine,
    SectionReading,
)

STATES = {True: Attendance.PRESENT, False: Attendance.ABSENT, None: None}
DAY = date(2026, 9, 3)
SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg"><defs><g id="A1"><path transform="scale(1,-1)" '
    'd="M0 0h200v200h-200z"/></g></defs><svg viewBox="0 0 18000 1500"><g>'
    '<path d="M0 700 L18000 700" stroke-width="13"/><use href="#A1" transform="translate(300, 700)"/>'
    '<text x="20" y="300" font-size="0px"><tspan font-size="400px">dolce</tspan></text></g></svg></svg>'
)


def make_guide(**changes) -> GuideView:
    """The guide of a clarinet part."""
    view = GuideView(
        title="New Britain",
        credit="Trad., arr. A. Weir",
        part="Clarinet 2",
        players="Clarinet 2 (4 players)",
        ensemble="Riverside Band",
        on=DAY,
        position=0,
        start=GuideStart("1 2 3", "♩ = 72", "an easy walk", "Second reading ♩ = 80", "3/4", (1, 1, 1), "33"),
        blocks=(
            GuideBlock("Key", (GuideLine("Your key: F major, 1 flat.", SVG, 90.0),)),
            GuideBlock("Hardest bars", (GuideLine("Bar 17: wide leap.", SVG, 150.0), GuideLine("Bar 20."))),
        ),
        dynamics=((DynamicPlace("mf", 0.0, 0.1, "1"), DynamicPlace("crescendo", 0.3, 0.5, "9")),),
        boxes=("Meter", "Key"),
        questions=(QuestionLine("What is your highest note?", "G5, in bar 19."),),
        care="Stop if anything hurts.",
        made_on=date(2026, 9, 1),
        library_version="0.1.0",
    )
    return replace(view, **changes)


def make_row(number: int = 0, **changes) -> PlanRow:
    """The slot of the ``number``-th week."""
    row = PlanRow(
        on=DAY + timedelta(weeks=number),
        position=0,
        title=f"Piece {number + 1}",
        credit="Ada Weir",
        level=1.5,
        focus="rhythm",
        featured="Clarinet 2",
        minutes=9.5,
        reading_bpm=72,
        beat_unit="quarter",
        is_pinned=False,
        is_past=False,
        reasons=("Trains rhythm, last trained three weeks ago.",),
    )
    return replace(row, **changes)


def make_plan(rows: int = 3, **changes) -> PlanSheet:
    """A term of so many weeks."""
    sheet = PlanSheet(
        term_id=4,
        term="Autumn 2026",
        ensemble="Riverside Band",
        first=date(2026, 9, 1),
        last=date(2026, 12, 18),
        minutes=10.0,
        rows=tuple(make_row(n) for n in range(rows)),
        without_piece=(
            DayWithoutPiece(date(2026, 11, 26), "day off"),
            DayWithoutPiece(date(2026, 12, 17), "left open: no fresh piece suits"),
        ),
        proof="When it was made, no plan was more than 0.6% better by the planning rules.",
        made_on=date(2026, 8, 30),
        library_version="0.1.0",
    )
    return replace(sheet, **changes)


def make_calendar_day(number: int = 0, **changes) -> CalendarDay:
    """The calendar's entry of the ``number``-th week, a whole day."""
    day = CalendarDay(
        on=DAY + timedelta(weeks=number),
        uid=f"5a0f0000-0000-4000-8000-{number:012d}",
        sequence=0,
        changed_at=datetime(2026, 8, 30, 12, 0, 5, tzinfo=UTC),
        title=f"Sight-reading: Piece {number + 1}",
        lines=(f"Piece {number + 1}: level 1.5",),
        minutes=10.0,
    )
    return replace(day, **changes)


SECTIONS = ((1, "Flute"), (2, "Clarinet 2"))
PLAYERS = ((11, "Ann", "Flute"), (12, "Ben", "Flute"), (21, "Cy", "Clarinet 2"))


def make_day(number: int = 0, shares=(), present=(), marks=()) -> GradebookDay:
    """A day: ``shares`` a section as ``(first, second)``, ``present`` and ``marks`` a player."""
    pairs = list(shares) + [(None, None)] * (len(SECTIONS) - len(shares))
    here = list(present) + [None] * (len(PLAYERS) - len(present))
    own = [mark if mark is None else Decimal(str(mark)) for mark in marks]
    own += [None] * (len(PLAYERS) - len(marks))
    ids = {name: section_id for section_id, name in SECTIONS}
    title = f"Piece {number + 1}"
    return GradebookDay(
        on=DAY + timedelta(weeks=number),
        pieces=(title,),
        readings=tuple(
            SectionReading(section_id, name, title, *pair, piece_id=number + 1)
            for (section_id, name), pair in zip(SECTIONS, pairs, strict=True)
        ),
        players=tuple(
            PlayerDay(player_id, name, ids[section], section, STATES[is_present], own)
            for (player_id, name, section), is_present, own in zip(PLAYERS, here, own, strict=True)
        ),
    )


def make_gradebook(*days: GradebookDay, **changes) -> GradebookSheet:
    """A gradebook of these days."""
    sheet = GradebookSheet(
        ensemble="Riverside Band",
        term="Autumn 2026",
        sections=SECTIONS,
        players=PLAYERS,
        days=days,
        scheme=MarkScheme(scale=changes.pop("scale", SCALE)),
        made_on=date(2026, 8, 30),
        library_version="0.1.0",
    )
    return replace(sheet, **changes)


def make_full_gradebook(players: int, days: int) -> GradebookSheet:
    """A term with twelve sections, all filled in, also the scoring form; a remark on every sixtieth entry."""
    sections = tuple((n, f"Clarinet {n}") for n in range(1, 13))
    seats = tuple(
        (100 + n, f"Bartholomew Vandenberg {n}", f"Clarinet {1 + n * 12 // players}") for n in range(players)
    )
    states = (*[Attendance.PRESENT] * 9, Attendance.LATE, Attendance.ABSENT, Attendance.EXCUSED)

    def day(number):
        on, title = date.fromordinal(date(2026, 9, 1).toordinal() + 3 * number), f"Fairground March {number}"
        return GradebookDay(
            on, (title,),
            tuple(
                SectionReading(n, name, title, 0.7 + n / 100, 0.85, piece_id=number + 1,
                               form_share=Fraction(60 + n + number % 28, 100))
                for n, name in sections
            ),
            tuple(
                PlayerDay(seat, name, 1 + at * 12 // players, section, states[(at + number) % 12],
                          Decimal(80 + at % 20) if (at + number) % 5 == 0 else None,
                          note="came without the mouthpiece" if (at + number) % 60 == 0 else "")
                for at, (seat, name, section) in enumerate(seats)
            ),
        )  # fmt: skip

    scheme = MarkScheme(drop=1, gain=Decimal(20), form=Decimal(50), even=True, attendance=Decimal(20))
    days = tuple(day(number) for number in range(days))
    return GradebookSheet("Band", "Fall", sections, seats, days, scheme, date(2026, 8, 30), "0")
