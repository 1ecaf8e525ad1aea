"""Small terms made up at random, with every shape of a day and every rule in play."""

import random
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

FIRST = date(2026, 9, 1)
SKILLS = ("rhythm", "key", "range", "leaps")
TRAITS = ("composer A", "composer B", "key C", "key G", "meter 3/4", "meter 4/4")


def random_term(seed: int, *, pieces: int = 12, days: int = 5, sections: int = 4) -> PlanProblem:
    """A term: the same seed gives the same one."""
    chance = random.Random(seed)
    people = tuple(_section(n + 1, days, chance) for n in range(sections))
    shapes = tuple(_day(n, people, chance) for n in range(days))
    candidates = tuple(_piece(n + 1, people, days, chance) for n in range(pieces))
    slots = sum(day.slots for day in shapes)
    takes_turns = tuple(s.id for s in people if chance.random() < 0.7)
    plain = PlanProblem(
        days=shapes,
        pieces=candidates,
        focuses=tuple((name, chance.randint(0, 5), slots // len(SKILLS)) for name in SKILLS),
        sections=people,
        featured=turn_bounds(takes_turns, {}, slots, {s.id: 4 for s in people}),
        settled=_settled(shapes, candidates, takes_turns, chance),
        limits=Limits(lost=0.4, focus_window=chance.choice((0, 3, 4)), may_leave_open=True),
    )
    return _with_wishes(plain, chance)


def _section(number: int, days: int, chance: random.Random) -> PlanSection:
    start = chance.uniform(1.5, 2.5)
    return PlanSection(
        number,
        f"Section {number}",
        chance.randint(1, 6),
        tuple(start + 0.02 * n for n in range(days)),
        tuple(0.3 for _ in range(days)),
    )


def _day(number: int, people: tuple[PlanSection, ...], chance: random.Random) -> PlanDay:
    on = FIRST + timedelta(days=2 * number)
    ids = [section.id for section in people]
    has_stations = chance.random() < 0.3 and len(ids) > 1
    slots = chance.choice((1, 1, 2, 3))
    return PlanDay(
        on=on,
        minutes=chance.choice((8.0, 9.0, 12.0)) * slots,
        slots=slots,
        stretch=chance.choice((0.0, 0.0, -0.3, 0.2)),
        is_settled=number < 1 and chance.random() < 0.5,
        stations=(Station("One", tuple(ids[::2])), Station("Two", tuple(ids[1::2]))) if has_stations else (),
        absent=frozenset(i for i in ids if chance.random() < 0.1),
    )


def _piece(number: int, people: tuple[PlanSection, ...], days: int, chance: random.Random) -> Candidate:
    level = chance.uniform(1.0, 3.2)
    reads = [section.id for section in people if chance.random() < 0.8]
    return Candidate(
        piece_id=number,
        title=f"Piece {number}",
        level=round(level, 2),
        minutes=round(chance.uniform(3, 9), 1),
        trains=tuple((name, chance.choice((1, 2))) for name in SKILLS if chance.random() < 0.6),
        features=tuple((i, chance.choice((1, 2))) for i in reads if chance.random() < 0.6),
        parts=tuple(PartAsked(i, level + chance.gauss(0, 0.3), chance.choice((0.0, 0.2))) for i in reads),
        cost=chance.choice((0, 0, 4)),
        likeness=frozenset(chance.sample(TRAITS, 2)),
        stale_on=frozenset(range(chance.randrange(days), days)) if chance.random() < 0.2 else frozenset(),
        away_on=frozenset({chance.randrange(days)}) if chance.random() < 0.1 else frozenset(),
        is_for_all=chance.random() < 0.9,
        sets=chance.choice((1, 1, 2)),
    )


def _settled(
    days: tuple[PlanDay, ...],
    pieces: tuple[Candidate, ...],
    turns: tuple[int, ...],
    chance: random.Random,
) -> tuple[Slot, ...]:
    found = []
    for day in days:
        for position in range(day.slots if day.is_settled and not day.stations else 0):
            piece = pieces[position]
            turn = chance.choice((None, *turns))
            found.append(Slot(day.on, position, piece.piece_id, chance.choice(SKILLS), turn))
    return tuple(found)


def _with_wishes(problem: PlanProblem, chance: random.Random) -> PlanProblem:
    """The same with bans, now and then a pin, and a plan in force on some days."""
    from dataclasses import replace

    from planner.scheduling import check

    dates = [day.on for day in problem.days]
    bans = tuple(
        PlanWish(piece.piece_id, chance.choice((None, *dates)))
        for piece in problem.pieces
        if chance.random() < 0.1
    )
    problem = replace(problem, bans=bans)
    pins: list[PlanWish] = []
    for _ in range(chance.choice((0, 0, 1, 2))):
        sitting = chance.choice(problem.sittings) if problem.sittings else None
        able = [p for p in problem.pieces if sitting is not None and check.may_stand(problem, p, sitting)]
        if able and sitting is not None:
            piece = chance.choice(able)
            if piece.piece_id not in {pin.piece_id for pin in pins} and all(
                pin.on != problem.days[sitting.day].on for pin in pins
            ):
                pins.append(PlanWish(piece.piece_id, problem.days[sitting.day].on))
    return replace(problem, pins=tuple(pins), stands=_standing(problem, chance))


def _standing(problem: PlanProblem, chance: random.Random) -> tuple[Slot, ...]:
    pieces = list(problem.pieces)
    chance.shuffle(pieces)
    found = []
    for sitting in problem.sittings:
        if pieces and chance.random() < 0.5:
            piece = pieces.pop()
            on = problem.days[sitting.day].on
            focus = piece.trains[0][0] if piece.trains else ""
            found.append(Slot(on, sitting.round, piece.piece_id, focus, station=sitting.station))
    return tuple(found)
