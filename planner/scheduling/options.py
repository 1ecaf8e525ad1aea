"""What else could stand in one place of a plan, another piece or a swap, and what each would cost."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields, replace
from datetime import date

from planner.core.term import Slot
from planner.scheduling import check
from planner.scheduling.check import PlanCost
from planner.scheduling.problem import OPEN_PIECE, Candidate, PlanProblem, Sitting

LOOKED_AT = 8
"""Pieces looked at closely for each that is wanted, those that suit the sitting best by themselves first.

Source: house choice.
"""


@dataclass(frozen=True, slots=True)
class Option:
    """One piece that could stand in a place.

    Attributes:
        slot: As it would stand, with the skill and the featured section that cost least.
        slots: The whole plan with it.
        saved: What the plan would save with it; negative where it would cost more.
    """

    slot: Slot
    slots: tuple[Slot, ...]
    saved: PlanCost


@dataclass(frozen=True, slots=True)
class Swap:
    """Two pieces of a plan that could change places.

    Attributes:
        comes: The piece of the other day, as it would stand in the place.
        goes: The piece that stands in the place, as it would stand on the other day.
        slots: The whole plan then.
        saved: What the plan would save; negative where it would cost more.
    """

    comes: Slot
    goes: Slot
    slots: tuple[Slot, ...]
    saved: PlanCost


def options(
    problem: PlanProblem,
    slots: Sequence[Slot],
    on: date,
    position: int,
    station: int | None = None,
    most: int = 3,
) -> tuple[Option, ...]:
    """The pieces that could stand in one place in place of what stands there, the cheapest first.

    No rule is broken that the plan keeps now; nothing else of it changes, but for the order of the pieces of
    that day.

    Args:
        problem: With the day free.
        slots: The plan, open slots included.
        on: The day.
        position: Which place of it.
        station: Which station; None where all read together.
        most: How many at most.

    Raises:
        LookupError: If the plan has no such place.
    """
    slots = sound(problem, slots)
    here, sitting = _place(problem, slots, on, position, station)
    used = {slot.piece_id for slot in slots}
    able = [
        piece
        for piece in problem.pieces
        if piece.piece_id not in used and check.may_stand(problem, piece, sitting)
    ]
    able.sort(key=lambda piece: (check.piece_cost(problem, piece, sitting), piece.piece_id))
    before, broken = check.cost(problem, slots), frozenset(check.broken_rules(problem, slots))
    looked_at = able[: LOOKED_AT * most]
    found = [_best(problem, slots, here, piece, sitting, before, broken) for piece in looked_at]
    kept = [option for option in found if option is not None]
    return tuple(sorted(kept, key=lambda each: (-each.saved.total, each.slot.piece_id))[:most])


def swaps(
    problem: PlanProblem,
    slots: Sequence[Slot],
    on: date,
    position: int,
    station: int | None = None,
    most: int = 3,
) -> tuple[Swap, ...]:
    """The pieces of other days with which the piece in one place could change places, the cheapest first.

    Each keeps its skill, and whom it features where that can be. No rule is broken that the plan keeps now.

    Args:
        problem: With the days free that may change.
        slots: The plan, open slots included.
        on: The day.
        position: Which place of it.
        station: Which station; None where all read together.
        most: How many at most.

    Raises:
        LookupError: If the plan has no such place.
    """
    slots = sound(problem, slots)
    here, _ = _place(problem, slots, on, position, station)
    near = sorted(
        (change, other.on, other.position, other.station or 0, at)
        for at, other in enumerate(slots)
        if other.on != on and (change := _reading_change(problem, here, other)) is not None
    )
    before, broken = check.cost(problem, slots), frozenset(check.broken_rules(problem, slots))
    found = []
    for *_, at in near[: LOOKED_AT * most]:
        whole = _exchanged(problem, slots, here, slots[at])
        if not set(check.broken_rules(problem, whole)) - broken:
            saved = difference(before, check.cost(problem, whole))
            comes, goes = (
                _standing(whole, slots[at].piece_id, on),
                _standing(whole, here.piece_id, slots[at].on),
            )
            found.append(Swap(comes, goes, whole, saved))
    return tuple(
        sorted(found, key=lambda each: (-each.saved.total, each.goes.on, each.comes.piece_id))[:most]
    )


def _place(
    problem: PlanProblem, slots: Sequence[Slot], on: date, position: int, station: int | None
) -> tuple[Slot, Sitting]:
    """What stands in a place, and where it is read.

    Raises:
        LookupError: If the plan has no such place.
    """
    here = next((s for s in slots if (s.on, s.position, s.station) == (on, position, station)), None)
    sitting = problem.sitting_of(here) if here is not None else None
    if here is None or sitting is None:
        raise LookupError(f"no place {position} on {on}")
    return here, sitting


def _reading_change(problem: PlanProblem, one: Slot, other: Slot) -> int | None:
    """What the readings cost more when two pieces change places; None where one may not stand there."""
    change = 0
    for slot, to in ((one, other), (other, one)):
        piece = problem.piece_by_id.get(slot.piece_id)
        now, then = problem.sitting_of(slot), problem.sitting_of(to)
        if piece is None or now is None or then is None or not check.may_stand(problem, piece, then):
            return None
        change += check.piece_cost(problem, piece, then) - check.piece_cost(problem, piece, now)
    return change


def _exchanged(problem: PlanProblem, slots: Sequence[Slot], one: Slot, other: Slot) -> tuple[Slot, ...]:
    """The plan with two slots in each other's place, featuring only whom they can there."""
    moved = {one: _put(one, other), other: _put(other, one)}
    whole = [moved.get(slot, slot) for slot in slots]
    turning = {section for section, _, _ in problem.featured}
    for at, slot in enumerate(whole):
        section, sitting = slot.featured_section_id, problem.sitting_of(slot)
        if slot not in moved.values() or section is None or sitting is None:
            continue
        twice = any(
            each.on == slot.on and each.featured_section_id == section for each in whole if each is not slot
        )
        if twice or section not in turning & sitting.sections:
            whole[at] = replace(slot, featured_section_id=None)
    return _in_order(problem, _in_order(problem, whole, one.on), other.on)


def _put(slot: Slot, to: Slot) -> Slot:
    return replace(slot, on=to.on, position=to.position, station=to.station)


def _standing(slots: Sequence[Slot], piece_id: int, on: date) -> Slot:
    return next(slot for slot in slots if (slot.on, slot.piece_id) == (on, piece_id))


def _best(
    problem: PlanProblem,
    slots: Sequence[Slot],
    here: Slot,
    piece: Candidate,
    sitting: Sitting,
    before: PlanCost,
    broken: frozenset[str],
) -> Option | None:
    """The cheapest way for a piece to stand there; None where it would break a rule that is kept now."""
    best: Option | None = None
    for slot in _labelled(problem, here, piece, sitting):
        whole = _in_order(problem, [slot if each is here else each for each in slots], slot.on)
        if set(check.broken_rules(problem, whole)) - broken:
            continue
        saved = difference(before, check.cost(problem, whole))
        if best is None or saved.total > best.saved.total:
            best = Option(_standing(whole, slot.piece_id, slot.on), whole, saved)
    return best


def sound(problem: PlanProblem, slots: Sequence[Slot]) -> list[Slot]:
    """Slots without a featured section that has no tune in them, and with a skill that their piece trains.

    The study, and so what a piece is good for, may be newer than the plan.
    """
    return [_sound(problem, slot) for slot in slots]


def _sound(problem: PlanProblem, slot: Slot) -> Slot:
    piece = problem.piece_by_id.get(slot.piece_id)
    if piece is None or problem.sitting_of(slot) is None:
        return slot
    skills, features = [name for name, _ in piece.trains], dict(piece.features)
    return replace(
        slot,
        focus=slot.focus if slot.focus in skills or not skills else skills[0],
        featured_section_id=slot.featured_section_id if slot.featured_section_id in features else None,
    )


def _labelled(problem: PlanProblem, here: Slot, piece: Candidate, sitting: Sitting) -> Iterator[Slot]:
    """The piece in that place with every skill it trains and every section it features, or nobody."""
    skills = {name for name, _, _ in problem.focuses}
    turning = {section for section, _, _ in problem.featured} & sitting.sections
    featured = [None, *(section for section, _ in piece.features if section in turning)]
    for skill, _ in piece.trains:
        if skill in skills:
            for section in featured:
                yield replace(
                    Slot(here.on, here.position, piece.piece_id, skill, section, piece.minutes),
                    station=here.station,
                )


def _in_order(problem: PlanProblem, slots: Sequence[Slot], on: date) -> tuple[Slot, ...]:
    """The plan with the pieces of a day that all read together in the order of their levels."""
    together = [s for s in slots if s.on == on and s.station is None and s.piece_id != OPEN_PIECE]
    places = sorted(slot.position for slot in together)
    by_level = sorted(together, key=lambda s: (problem.piece_by_id[s.piece_id].level, s.position))
    placed = dict(zip(by_level, places, strict=True))
    return tuple(replace(s, position=placed[s]) if s in placed else s for s in slots)


def difference(one: PlanCost, other: PlanCost) -> PlanCost:
    """What one plan costs more than another."""
    return PlanCost(**{f.name: getattr(one, f.name) - getattr(other, f.name) for f in fields(PlanCost)})
