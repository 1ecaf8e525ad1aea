"""A term as the director sees it: day by day its aim, what the sections should get right, skills, turns."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from planner.core.ensemble import Ensemble, Section
from planner.core.piece import Piece
from planner.core.term import Result, Slot, Station, Term, Wish
from planner.levels.readable import Verdict, verdict_of
from planner.scheduling import check
from planner.scheduling.problem import PlanProblem, Sitting
from planner.services.plan.term_problem import TermProblem
from planner.services.term.wish_notes import waiting_wishes


@dataclass(frozen=True, slots=True)
class SectionForecast:
    """What one section should get right of a piece on its day, or what it got.

    Attributes:
        section: Which.
        share: Share of bars right at first sight, 0 to 1.
        verdict: Too easy, just readable or too hard.
        lost: Chance that it is lost, 0 to 1; 0 once it was read.
        was_read: The share is a result, not a forecast.
    """

    section: Section
    share: float
    verdict: Verdict
    lost: float = 0.0
    was_read: bool = False


@dataclass(frozen=True, slots=True)
class SlotPicture:
    """One reading of the term.

    Attributes:
        slot: As planned.
        piece: What is read.
        level: Level of the piece for the ensemble; None unknown.
        featured: Name of the section that has the tune; empty for none.
        forecasts: In order of the ensemble; sections that do not read it are left out.
    """

    slot: Slot
    piece: Piece
    level: float | None
    featured: str = ""
    forecasts: tuple[SectionForecast, ...] = ()

    @property
    def worst(self) -> SectionForecast | None:
        """The section that gets the fewest bars right."""
        return min(self.forecasts, key=lambda each: each.share, default=None)

    @property
    def mean(self) -> float | None:
        """The mean share of all sections, each counting once; None without any."""
        shares = [each.share for each in self.forecasts]
        return sum(shares) / len(shares) if shares else None

    def of(self, verdict: str) -> tuple[SectionForecast, ...]:
        """The sections for which it is too hard, just readable or too easy; the worst first."""
        found = [each for each in self.forecasts if each.verdict == verdict]
        return tuple(sorted(found, key=lambda each: each.share))


@dataclass(frozen=True, slots=True)
class DayPicture:
    """One weekday of the term on which the ensemble reads, or would but for a day off.

    Attributes:
        on: Its date.
        aim: Share of bars right that the day aims at, 0 to 1.
        slots: What is planned, in order.
        open_slots: Places that hold nothing yet; 0 on a day that is past.
        is_off: No reading.
        is_past: Before today.
        has_results: Something is logged.
        stays: It is announced, printed or pinned: planning again leaves it as it is.
        is_concert: The day of a concert.
        minutes: For reading.
        stations: Groups in rooms of their own.
        absent: Sections that are away.
    """

    on: date
    aim: float = 0.0
    slots: tuple[SlotPicture, ...] = ()
    open_slots: int = 0
    is_off: bool = False
    is_past: bool = False
    has_results: bool = False
    stays: bool = False
    is_concert: bool = False
    minutes: float = 0.0
    stations: tuple[Station, ...] = ()
    absent: tuple[Section, ...] = ()

    @property
    def first_open(self) -> int:
        """The first position that no piece has, where all read together."""
        taken = {each.slot.position for each in self.slots}
        return next(at for at in range(len(taken) + 1) if at not in taken)


@dataclass(frozen=True, slots=True)
class WeekPicture:
    """One week of the term; ``monday`` may lie before its first day."""

    monday: date
    days: tuple[DayPicture, ...]


@dataclass(frozen=True, slots=True)
class TermPicture:
    """A term with its plan.

    Attributes:
        term, ensemble: What is planned for whom.
        today: The day it is looked at.
        weeks: In order, without empty ones.
        skills: The skills that take turns.
        waiting: Wishes that the plan in force does not meet yet.
    """

    term: Term
    ensemble: Ensemble
    today: date
    weeks: tuple[WeekPicture, ...]
    skills: tuple[str, ...]
    waiting: tuple[Wish, ...] = ()

    @property
    def days(self) -> tuple[DayPicture, ...]:
        """The reading days, in order."""
        return tuple(day for week in self.weeks for day in week.days if not day.is_off)

    @property
    def open_days(self) -> tuple[DayPicture, ...]:
        """Days to come on which something is still to be filled."""
        return tuple(day for day in self.days if day.open_slots)

    def turns_of(self, section_id: int) -> tuple[date, ...]:
        """Days on which a section has the tune."""
        return tuple(
            day.on for day in self.days for each in day.slots if each.slot.featured_section_id == section_id
        )


def term_picture(
    term_problem: TermProblem, pieces: Mapping[int, Piece], levels: Mapping[int, float | None]
) -> TermPicture:
    """The picture of a term.

    Args:
        term_problem: The term with at least the pieces of its plan among the candidates.
        pieces: The pieces of the plan.
        levels: Their levels for the ensemble.
    """
    facts, problem = term_problem.facts, term_problem.problem
    drawn = {on: _day(term_problem, at, pieces, levels) for on, at in problem.day_by_date.items()}
    return TermPicture(
        term=facts.term,
        ensemble=facts.ensemble,
        today=facts.today,
        weeks=_weeks(facts.term, facts.today, drawn),
        skills=tuple(name for name, _, _ in problem.focuses),
        waiting=waiting_wishes(facts.plan, facts.wishes, facts.today),
    )


def _weeks(term: Term, today: date, drawn: Mapping[date, DayPicture]) -> tuple[WeekPicture, ...]:
    found = []
    monday = term.first - timedelta(days=term.first.weekday())
    while monday <= term.last:
        dates = [monday + timedelta(days=n) for n in range(7)]
        days = [
            drawn.get(on, DayPicture(on, is_off=True, is_past=on < today, is_concert=on in term.concerts))
            for on in dates
            if term.first <= on <= term.last
            and (on in drawn or on in term.concerts or _is_left_out(term, on))
        ]
        if days:
            found.append(WeekPicture(monday, tuple(days)))
        monday += timedelta(days=7)
    return tuple(found)


def _is_left_out(term: Term, on: date) -> bool:
    return on.weekday() in term.weekdays and on in term.days_off


def _day(
    term_problem: TermProblem, at: int, pieces: Mapping[int, Piece], levels: Mapping[int, float | None]
) -> DayPicture:
    facts, day = term_problem.facts, term_problem.problem.days[at]
    results = [result for result in facts.results if result.on == day.on]
    slots = tuple(
        slot_picture(term_problem, slot, pieces[slot.piece_id], levels.get(slot.piece_id), results)
        for slot in facts.planned(day.on)
        if slot.piece_id in pieces
    )
    is_over = day.on < facts.today or bool(results)
    shapes = {shape.on: shape.slots for shape in facts.term.shapes}
    places = facts.term.slots if shapes.get(day.on) is None else shapes[day.on] or 0
    return DayPicture(
        on=day.on,
        aim=day.aim,
        slots=slots,
        open_slots=0 if is_over else max(0, places * max(1, len(day.stations)) - len(slots)),
        is_past=day.on < facts.today,
        has_results=bool(results),
        stays=day.is_settled and not is_over,
        is_concert=day.on in facts.term.concerts,
        minutes=day.minutes,
        stations=day.stations,
        absent=tuple(section for section in facts.ensemble.sections if section.id in day.absent),
    )


def slot_picture(
    term_problem: TermProblem,
    slot: Slot,
    piece: Piece,
    level: float | None,
    results: Sequence[Result] = (),
) -> SlotPicture:
    """One reading, with what the sections should get right of it, or what they got.

    Args:
        term_problem: The term, with the piece among its candidates.
        slot: Which reading.
        piece: What is read.
        level: Its level for the ensemble.
        results: Of the day.
    """
    sections = term_problem.facts.ensemble.sections
    names = {section.id: section.name for section in sections}
    read = {result.section_id: result.first_share for result in results if result.piece_id == slot.piece_id}
    if read:
        forecasts = [
            SectionForecast(section, read[section.id], verdict_of(read[section.id]), was_read=True)
            for section in sections
            if section.id in read
        ]
    else:
        forecasts = forecast(term_problem.problem, sections, slot)
    return SlotPicture(slot, piece, level, names.get(slot.featured_section_id or 0, ""), tuple(forecasts))


def forecast(problem: PlanProblem, sections: Sequence[Section], slot: Slot) -> list[SectionForecast]:
    """What each section should get right of a piece on its day; empty for an unknown piece or day.

    Args:
        problem: With the piece among its candidates.
        sections: Of the ensemble.
        slot: The piece, its day, and the station that reads it.
    """
    candidate, at = problem.piece_by_id.get(slot.piece_id), problem.day_by_date.get(slot.on)
    if candidate is None or at is None:
        return []
    day = problem.days[at]
    here = {section.id for section in sections} - day.absent
    if slot.station is not None and slot.station < len(day.stations):
        here &= set(day.stations[slot.station].section_ids)
    asks = dict(check.asks(problem, candidate, Sitting(at, 1, day.minutes, frozenset(here))))
    return [
        SectionForecast(section, ask.share, verdict_of(ask.share), ask.lost)
        for section in sections
        if (ask := asks.get(section.id)) is not None
    ]
