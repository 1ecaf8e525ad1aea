"""The rules of a term plan once more, as a director would state them, and every plan of a tiny term.

Written beside ``planner.scheduling.check`` and sharing nothing with it but the names of the rules and the
curve of ``levels.curve``. It goes section by section and date by date, where ``check`` goes slot by slot.
"""

import random
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from itertools import product
from statistics import NormalDist

from planner.core.term import Slot
from planner.levels.curve import expected_share
from planner.scheduling import check
from planner.scheduling.problem import OPEN_PIECE, Candidate, PlanDay, PlanProblem

HALF_A_STATION = 0.5
LOST = 0.5


@dataclass(frozen=True)
class Group:
    """People in one room: everybody on a day, or a station in one round, and the places they have to fill."""

    day: PlanDay
    at: int
    station: int | None
    round: int
    sections: frozenset[int]
    positions: tuple[int, ...]
    minutes: float


def groups_of(problem: PlanProblem) -> list[Group]:
    """Who reads when, days that are settled left out."""
    found = []
    for at, day in enumerate(problem.days):
        present = {s.id for s in problem.sections if s.id not in day.absent}
        if day.is_settled:
            continue
        if not day.stations:
            found.append(Group(day, at, None, 0, frozenset(present), tuple(range(day.slots)), day.minutes))
        for station, group in enumerate(day.stations):
            here = frozenset(s for s in group.section_ids if s in present)
            turns = range(day.slots if here else 0)
            found += [Group(day, at, station, turn, here, (turn,), day.minutes / day.slots) for turn in turns]
    return found


def gap_at_half() -> float:
    """Levels above the section at which half of the bars are right, found by halving."""
    low, high = 0.0, 10.0
    while high - low > 1e-13:
        middle = (low + high) / 2
        low, high = (middle, high) if expected_share(0.0, middle) > LOST else (low, middle)
    return low


GAP_AT_HALF = gap_at_half()


def lost_readers(problem: PlanProblem, piece: Candidate, group: Group) -> set[int]:
    """Sections in the room for whom the chance of getting fewer than half of the bars right is too great."""
    lost = set()
    for section in problem.sections:
        for part in piece.parts:
            if part.section_id == section.id and section.id in group.sections:
                gap = part.level - section.levels[group.at]
                spread = (section.errors[group.at] ** 2 + part.error**2) ** 0.5
                if spread:
                    chance = 1.0 - NormalDist(gap, spread).cdf(GAP_AT_HALF)
                else:
                    chance = float(gap > GAP_AT_HALF)
                if chance > problem.limits.lost + 1e-9:
                    lost.add(section.id)
    return lost


def is_pinned_there(problem: PlanProblem, piece: Candidate, group: Group) -> bool:
    return any((pin.piece_id, pin.on) == (piece.piece_id, group.day.on) for pin in problem.pins)


def can_play(problem: PlanProblem, piece: Candidate, group: Group) -> bool:
    """Everybody: when the ensemble can be cast. A station: when half of its players have a part."""
    if group.station is None:
        return piece.is_for_all
    players = sum(s.size for s in problem.sections if s.id in group.sections)
    playing = sum(
        s.size for p in piece.parts for s in problem.sections if s.id == p.section_id in group.sections
    )
    return playing > 0 and playing / players >= HALF_A_STATION


def against(problem: PlanProblem, piece: Candidate, group: Group) -> dict[str, set[int]]:
    """Rules that keep a piece out of a room, each with the sections it is about."""
    found: dict[str, set[int]] = {}
    names = {name for name, _, _ in problem.focuses}
    if group.at in piece.stale_on:
        found[check.FRESH] = set()
    if group.at in piece.away_on or piece.sets == 0:
        found[check.FOLDERS] = set()
    if round(piece.minutes * 10) > round(group.minutes * 10):
        found[check.MINUTES] = set()
    if any(ban.piece_id == piece.piece_id and ban.on in (None, group.day.on) for ban in problem.bans):
        found[check.BANS] = set()
    if not any(name in names for name, _ in piece.trains):
        found[check.FOCUSED] = set()
    if piece.piece_id in {slot.piece_id for slot in problem.settled}:
        found[check.ONCE] = set()
    if not is_pinned_there(problem, piece, group):
        if not can_play(problem, piece, group):
            found[check.FORCES] = set()
        if lost := lost_readers(problem, piece, group):
            found[check.READABLE] = lost
    return found


@dataclass(frozen=True)
class Reading:
    """One group reads one piece."""

    group: Group
    slot: Slot
    piece: Candidate


def readings_of(problem: PlanProblem, slots: tuple[Slot, ...]) -> list[Reading]:
    pieces = {piece.piece_id: piece for piece in problem.pieces}
    found = []
    for group in groups_of(problem):
        for slot in sorted(slots, key=lambda s: s.position):
            is_here = slot.on == group.day.on and slot.station == group.station
            if group.station is not None:
                is_here = is_here and slot.position == group.round
            if is_here and slot.piece_id in pieces:
                found.append(Reading(group, slot, pieces[slot.piece_id]))
    return found


def broken(problem: PlanProblem, slots: tuple[Slot, ...]) -> set[str]:
    """Names of all rules a plan breaks, each judged by itself."""
    readings = readings_of(problem, slots)
    found = {rule for r in readings for rule in against(problem, r.piece, r.group) if rule != check.FOCUSED}
    judges = {
        check.FILLED: _leaves_places, check.SETTLED: _touches_settled, check.PINS: _forgets_pins,
        check.BANS: _brings_banned,
    }  # fmt: skip
    found |= {rule for rule, judge in judges.items() if judge(problem, slots)}
    by_reading = {
        check.ONCE: _repeats, check.MINUTES: _runs_over, check.FOLDERS: _splits_folders,
        check.EASIER_FIRST: _begins_hard, check.FOCUSED: _misses_skill, check.FEATURED: _features_wrongly,
    }  # fmt: skip
    return found | {rule for rule, judge in by_reading.items() if judge(problem, readings)}


def _leaves_places(problem: PlanProblem, slots: tuple[Slot, ...]) -> bool:
    places = [(g.day.on, g.station, position) for g in groups_of(problem) for position in g.positions]
    settled = {day.on for day in problem.days if day.is_settled}
    open_slots = [s for s in slots if s.on not in settled]
    allowed = {p.piece_id for p in problem.pieces} | (
        {OPEN_PIECE} if problem.limits.may_leave_open else set()
    )
    taken = [(s.on, s.station, s.position) for s in open_slots]
    return (
        len(taken) != len(places)
        or set(taken) != set(places)
        or any(s.piece_id not in allowed for s in open_slots)
    )


def _touches_settled(problem: PlanProblem, slots: tuple[Slot, ...]) -> bool:
    def heads(some: tuple[Slot, ...], on: date) -> list[tuple[int, int, int]]:
        return sorted(
            (s.position, -1 if s.station is None else s.station, s.piece_id) for s in some if s.on == on
        )

    return any(heads(slots, d.on) != heads(problem.settled, d.on) for d in problem.days if d.is_settled)


def _forgets_pins(problem: PlanProblem, slots: tuple[Slot, ...]) -> bool:
    return any(
        not [s for s in slots if s.piece_id == pin.piece_id and (pin.on is None or s.on == pin.on)]
        for pin in problem.pins
    )


def _brings_banned(problem: PlanProblem, slots: tuple[Slot, ...]) -> bool:
    settled = {day.on for day in problem.days if day.is_settled}
    return any(
        s.piece_id == ban.piece_id and (ban.on is None or ban.on == s.on)
        for ban in problem.bans
        for s in slots
        if s.on not in settled
    )


def _repeats(problem: PlanProblem, readings: list[Reading]) -> bool:
    for piece in problem.pieces:
        mine = [r for r in readings if r.piece is piece]
        if len({r.group.day.on for r in mine}) > 1:
            return True
        if any(sum(s.id in r.group.sections for r in mine) > 1 for s in problem.sections):
            return True
        if sum(not r.group.sections for r in mine) > 1:
            return True
    return False


def _runs_over(problem: PlanProblem, readings: list[Reading]) -> bool:
    return any(
        sum(round(10 * r.piece.minutes) for r in readings if r.group == group) > round(10 * group.minutes)
        for group in groups_of(problem)
    )


def _splits_folders(problem: PlanProblem, readings: list[Reading]) -> bool:
    rooms = {(r.piece.piece_id, r.group.day.on, r.group.round, r.group.station) for r in readings}
    sets = {piece.piece_id: piece.sets for piece in problem.pieces}
    return any(
        sum(room[:3] == (piece, on, turn) for room in rooms) > sets[piece] for piece, on, turn, _ in rooms
    )


def _begins_hard(problem: PlanProblem, readings: list[Reading]) -> bool:
    return any(
        a.group == b.group and a.slot.position < b.slot.position
        and round(100 * a.piece.level) > round(100 * b.piece.level)
        for a, b in product(readings, readings)
    )  # fmt: skip


def _misses_skill(problem: PlanProblem, readings: list[Reading]) -> bool:
    of_term = [name for name, _, _ in problem.focuses]
    return any(
        r.slot.focus not in of_term or r.slot.focus not in [n for n, _ in r.piece.trains] for r in readings
    )


def _features_wrongly(problem: PlanProblem, readings: list[Reading]) -> bool:
    turns = [section for section, _, _ in problem.featured]
    who = [(r.group.day.on, s) for r in readings if (s := r.slot.featured_section_id) is not None]
    return len(who) != len(set(who)) or any(
        s not in turns or s not in r.group.sections or s not in [n for n, _ in r.piece.features]
        for r in readings
        if (s := r.slot.featured_section_id) is not None
    )


def every_placing(problem: PlanProblem) -> Iterator[tuple[Slot, ...]]:
    """Every way to put a candidate, or nothing where that is allowed, into each place; nobody is featured.

    The skill is the first of the term that the piece trains, or just its first.
    """
    groups = groups_of(problem)
    places = [(g.day.on, position, g.station) for g in groups for position in g.positions]
    ids = [p.piece_id for p in problem.pieces] + ([OPEN_PIECE] if problem.limits.may_leave_open else [])
    first = {p.piece_id: _first_skill(problem, p) for p in problem.pieces}
    for chosen in product(ids, repeat=len(places)):
        yield (
            *problem.settled,
            *(
                Slot(on, position, number, first.get(number, ""), station=station)
                for (on, position, station), number in zip(places, chosen, strict=True)
            ),
        )


def _first_skill(problem: PlanProblem, piece: Candidate) -> str:
    names = [name for name, _, _ in problem.focuses]
    trained = [name for name, _ in piece.trains]
    return next((name for name in trained if name in names), next(iter(trained), ""))


def dressed(problem: PlanProblem, slots: tuple[Slot, ...], chance: random.Random) -> tuple[Slot, ...]:
    """A placing with skills and featured sections drawn, and now and then something else wrong with it."""
    skills = [name for name, _, _ in problem.focuses] + ["range"]
    who = [None, None, *(s.id for s in problem.sections)]
    found = [
        replace(
            slot,
            focus=slot.focus if chance.random() < 0.7 else chance.choice(skills),
            featured_section_id=chance.choice(who),
        )
        for slot in slots
    ]
    match chance.randrange(12):
        case 0 if found:
            found.pop(chance.randrange(len(found)))
        case 1 if found:
            found.append(found[chance.randrange(len(found))])
        case 2 if found:
            at = chance.randrange(len(found))
            found[at] = replace(found[at], piece_id=chance.choice((OPEN_PIECE, 88)))
        case 3 if len(found) > 1:
            a, b = chance.sample(range(len(found)), 2)
            found[a], found[b] = (
                replace(found[a], piece_id=found[b].piece_id),
                replace(found[b], piece_id=found[a].piece_id),
            )
        case 4 if found:
            at = chance.randrange(len(found))
            found[at] = replace(found[at], station=chance.choice((None, 0, 1)))
    chance.shuffle(found)
    return tuple(found)


def every_dressing(problem: PlanProblem, placing: tuple[Slot, ...]) -> Iterator[tuple[Slot, ...]]:
    """A placing with every choice of skills and featured sections."""
    pieces = {p.piece_id: p for p in problem.pieces}
    names = [name for name, _, _ in problem.focuses]
    settled = {d.on for d in problem.days if d.is_settled}
    choices: list[list[Slot]] = []
    for slot in placing:
        piece = pieces.get(slot.piece_id)
        if slot.on in settled or piece is None:
            choices.append([slot])
            continue
        skills = [name for name, _ in piece.trains if name in names]
        who = [None, *(section for section, _ in piece.features if problem.featured)]
        choices.append(
            [replace(slot, focus=skill, featured_section_id=section) for skill in skills for section in who]
        )
    yield from product(*choices)
