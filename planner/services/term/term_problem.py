"""From library, ensemble, term and results to the problem the solver fills."""

import math
from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from planner.core.difficulty import FOCUSES, Dimension
from planner.core.ensemble import Ensemble
from planner.core.profile import Contribution, PieceProfile
from planner.core.term import Plan, Result, Slot, Term, Wish
from planner.levels.curve import clip_level
from planner.levels.forecast import GROWTH_A_WEEK
from planner.levels.history import LevelBelief
from planner.matching.outlook import PieceOutlook
from planner.scheduling.check import is_readable, place_cost
from planner.scheduling.problem import (
    Candidate,
    Limits,
    PlanDay,
    PlanProblem,
    PlanSection,
    PlanWish,
    turn_bounds,
)
from planner.services.term.reading_time import ReadingTime, fitting_time
from planner.wording.director.plan import nearest_note, never_leads_note, skill_left_out_note

STRONG_FOCUS = 0.25
SOME_FOCUS = 1.0
"""A piece trains a skill strongly when that dimension lies at most so many levels below the piece as a
whole, and somewhat within the second figure. Source: house choices."""

FOCUS_COST = 8
PROBLEM_RELIEF = 2
"""A slot costs less on a skill that went wrong lately: so much less for each tenth of the results
naming it. Source: house choices."""


MOST_CANDIDATES = 400
"""Pieces the search looks at. Source: measured; 300 pieces are planned within the time allowed."""


@dataclass(frozen=True, slots=True)
class TermFacts:
    """What the problem is made from; all read in one unit of work.

    ``forecasts`` are the beliefs about each section on each reading day of the term, by section.
    """

    term: Term
    ensemble: Ensemble
    outlooks: tuple[PieceOutlook, ...]
    plan: Plan | None
    wishes: tuple[Wish, ...]
    results: tuple[Result, ...]
    today: date
    forecasts: Mapping[int, tuple[LevelBelief, ...]]


@dataclass(frozen=True, slots=True)
class TermProblem:
    """The problem with what its sentences need.

    Attributes:
        problem: For the solver.
        times: Minutes of each piece, and the excerpt if only that fits.
        named: How often each skill was named as a problem in the results.
        notes: What was set aside before planning, in sentences.
    """

    problem: PlanProblem
    times: Mapping[int, ReadingTime]
    named: Mapping[str, int]
    notes: tuple[str, ...]


def build_problem(facts: TermFacts, limits: Limits) -> TermProblem:
    """State what is to be filled and with what."""
    days = _days(facts)
    past = _past_slots(facts, {day.on for day in days if day.is_past})
    open_slots = sum(day.slots for day in days if not day.is_past)
    times = {o.piece.id: _time(o, facts.term) for o in facts.outlooks}
    pieces = tuple(_candidate(o, times[o.piece.id]) for o in facts.outlooks)
    pieces, few_notes = _nearest(pieces, days, facts, limits)
    named = Counter(p for r in facts.results for p in r.problems if p in FOCUSES)
    focuses, focus_notes = _focuses(pieces, open_slots, limits, named, len(facts.results))
    featured, feature_notes = _featured(facts.ensemble, pieces, past, open_slots)
    dates = {day.on for day in days if not day.is_past}
    problem = PlanProblem(
        days=days,
        pieces=pieces,
        focuses=focuses,
        sections=_sections(facts),
        featured=featured,
        past=past,
        pins=_wishes(facts.wishes, "pinned", dates, {slot.piece_id for slot in past}),
        bans=_wishes(facts.wishes, "banned", dates, ()),
        limits=limits,
    )
    return TermProblem(problem, times, named, (*few_notes, *focus_notes, *feature_notes))


def _days(facts: TermFacts) -> tuple[PlanDay, ...]:
    term, logged = facts.term, {result.on for result in facts.results}
    dates = term.reading_dates()
    ahead = _ahead_of_plan(facts)
    start, target = _ramp(facts)
    days = []
    for at, on in enumerate(dates):
        share = at / (len(dates) - 1) if len(dates) > 1 else 0.0
        weeks = max(0.0, (on - facts.today).days / 7)
        days.append(
            PlanDay(
                on=on,
                minutes=term.minutes,
                slots=term.slots,
                target=round(clip_level(start + share * (target - start) + ahead), 2),
                growth=round(GROWTH_A_WEEK * weeks, 3),
                is_past=on < facts.today or on in logged,
            )
        )
    return tuple(days)


def _sections(facts: TermFacts) -> tuple[PlanSection, ...]:
    return tuple(
        PlanSection(
            s.id, s.name, s.level, s.size, tuple(round(belief.level, 3) for belief in facts.forecasts[s.id])
        )
        for s in facts.ensemble.sections
    )


def _ramp(facts: TermFacts) -> tuple[float, float]:
    """Levels at the first and the last day as wished, or as the sections stood at the start."""
    term = facts.term
    began = _mean_level(facts.ensemble, at_start=True)
    start = began if term.start_level is None else term.start_level
    weeks = (term.last - term.first).days / 7
    target = start + GROWTH_A_WEEK * weeks if term.target_level is None else term.target_level
    return start, target


def _ahead_of_plan(facts: TermFacts) -> float:
    """Levels by which results have put the sections above (or below) where they were believed to begin."""
    now, began = (_mean_level(facts.ensemble, at_start=at) for at in (False, True))
    return now - began


def _mean_level(ensemble: Ensemble, *, at_start: bool) -> float:
    players = sum(s.size for s in ensemble.sections)
    if not players:
        return 1.0
    total = sum(
        s.size * (s.start_level if at_start and s.start_level is not None else s.level)
        for s in ensemble.sections
    )
    return total / players


def _past_slots(facts: TermFacts, past: Collection[date]) -> tuple[Slot, ...]:
    return tuple(slot for slot in facts.plan.slots if slot.on in past) if facts.plan else ()


def _time(outlook: PieceOutlook, term: Term) -> ReadingTime:
    return fitting_time(outlook.profile, term.minutes / max(1, term.slots), outlook.level)


def _candidate(outlook: PieceOutlook, time: ReadingTime) -> Candidate:
    piece = outlook.piece
    level = outlook.level or 0.0
    if time.excerpt is not None and time.excerpt.level is not None:
        level = clip_level(time.excerpt.level + level - (outlook.profile.level or level))
    hardest: dict[int, float] = {}
    for fit in outlook.fits:
        if fit.level is not None:
            hardest[fit.section.id] = max(fit.level, hardest.get(fit.section.id, 0.0))
    return Candidate(
        piece_id=piece.id,
        title=piece.title,
        level=round(level, 2),
        minutes=time.minutes,
        trains=_trains(outlook.profile),
        features=_features(outlook),
        parts=tuple((section, round(at, 2)) for section, at in hardest.items()),
        is_fresh=outlook.met is None,
    )


def _nearest(
    pieces: tuple[Candidate, ...], days: Sequence[PlanDay], facts: TermFacts, limits: Limits
) -> tuple[tuple[Candidate, ...], list[str]]:
    """Of a large library the pieces that suit some day best, and a note that says so; else all of it."""
    if len(pieces) <= MOST_CANDIDATES:
        return pieces, []
    kept = {wish.piece_id for wish in facts.wishes if wish.kind == "pinned"}
    problem = PlanProblem(tuple(days), pieces, (), _sections(facts), limits=limits)
    a_day = max(1, MOST_CANDIDATES // max(1, len(problem.free_days)))
    for day in problem.free_days:
        near = sorted(
            (place_cost(problem, piece, day), piece.piece_id)
            for piece in pieces
            if piece.is_fresh and piece.piece_id not in kept and is_readable(problem, piece, day)
        )
        kept.update(piece_id for _, piece_id in near[:a_day])
    return tuple(piece for piece in pieces if piece.piece_id in kept), [nearest_note(len(pieces), len(kept))]


def skill_levels(profile: PieceProfile) -> dict[str, Contribution]:
    """For each skill the hardest of its dimensions in the piece, or among its parts."""
    found: dict[str, Contribution] = {}
    every = profile.contributions or [c for part in profile.parts for c in part.contributions]
    for each in every:
        skill = Dimension(each.name).skill
        if skill not in found or each.level > found[skill].level:
            found[skill] = each
    return found


def _trains(profile: PieceProfile) -> tuple[tuple[str, int], ...]:
    levels = skill_levels(profile)
    base = profile.level or 0.0
    trains = [
        (focus, 2 if levels[focus].level >= base - STRONG_FOCUS else 1)
        for focus in FOCUSES
        if focus in levels and levels[focus].level >= base - SOME_FOCUS
    ]
    if not trains and levels:
        best = max((f for f in FOCUSES if f in levels), key=lambda f: levels[f].level, default="")
        trains = [(best, 1)] if best else []
    return tuple(trains)


def _features(outlook: PieceOutlook) -> tuple[tuple[int, int], ...]:
    """A section can be featured when its part is busy; it leads when its part stands out in level."""
    parts = {part.name: part for part in outlook.profile.parts}
    mains = {fit.section.id: fit for fit in reversed(outlook.fits)}
    if not mains:
        return ()
    notes = sorted(parts[fit.cast.part].notes for fit in mains.values())
    levels = sorted(fit.level for fit in mains.values() if fit.level is not None)
    busy = notes[len(notes) // 2]
    high = levels[(2 * len(levels)) // 3] if levels else math.inf
    found = []
    for section, fit in mains.items():
        count = parts[fit.cast.part].notes
        if 2 * count >= busy:
            leads = count >= busy and fit.level is not None and fit.level >= high
            found.append((section, 2 if leads else 1))
    return tuple(sorted(found))


def _focuses(
    pieces: Sequence[Candidate], open_slots: int, limits: Limits, named: Mapping[str, int], results: int
) -> tuple[tuple[tuple[str, int], ...], list[str]]:
    """The skills that can take turns with the pieces there are, and what a slot with each costs."""
    windows = open_slots // limits.focus_window if limits.focus_window else 0
    able = Counter(focus for piece in pieces if piece.is_fresh for focus, _ in piece.trains)
    kept, notes = [], []
    for focus in FOCUSES:
        if able[focus] == 0 or able[focus] < windows + 1:
            if able[focus] < windows + 1:
                notes.append(skill_left_out_note(focus, able[focus]))
            continue
        share = named.get(focus, 0) / results if results else 0.0
        kept.append((focus, max(0, FOCUS_COST - PROBLEM_RELIEF * round(10 * share))))
    return tuple(kept), notes


def _featured(
    ensemble: Ensemble, pieces: Sequence[Candidate], past: Sequence[Slot], open_slots: int
) -> tuple[tuple[tuple[int, int, int], ...], list[str]]:
    able = Counter(section for piece in pieces if piece.is_fresh for section, _ in piece.features)
    turning = tuple(s.id for s in ensemble.sections if able[s.id])
    notes = [never_leads_note(s.name) for s in ensemble.sections if not able[s.id]]
    counts = Counter(slot.featured_section_id for slot in past if slot.featured_section_id)
    done = {section: counts[section] for section in turning}
    return turn_bounds(turning, done, open_slots, dict(able)), notes


def _wishes(
    wishes: Sequence[Wish], kind: str, dates: Collection[date], read: Collection[int]
) -> tuple[PlanWish, ...]:
    """Wishes that still concern days to come."""
    return tuple(
        PlanWish(w.piece_id, w.on)
        for w in wishes
        if w.kind == kind and (w.on in dates or (w.on is None and w.piece_id not in read))
    )
