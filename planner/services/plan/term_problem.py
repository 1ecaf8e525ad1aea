"""From library, ensemble, term and results to the problem the solver fills."""

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

from planner.core.difficulty import FOCUSES
from planner.core.ensemble import Ensemble, Section
from planner.core.term import Plan, Result, Slot, Term, Wish, again_minutes
from planner.levels.curve import clip_level
from planner.levels.history import LevelBelief
from planner.matching.copies import sets_of
from planner.matching.outlook import PieceOutlook
from planner.scheduling import check
from planner.scheduling.problem import (
    OPEN_PIECE,
    Candidate,
    Limits,
    PartAsked,
    PlanDay,
    PlanProblem,
    PlanSection,
    PlanWish,
    turn_bounds,
)
from planner.services.plan.demands import Ladder, features, skill_shares, telling_traits, traits
from planner.services.plan.freshness import KnownOn
from planner.services.plan.reading_time import ReadingTime, fitting_time
from planner.services.plan.term_days import plan_days

FOCUS_COST = 40
PROBLEM_RELIEF = 8
"""A slot costs less on a skill that went wrong lately: so much less for each tenth of the results
naming it. Source: house choices."""

PROBLEM_SHARE = 2.0
"""How much larger the share of the term is of a skill that every result named as a problem (house choice):
one that half of them name comes up twice as often."""

FROZEN_SLACK = 0.05
"""Chance of being lost by which an announced day may go beyond the limit before it is questioned, so that it
is not questioned anew with every result. Source: house choice."""

FREEING_RULES = frozenset({
    check.FILLED, check.ONCE, check.FRESH, check.FORCES, check.MINUTES, check.READABLE, check.FOLDERS,
    check.PINS, check.BANS,
})  # fmt: skip
"""Rules whose breach frees a day that would stay. What only orders or names its pieces frees none."""


@dataclass(frozen=True, slots=True)
class TermFacts:
    """What the problem is made from; all read in one unit of work.

    Attributes:
        term, ensemble: What is planned for whom.
        outlooks: Every piece with a level, or those that matter to one question, as the ensemble would meet
            them.
        plan: The plan in force; None while there is none.
        wishes: The director's.
        results: Of the ensemble, up to the last day of the term.
        today: Days before it are past.
        forecasts: The beliefs about each section on each reading day of the term, by section.
        known: Who knows what, by reading day.
        away: By date, how often each piece is read by other ensembles.
        linked: By piece, other files of the same piece.
        copies: By piece, copies by part, where they were counted.
        printed: Days with printed guides, and the pieces they are for.
        shares: Where not every piece is looked at: by piece of the library the skills that make its level.
    """

    term: Term
    ensemble: Ensemble
    outlooks: tuple[PieceOutlook, ...]
    plan: Plan | None
    wishes: tuple[Wish, ...]
    results: tuple[Result, ...]
    today: date
    forecasts: Mapping[int, tuple[LevelBelief, ...]]
    known: KnownOn
    away: Mapping[date, Counter[int]]
    linked: Mapping[int, frozenset[int]]
    copies: Mapping[int, Mapping[str, int]]
    printed: Mapping[date, frozenset[int]]
    shares: Mapping[int, Mapping[str, float]] = field(default_factory=dict)

    def planned(self, on: date) -> tuple[Slot, ...]:
        """What the plan in force has on a day, open slots left out."""
        slots = self.plan.on(on) if self.plan else ()
        return tuple(slot for slot in slots if slot.piece_id != OPEN_PIECE)

    def again(self, on: date) -> tuple[int, ...]:
        """Pieces the director wants read again on a day."""
        return tuple(wish.piece_id for wish in self.wishes if wish.kind == "again" and wish.on == on)


@dataclass(frozen=True, slots=True)
class Breach:
    """Why a day that would have stayed as it is was opened.

    Attributes:
        on: The day.
        rule: The rule that its plan breaks now, by its name in ``scheduling.check``.
        piece_id: The piece that breaks it; None where it is not one piece alone.
    """

    on: date
    rule: str
    piece_id: int | None = None


@dataclass(frozen=True, slots=True)
class ShortSkill:
    """A skill that too few pieces train for its share of the term.

    Attributes:
        skill: Which.
        pieces: Fresh pieces that train it.
        share: Slots it should have.
    """

    skill: str
    pieces: int
    share: int


@dataclass(frozen=True, slots=True)
class TermProblem:
    """The problem with what its sentences need.

    Attributes:
        problem: For the solver.
        facts: What it was made from.
        times: Minutes of each piece, and the excerpt if only that fits.
        named: How often each skill was named as a problem in the results.
        again: Second readings the director asked for, beside what the solver fills.
        breaches: Days that were opened although they should have stayed, and why.
        short: Skills that too few pieces train.
        never_featured: Sections that have the tune in no fresh piece.
    """

    problem: PlanProblem
    facts: TermFacts
    times: Mapping[int, ReadingTime]
    named: Mapping[str, int]
    again: tuple[Slot, ...]
    breaches: tuple[Breach, ...]
    short: tuple[ShortSkill, ...]
    never_featured: tuple[Section, ...]

    def whole_plan(self, slots: Sequence[Slot]) -> tuple[Slot, ...]:
        """Slots the solver filled, with the second readings after them."""
        return tuple(sorted((*slots, *self.again), key=lambda s: (s.on, s.position, s.station or 0)))

    def without_again(self, slots: Sequence[Slot]) -> tuple[Slot, ...]:
        """The slots of a plan that the solver is answerable for."""
        own = {(slot.on, slot.piece_id) for slot in self.again}
        return tuple(slot for slot in slots if (slot.on, slot.piece_id) not in own)

    def filled_up(self, slots: Sequence[Slot]) -> tuple[Slot, ...]:
        """A plan as the rules look at it: places that hold nothing are open."""
        return filled_up(self.problem, slots)


def filled_up(problem: PlanProblem, slots: Sequence[Slot]) -> tuple[Slot, ...]:
    """A plan as the rules look at it: settled days as they are, places that hold nothing open."""
    kept = {day.on for day in problem.days if day.is_settled}
    inside = [s for s in slots if s.on not in kept and problem.sitting_of(s) and s.piece_id != OPEN_PIECE]
    taken = {(s.on, s.station, s.position) for s in inside}
    places = (
        (problem.days[sitting.day].on, sitting.station, sitting.round + at)
        for sitting in problem.sittings
        for at in range(sitting.slots)
    )
    opened = (Slot(on, at, OPEN_PIECE, "", station=st) for on, st, at in places if (on, st, at) not in taken)
    return (*problem.settled, *inside, *opened)


def build_problem(facts: TermFacts, limits: Limits, *, opened: Collection[date] | None = None) -> TermProblem:
    """State what is to be filled and with what.

    Args:
        facts: What is known.
        limits: How strict the rules are.
        opened: Days to come on which alone something may change; None asks what is announced, printed or
            pinned, and leaves the rest open.
    """
    over = _days_over(facts)
    times = {o.piece.id: _time(o, facts.term) for o in facts.outlooks}
    again = _again(facts, times, over)
    pieces = _candidates(facts, times)
    loose = _loose_problem(facts, limits, pieces, over, again)
    if opened is None:
        kept, held, breaches = _frozen(facts, loose)
    else:
        kept, held, breaches = {day.on for day in loose.days} - {*over, *opened}, (), ()
    settled = {*over, *kept, *(day.on for day in loose.days if not day.slots)}
    days = tuple(replace(day, is_settled=day.on in settled) for day in loose.days)
    again_on = {(slot.on, slot.piece_id) for slot in again}
    slots = facts.plan.slots if facts.plan else ()
    own = tuple(s for s in slots if s.piece_id != OPEN_PIECE and (s.on, s.piece_id) not in again_on)
    problem = replace(
        loose,
        days=days,
        settled=tuple(slot for slot in own if slot.on in over or slot.on in kept),
        stands=tuple(slot for slot in own if slot.on not in settled),
        pins=(*loose.pins, *(pin for pin in held if pin not in loose.pins)),
    )
    return _with_turns(facts, problem, times, again, breaches)


def _with_turns(
    facts: TermFacts,
    problem: PlanProblem,
    times: Mapping[int, ReadingTime],
    again: tuple[Slot, ...],
    breaches: tuple[Breach, ...],
) -> TermProblem:
    """The problem with what each skill and each section should come to over the term."""
    named = Counter(p for r in facts.results for p in r.problems if p in FOCUSES)
    fresh = [piece for piece in problem.pieces if set(problem.free_days) - piece.stale_on]
    focuses, short = _focuses(problem, fresh, named, len(facts.results))
    able = Counter(section for piece in fresh for section, _ in piece.features)
    turning = tuple(s.id for s in facts.ensemble.sections if able[s.id])
    past = Counter(slot.featured_section_id for slot in problem.settled if slot.featured_section_id)
    done = {section: past[section] for section in turning}
    return TermProblem(
        problem=replace(
            problem, focuses=focuses, featured=turn_bounds(turning, done, problem.open_slots, dict(able))
        ),
        facts=facts,
        times=times,
        named=named,
        again=again,
        breaches=breaches,
        short=short,
        never_featured=tuple(s for s in facts.ensemble.sections if not able[s.id]),
    )


def _days_over(facts: TermFacts) -> frozenset[date]:
    """Days that are past, or of which something is logged."""
    logged = {result.on for result in facts.results}
    return frozenset(on for on in facts.term.reading_dates() if on < facts.today or on in logged)


def _loose_problem(
    facts: TermFacts,
    limits: Limits,
    pieces: tuple[Candidate, ...],
    over: Collection[date],
    again: Sequence[Slot],
) -> PlanProblem:
    """The problem with every day to come open, its second readings taken out."""
    days = tuple(
        _without(day, again) if day.on not in over else day
        for day in plan_days(facts.term, facts.ensemble, facts.forecasts, over)
    )
    ahead = {day.on for day in days} - set(over)
    settled = tuple(slot for on in sorted(over) for slot in facts.planned(on))
    read = {slot.piece_id for slot in settled}
    known = {piece.piece_id for piece in pieces}
    return PlanProblem(
        days=days,
        pieces=pieces,
        focuses=tuple((focus, 0, 0) for focus in FOCUSES),
        sections=_sections(facts),
        settled=settled,
        pins=tuple(pin for pin in _wishes(facts.wishes, "pinned", ahead, read) if pin.piece_id in known),
        bans=_wishes(facts.wishes, "banned", ahead, ()),
        limits=limits,
    )


def _without(day: PlanDay, again: Sequence[Slot]) -> PlanDay:
    """A day with the minutes and slots that its second readings leave."""
    taken = [slot for slot in again if slot.on == day.on]
    minutes = day.minutes - sum(slot.minutes for slot in taken)
    return replace(day, slots=max(0, day.slots - len(taken)), minutes=max(0.0, minutes)) if taken else day


def _frozen(
    facts: TermFacts, loose: PlanProblem
) -> tuple[set[date], tuple[PlanWish, ...], tuple[Breach, ...]]:
    """Days to come that stay, pieces that stay on days with open slots, and days that cannot stay."""
    kept: set[date] = set()
    held: list[PlanWish] = []
    breaches: list[Breach] = []
    for day in loose.days:
        slots = tuple(s for s in facts.planned(day.on) if s.piece_id not in facts.again(day.on))
        if day.is_settled or not slots or not _should_stay(facts, day.on, slots):
            continue
        broken = breaches_on(loose, day.on, slots)
        breaches += broken
        if not broken and len(slots) >= day.slots * max(1, len(day.stations)):
            kept.add(day.on)
        elif not broken:
            held += [PlanWish(slot.piece_id, day.on) for slot in slots]
    return kept, tuple(held), tuple(breaches)


def _should_stay(facts: TermFacts, on: date, slots: Sequence[Slot]) -> bool:
    """Whether a planned day is announced, has printed guides, or has a pin that stands."""
    pieces = {slot.piece_id for slot in slots}
    pinned = {wish.piece_id for wish in facts.wishes if wish.kind == "pinned" and wish.on == on}
    is_announced = on < facts.today + timedelta(days=facts.term.announced_days)
    return is_announced or bool(pinned & pieces) or pieces <= facts.printed.get(on, frozenset())


def breaches_on(loose: PlanProblem, on: date, slots: Sequence[Slot]) -> list[Breach]:
    """Rules that what stands on a day breaks now, each with the piece that does where it is one.

    Args:
        loose: The problem with that day open.
        on: The day.
        slots: What stands there.
    """
    alone = replace(
        loose,
        days=tuple(replace(day, is_settled=day.on != on) for day in loose.days),
        pins=tuple(pin for pin in loose.pins if pin.on == on),
        limits=replace(loose.limits, lost=loose.limits.lost + FROZEN_SLACK, may_leave_open=True),
        stands=(),
    )
    broken = [rule for rule in check.broken_rules(alone, filled_up(alone, slots)) if rule in FREEING_RULES]
    found = []
    for rule in broken:
        pieces = [slot.piece_id for slot in slots if _breaks(alone, slot, rule)]
        found += [Breach(on, rule, piece) for piece in dict.fromkeys(pieces)] or [Breach(on, rule)]
    return found


def _breaks(problem: PlanProblem, slot: Slot, rule: str) -> bool:
    """Whether a slot by itself breaks a rule that one piece can break."""
    sitting, piece = problem.sitting_of(slot), problem.piece_by_id.get(slot.piece_id)
    if sitting is None or piece is None:
        return rule == check.FILLED
    is_pinned = problem.is_pinned(piece.piece_id, sitting.day)
    match rule:
        case check.FRESH:
            return sitting.day in piece.stale_on
        case check.FOLDERS:
            return sitting.day in piece.away_on
        case check.FORCES:
            return not is_pinned and not check.has_forces(problem, piece, sitting)
        case check.READABLE:
            return not is_pinned and not check.is_readable(problem, piece, sitting)
        case check.BANS:
            return check.is_banned(problem, piece.piece_id, slot.on)
        case check.ONCE:
            return any(settled.piece_id == piece.piece_id for settled in problem.settled)
    return False


def _sections(facts: TermFacts) -> tuple[PlanSection, ...]:
    return tuple(
        PlanSection(
            s.id,
            s.name,
            s.size,
            tuple(round(belief.level, 3) for belief in facts.forecasts[s.id]),
            tuple(round(belief.error, 3) for belief in facts.forecasts[s.id]),
        )
        for s in facts.ensemble.sections
    )


def _time(outlook: PieceOutlook, term: Term) -> ReadingTime:
    return fitting_time(outlook.profile, term.minutes / max(1, term.slots), outlook.level)


def _again(facts: TermFacts, times: Mapping[int, ReadingTime], over: Collection[date]) -> tuple[Slot, ...]:
    """Second readings on days to come, after the other pieces of their day."""
    by_id = {outlook.piece.id: outlook for outlook in facts.outlooks}
    found = []
    for on in facts.term.reading_dates():
        asked = [piece for piece in facts.again(on) if piece in by_id and on not in over]
        for at, piece in enumerate(asked, max(0, facts.term.slots_on(on) - len(asked))):
            focus = _last_focus(facts, piece)
            minutes = again_minutes(times[piece].minutes)
            found.append(Slot(on, at, piece, focus, minutes=minutes, is_pinned=True))
    return tuple(found)


def _last_focus(facts: TermFacts, piece_id: int) -> str:
    """The skill a piece was read for; the first of all where no plan of the term says."""
    slots = facts.plan.slots if facts.plan else ()
    return next((slot.focus for slot in slots if slot.piece_id == piece_id and slot.focus), FOCUSES[0])


def _candidates(facts: TermFacts, times: Mapping[int, ReadingTime]) -> tuple[Candidate, ...]:
    """Every piece that could be read on some day, of several files of one piece only one."""
    pinned = {wish.piece_id for wish in facts.wishes if wish.kind == "pinned"}
    stands = {slot.piece_id for slot in facts.plan.slots} if facts.plan else set()
    has_stations = any(shape.stations for shape in facts.term.shapes)
    wanted = [
        o
        for o in facts.outlooks
        if o.readings
        and not o.piece.lacks
        and (o.can_be_cast or has_stations or o.piece.id in pinned | stands)
    ]
    ladder = Ladder({**facts.shares, **{o.piece.id: skill_shares(o) for o in wanted}})
    wanted = [o for o in wanted if _is_first_file(o, wanted, facts.linked, pinned, stands)]
    alike = telling_traits({o.piece.id: traits(o) for o in wanted})
    return tuple(_candidate(facts, o, times[o.piece.id], ladder, alike[o.piece.id]) for o in wanted)


def _is_first_file(
    outlook: PieceOutlook,
    others: Sequence[PieceOutlook],
    linked: Mapping[int, frozenset[int]],
    pinned: Collection[int],
    stands: Collection[int],
) -> bool:
    """Whether a piece is the file to read among those of the same piece: pinned, planned, or suiting best."""
    same = linked.get(outlook.piece.id)
    if not same:
        return True
    together = [each for each in others if each.piece.id in same or each is outlook]
    best = min(
        together,
        key=lambda o: (o.piece.id not in pinned, o.piece.id not in stands, o.cost, o.piece.id),
    )
    return best is outlook


def _candidate(
    facts: TermFacts, outlook: PieceOutlook, time: ReadingTime, ladder: Ladder, likeness: frozenset[str]
) -> Candidate:
    piece = outlook.piece
    level = outlook.level or 0.0
    if time.excerpt is not None and time.excerpt.level is not None:
        level = clip_level(time.excerpt.level + level - (outlook.profile.level or level))
    dates = facts.term.reading_dates()
    sets = sets_of(facts.copies.get(piece.id, {}), outlook)
    return Candidate(
        piece_id=piece.id,
        title=piece.title,
        level=round(level, 2),
        minutes=time.minutes,
        trains=ladder.trains(piece.id),
        features=features(outlook, time.excerpt),
        parts=tuple(
            PartAsked(fit.section.id, round(fit.level or 0.0, 2), round(fit.error, 2))
            for fit in outlook.readings
        ),
        cost=outlook.fixed_cost,
        likeness=likeness,
        stale_on=frozenset(at for at, on in enumerate(dates) if piece.id in facts.known.get(on, {})),
        away_on=frozenset(
            at for at, on in enumerate(dates) if facts.away.get(on, Counter())[piece.id] >= sets
        ),
        is_for_all=outlook.can_be_cast,
        sets=sets,
    )


def problem_shares(skills: Sequence[str], named: Mapping[str, int], results: int) -> dict[str, float]:
    """By skill, the share of some results that name it as a problem, 0 to 1."""
    return {focus: named.get(focus, 0) / results if results else 0.0 for focus in skills}


def even_shares(slots: int, troubles: Mapping[str, float]) -> dict[str, int]:
    """How many of some slots each skill should have: all alike, what goes wrong often more.

    Args:
        slots: How many there are.
        troubles: By skill, the share of results that name it as a problem.

    Example:
        >>> even_shares(8, {"rhythm": 0.0, "key": 0.0}), even_shares(0, {})
        ({'rhythm': 4, 'key': 4}, {})
    """
    whole = sum(1 + PROBLEM_SHARE * trouble for trouble in troubles.values())
    return {focus: int(slots * (1 + PROBLEM_SHARE * trouble) / whole) for focus, trouble in troubles.items()}


def _focuses(
    problem: PlanProblem, fresh: Sequence[Candidate], named: Mapping[str, int], results: int
) -> tuple[tuple[tuple[str, int, int], ...], tuple[ShortSkill, ...]]:
    """The skills that take turns: what a slot with each costs, and how many slots each should have.

    All skills share the slots of the term evenly, those that results name as a problem more; what was read
    counts, so that what came up often before comes up less from now on.
    """
    able = Counter(focus for piece in fresh for focus, _ in piece.trains)
    done = Counter(slot.focus for slot in problem.settled)
    skills = [focus for focus in FOCUSES if able[focus] or done[focus]]
    troubles = problem_shares(skills, named, results)
    shares = even_shares(len(problem.settled) + problem.open_slots, troubles)
    kept, short = [], []
    for focus in skills:
        share = shares[focus]
        fewest = min(share, done[focus] + able[focus])
        cost = max(0, FOCUS_COST - PROBLEM_RELIEF * round(10 * troubles[focus]))
        kept.append((focus, cost, fewest))
        if fewest < share:
            short.append(ShortSkill(focus, able[focus], share - done[focus]))
    missing = [ShortSkill(f, 0, 0) for f in FOCUSES if f not in skills]
    return tuple(kept), (*short, *missing)


def _wishes(
    wishes: Sequence[Wish], kind: str, dates: Collection[date], read: Collection[int]
) -> tuple[PlanWish, ...]:
    """Wishes that still concern days to come."""
    return tuple(
        PlanWish(w.piece_id, w.on)
        for w in wishes
        if w.kind == kind and (w.on in dates or (w.on is None and w.piece_id not in read))
    )
