"""What each section should get right in each slot of a plan: the forecast that pages and sheets show."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from math import hypot

from planner.core.term import Slot
from planner.levels.history import LevelBelief
from planner.levels.readable import Verdict, ask_of, verdict_of
from planner.matching.outlook import PieceOutlook
from planner.scheduling.problem import OPEN_PIECE, PlanDay
from planner.services.levels.section_term import forecast_levels
from planner.services.ports import UnitOfWork
from planner.services.term.outlook import read_outlooks
from planner.services.term.term_days import line_of, mean_levels, plan_days


@dataclass(frozen=True, slots=True)
class SectionForecast:
    """How one section should read its part of a slot.

    Attributes:
        section_id: Which.
        level: Level expected of it that day.
        part_level: Level of the part; the hardest where it reads several.
        share: Share of bars it should get right, 0 to 1.
        lost: Chance that it is lost, 0 to 1.
        verdict: What follows from the share.
    """

    section_id: int
    level: float
    part_level: float
    share: float
    lost: float
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class SlotForecast:
    """What a slot should come to.

    Attributes:
        slot: Which.
        aim: Share of bars right that the day aims at, 0 to 1.
        level: Of what is read, for the ensemble; None not known.
        sections: Those that sit there and read, in score order.
    """

    slot: Slot
    aim: float
    level: float | None
    sections: tuple[SectionForecast, ...]

    @property
    def share(self) -> float | None:
        """The mean share of all sections that read; None when nobody does."""
        shares = [each.share for each in self.sections]
        return sum(shares) / len(shares) if shares else None

    @property
    def worst(self) -> SectionForecast | None:
        """The section that should get the fewest bars right; None when nobody reads."""
        return min(self.sections, key=lambda each: each.share, default=None)


@dataclass(frozen=True, slots=True)
class PlanForecast:
    """A plan day by day.

    Attributes:
        days: Every reading day of the term, as the plan sees it.
        line: Level at which each of them should lie, before easier days.
        means: Mean level expected of the sections on each of them.
        slots: In order of date and position.
    """

    days: tuple[PlanDay, ...]
    line: tuple[float, ...]
    means: tuple[float, ...]
    slots: tuple[SlotForecast, ...]

    def on(self, day: date) -> tuple[SlotForecast, ...]:
        """The slots of one day."""
        return tuple(each for each in self.slots if each.slot.on == day)


def plan_forecast(
    work: UnitOfWork, term_id: int, today: date, slots: tuple[Slot, ...] | None = None
) -> PlanForecast:
    """What the plan of a term should come to, looking at its own pieces alone.

    Args:
        work: An open unit of work; nothing is changed.
        term_id: Which term.
        today: Days before it are past; their forecast is by the levels of today.
        slots: Other slots than those of the plan in force, such as what is proposed.

    Raises:
        NotFoundError: If there is no such term.
    """
    term = work.terms.get(term_id)
    ensemble = work.ensembles.get(term.ensemble_id)
    forecasts = forecast_levels(work, ensemble, term.reading_dates(), today)
    over = {on for on in term.reading_dates() if on < today}
    days = plan_days(term, ensemble, forecasts, over)
    means = mean_levels(term, ensemble, forecasts)
    if slots is None:
        plan = work.terms.plan(term_id)
        slots = plan.slots if plan else ()
    slots = tuple(slot for slot in slots if slot.piece_id != OPEN_PIECE)
    outlooks = read_outlooks(work, ensemble, {}, frozenset(slot.piece_id for slot in slots))
    by_id = {outlook.piece.id: outlook for outlook in outlooks}
    at = {day.on: index for index, day in enumerate(days)}
    found = tuple(
        SlotForecast(
            slot,
            days[at[slot.on]].aim,
            by_id[slot.piece_id].level,
            _sections(days[at[slot.on]], by_id[slot.piece_id], slot, forecasts, at[slot.on]),
        )
        for slot in slots
        if slot.on in at and slot.piece_id in by_id
    )
    return PlanForecast(days, line_of(term, means), means, found)


def _sections(
    day: PlanDay,
    outlook: PieceOutlook,
    slot: Slot,
    forecasts: Mapping[int, tuple[LevelBelief, ...]],
    at: int,
) -> tuple[SectionForecast, ...]:
    """How the sections that sit there should read their parts."""
    seated = None
    if slot.station is not None and slot.station < len(day.stations):
        seated = set(day.stations[slot.station].section_ids)
    by_section = {fit.section.id: fit for fit in outlook.readings}
    found = []
    for section in outlook.sections:
        fit = by_section.get(section.id)
        if fit is None or fit.level is None or section.id in day.absent:
            continue
        if seated is not None and section.id not in seated:
            continue
        belief = forecasts[section.id][at]
        ask = ask_of(belief.level, fit.level, hypot(belief.error, fit.error))
        found.append(
            SectionForecast(section.id, belief.level, fit.level, ask.share, ask.lost, verdict_of(ask.share))
        )
    return tuple(found)
