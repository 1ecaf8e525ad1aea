"""Tiny terms to plan, plain ones and random ones of every shape."""

import random
from dataclasses import replace
from datetime import date, timedelta

from planner.core.term import Slot, Station
from planner.scheduling.problem import (
    Candidate,
    Limits,
    PartAsked,
    PlanDay,
    PlanProblem,
    PlanSection,
    PlanWish,
    turn_bounds,
)

LIMIT_S = 600.0
"""Far more than any of these terms takes on a slow machine: what is found does not depend on it."""
FIRST = date(2026, 9, 1)
LOOSE = Limits(focus_window=0)
MOST_DAYS = 9
"""Days for which the sections of a plain term have a level, so that a test may give it more."""
SKILLS = ("rhythm", "key", "meter")
NAMES = ("Flute", "Tuba", "Horn", "Percussion")


def day(number: int, **changes) -> PlanDay:
    return replace(PlanDay(FIRST + timedelta(days=number), 10.0, 1), **changes)


def piece(number: int, level: float = 2.0, **changes) -> Candidate:
    """A piece that suits both sections of ``make_problem`` and trains two skills."""
    parts = (PartAsked(1, level), PartAsked(2, level))
    plain = Candidate(number, f"Piece {number}", level, 8.0, (("rhythm", 2), ("key", 2)), (), parts)
    return replace(plain, **changes)


def section(number: int, days: int, level: float = 2.0, size: int = 2, error: float = 0.3) -> PlanSection:
    return PlanSection(number, NAMES[number - 1], size, (level,) * days, (error,) * days)


def make_problem(days: int = 3, pieces: int = 4, **changes) -> PlanProblem:
    """A term without any difficulty: each rule's test adds its own."""
    plain = PlanProblem(
        days=tuple(day(n) for n in range(days)),
        pieces=tuple(piece(n + 1) for n in range(pieces)),
        focuses=(("rhythm", 0, 0), ("key", 1, 0)),
        sections=(section(1, MOST_DAYS), section(2, MOST_DAYS)),
        limits=LOOSE,
    )
    return replace(plain, **changes)


def random_problem(seed: int, *, most_slots: int = 4, most_pieces: int = 5) -> PlanProblem:
    """A tiny term of any shape: stations, absent sections, several slots, settled days, wishes.

    Args:
        seed: Same seed, same problem.
        most_slots: Slots still to fill at most, stations counted each.
        most_pieces: Candidates at most.
    """
    chance = random.Random(f"tiny term {seed}")
    rough = chance.choice((0.2, 0.2, 1.0))
    readers = chance.randint(0 if chance.random() < 0.08 else 1, 3)
    days = _days(chance, readers, most_slots)
    sections = tuple(
        PlanSection(
            n + 1,
            NAMES[n],
            chance.randint(1, 4),
            tuple(chance.choice((1.5, 2.0, 2.3)) for _ in days),
            tuple(chance.choice((0.0, 0.3, 0.5)) for _ in days),
        )
        for n in range(readers)
    )
    count = max(1, chance.randint(1, most_pieces) - round(2 * rough) + 1)
    pieces = tuple(_piece(chance, n + 1, readers, len(days), rough) for n in range(min(count, most_pieces)))
    names = chance.sample(SKILLS, chance.randint(1, 3))
    focuses = tuple((name, chance.randint(0, 5), chance.randint(0, 2)) for name in sorted(names))
    settled = _settled(chance, days, pieces, sections)
    problem = PlanProblem(
        days=days,
        pieces=pieces,
        focuses=focuses,
        sections=sections,
        settled=settled,
        pins=_wishes(chance, days, pieces, (0, 0, 1, 1, 2) if rough == 1.0 else (0, 0, 0, 1)),
        bans=_wishes(chance, days, pieces, (0, 0, 0, 1, 2)),
        limits=Limits(
            lost=chance.choice((0.1, 0.25, 0.25, 0.6)),
            focus_window=chance.choice((0, 2, 3)),
            may_leave_open=chance.random() < 0.15,
            change_cost=chance.choice((0, 40)),
        ),
    )
    return replace(problem, featured=_turns(chance, problem), stands=_stands(chance, problem))


def _days(chance: random.Random, readers: int, most_slots: int) -> tuple[PlanDay, ...]:
    days, left = [], most_slots
    for number in range(chance.randint(1, 4)):
        slots = chance.choice((1, 1, 2, 3))
        stations = _stations(chance, readers) if chance.random() < 0.3 else ()
        is_settled = number < 2 and chance.random() < 0.2
        needed = slots * max(1, len(stations))
        if not is_settled and needed > left:
            slots, stations, needed = 1, (), 1
        if not is_settled and needed > left:
            break
        left -= 0 if is_settled else needed
        away = frozenset(n + 1 for n in range(readers) if chance.random() < 0.12)
        days.append(
            day(
                number + (number > 1) * 5,
                minutes=chance.choice((6.0, 8.0, 10.0, 12.5, 20.0)) * (slots if chance.random() < 0.6 else 1),
                slots=slots,
                stretch=chance.choice((0.0, 0.0, 0.3, -0.3)),
                is_settled=is_settled,
                stations=stations,
                absent=away,
            )
        )
    return tuple(days)


def _stations(chance: random.Random, readers: int) -> tuple[Station, ...]:
    ids = [n + 1 for n in range(readers)]
    chance.shuffle(ids)
    cut = chance.randint(1, max(1, readers - 1))
    groups = [group for group in (ids[:cut], ids[cut:]) if group]
    return tuple(Station(f"Room {at + 1}", tuple(sorted(group))) for at, group in enumerate(groups))


def _piece(chance: random.Random, number: int, readers: int, days: int, rough: float) -> Candidate:
    def some(share: float, of: int) -> list[int]:
        return [n for n in range(of) if chance.random() < share]

    level = chance.choice((1.4, 2.0, 2.0, 2.3, 3.0 if rough == 1.0 else 2.1))
    return Candidate(
        number,
        f"Piece {number}",
        level,
        chance.choice((3.0, 4.0, 5.5, 6.0, 8.3)),
        tuple((name, chance.choice((1, 2))) for name in SKILLS if chance.random() < 1.0 - 0.3 * rough),
        tuple((n + 1, chance.choice((1, 2))) for n in some(0.5, readers)),
        tuple(
            PartAsked(n + 1, level + chance.choice((-0.5, 0.0, 0.0, 0.6)), chance.choice((0.0, 0.3)))
            for n in some(0.8, readers)
        ),
        cost=chance.choice((0, 0, 7)),
        likeness=frozenset(name for name in ("by Sousa", "in D", "in 6/8") if chance.random() < 0.4),
        stale_on=frozenset(some(0.1 * rough, days)),
        away_on=frozenset(some(0.08 * rough, days)),
        is_for_all=chance.random() < 1.0 - 0.15 * rough,
        sets=chance.choice((1, 1, 1, 2)),
    )


def _settled(
    chance: random.Random,
    days: tuple[PlanDay, ...],
    pieces: tuple[Candidate, ...],
    sections: tuple[PlanSection, ...],
) -> tuple[Slot, ...]:
    """What the settled days hold: candidates, pieces that are none, or nothing."""
    found, left = [], [*(piece.piece_id for piece in pieces), 90, 91, 92, 93, 94, 95]
    for each in days:
        stations = range(len(each.stations)) if each.stations else (None,)
        for position in range(each.slots if each.is_settled else 0):
            for station in stations:
                if chance.random() < 0.8:
                    number = left.pop(chance.randrange(len(left)))
                    who = chance.choice((None, *(s.id for s in sections)))
                    skill = chance.choice(SKILLS)
                    found.append(Slot(each.on, position, number, skill, who, station=station))
    return tuple(found)


def _wishes(
    chance: random.Random, days: tuple[PlanDay, ...], pieces: tuple[Candidate, ...], counts: tuple[int, ...]
) -> tuple[PlanWish, ...]:
    dates = [None, *(d.on for d in days), *(d.on for d in days)]
    wishes = [
        PlanWish(chance.choice(pieces).piece_id, chance.choice(dates)) for _ in range(chance.choice(counts))
    ]
    if chance.random() < 0.03:
        wishes.append(PlanWish(chance.choice((77, pieces[0].piece_id)), FIRST - timedelta(days=9)))
    return tuple(dict.fromkeys(wishes))


def _turns(chance: random.Random, problem: PlanProblem) -> tuple[tuple[int, int, int], ...]:
    names = tuple(s.id for s in problem.sections if chance.random() < 0.7)
    able = {n: sum(1 for p in problem.pieces if n in dict(p.features)) for n in names}
    past = {n: sum(1 for s in problem.settled if s.featured_section_id == n) for n in names}
    return turn_bounds(names, past, problem.open_slots, able)


def _stands(chance: random.Random, problem: PlanProblem) -> tuple[Slot, ...]:
    """A plan in force that need not keep any rule."""
    found = []
    for sitting in problem.sittings if chance.random() < 0.5 else ():
        on = problem.days[sitting.day].on
        for at in range(sitting.slots):
            number = chance.choice(problem.pieces).piece_id
            found.append(Slot(on, sitting.round + at, number, "rhythm", station=sitting.station))
    return tuple(found)
