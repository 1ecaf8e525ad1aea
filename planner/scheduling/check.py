"""The rules and the cost of a term plan, stated in plain Python.

This is the meaning of a plan; the solver only searches. It runs on every plan
before it is saved, edited ones too.
"""

from collections import Counter
from collections.abc import Callable, Sequence
from itertools import pairwise

from planner.core.term import Slot
from planner.scheduling.problem import OPEN_PIECE, Candidate, PlanProblem

Slots = Sequence[Slot]

ROUNDING = 1e-9
"""Slack for comparing levels and minutes, which are decimal fractions."""

FILLED = "every slot has a piece"
ONCE = "no piece twice"
FRESH = "only fresh pieces"
MINUTES = "each day within its minutes"
GENTLE = "levels rise gently to the target"
READABLE = "every section can read its part"
ROTATE = "focus skills rotate"
TURNS = "sections take turns at being featured"
PINS = "pinned pieces keep their day"
BANS = "banned pieces stay out"
PAST = "past days stay"

OPEN_COST = 2000
SOME_FOCUS_COST = 15
SOME_FEATURE_COST = 10
NO_FEATURE_COST = 40
LEVEL_WEIGHT = 100
HARD_WEIGHT = 100
EASY_WEIGHT = 25
"""Costs. Levels off target and parts off a section's level cost the square of the distance, so that
one large miss is worse than several small ones; too hard costs four times too easy, since a lost
section stops the reading. Source: house choices."""


def check_filled(problem: PlanProblem, slots: Slots) -> bool:
    """Every place of every free day has one candidate (or is left open, where that is allowed)."""
    wanted = Counter((problem.days[day].on, position) for day, position in problem.places)
    given = Counter((s.on, s.position) for s in _free(problem, slots))
    known = all(
        s.piece_id in problem.piece_by_id or (s.piece_id == OPEN_PIECE and problem.limits.may_leave_open)
        for s in _free(problem, slots)
    )
    return wanted == given and known


def check_once(problem: PlanProblem, slots: Slots) -> bool:
    """No piece stands in two slots, unless both lie in the past."""
    past = {s.piece_id for s in problem.past}
    free = Counter(s.piece_id for s in _free(problem, slots) if s.piece_id != OPEN_PIECE)
    return all(count == 1 and piece not in past for piece, count in free.items())


def check_fresh(problem: PlanProblem, slots: Slots) -> bool:
    """Nobody in the room has met a planned piece."""
    return all(piece.is_fresh for _, piece in _chosen(problem, slots))


def check_minutes(problem: PlanProblem, slots: Slots) -> bool:
    """The pieces of a day fit into its minutes together."""
    used: Counter[int] = Counter()
    for slot, piece in _chosen(problem, slots):
        used[problem.day_by_date[slot.on]] += whole_minutes(piece.minutes)
    return all(total <= whole_minutes(problem.days[day].minutes) for day, total in used.items())


def check_gentle(problem: PlanProblem, slots: Slots) -> bool:
    """Levels keep near the target, no piece is far above the one before, and a day begins with the easier.

    A piece the director pinned to its day is not judged, nor is the step to or from that day.
    """
    for slot, piece in _chosen(problem, slots):
        day = problem.day_by_date[slot.on]
        if not problem.is_pinned(piece.piece_id, day):
            off = abs(hundredths(piece.level) - hundredths(problem.days[day].target))
            if off > hundredths(problem.limits.corridor):
                return False
    return all(_step_is_gentle(problem, a, b) for a, b in _neighbours(problem, slots))


def _step_is_gentle(problem: PlanProblem, first: Slot, second: Slot) -> bool:
    days = [problem.day_by_date[s.on] for s in (first, second)]
    if any(day in {d for _, d in problem.pinned_days} for day in days):
        return True
    low, high = (hundredths(problem.piece_by_id[s.piece_id].level) for s in (first, second))
    return high - low <= hundredths(problem.limits.step) and (days[0] != days[1] or high >= low)


def check_readable(problem: PlanProblem, slots: Slots) -> bool:
    """No section gets a part further above it than the reach; pieces pinned to their day are not judged."""
    for slot, piece in _chosen(problem, slots):
        day = problem.day_by_date[slot.on]
        if not problem.is_pinned(piece.piece_id, day) and not is_readable(problem, piece, day):
            return False
    return True


def check_rotation(problem: PlanProblem, slots: Slots) -> bool:
    """A slot's focus is one its piece trains, changes every time, and none is left out for long."""
    for slot, piece in _chosen(problem, slots):
        if slot.focus not in dict(piece.trains) or slot.focus not in dict(problem.focuses):
            return False
    if any(a.focus == b.focus for a, b in _neighbours(problem, slots)) and len(problem.focuses) > 1:
        return False
    row, window = [s.focus for s in _free(problem, slots)], problem.limits.focus_window
    if not window:
        return True
    wanted = {focus for focus, _ in problem.focuses}
    if problem.limits.may_leave_open and any(s.piece_id == OPEN_PIECE for s in _free(problem, slots)):
        return True
    return all(wanted <= set(row[at : at + window]) for at in range(len(row) - window + 1))


def check_turns(problem: PlanProblem, slots: Slots) -> bool:
    """A featured section has a part for it, and all are featured about equally often."""
    for slot, piece in _chosen(problem, slots):
        featured = slot.featured_section_id
        if featured is not None and featured not in dict(piece.features):
            return False
    times = Counter(s.featured_section_id for s in (*problem.past, *_free(problem, slots)))
    has_open = any(s.piece_id == OPEN_PIECE for s in _free(problem, slots))
    for section, fewest, most in problem.featured:
        if times[section] > most or (times[section] < fewest and not has_open):
            return False
    turning = {section for section, _, _ in problem.featured}
    return all(s.featured_section_id in turning | {None} for s in _free(problem, slots))


def check_pins(problem: PlanProblem, slots: Slots) -> bool:
    """Every pinned piece stands on its date, or somewhere when the pin has none."""
    placed = {(s.piece_id, s.on) for s in slots} | {(s.piece_id, None) for s in slots}
    return all((pin.piece_id, pin.on) in placed for pin in problem.pins)


def check_bans(problem: PlanProblem, slots: Slots) -> bool:
    """No banned piece stands on a day it is banned from."""
    banned = {(ban.piece_id, ban.on) for ban in problem.bans}
    return not any(
        (s.piece_id, s.on) in banned or (s.piece_id, None) in banned for s in _free(problem, slots)
    )


def check_past(problem: PlanProblem, slots: Slots) -> bool:
    """Past days hold exactly what they held."""
    past = {day.on for day in problem.days if day.is_past}
    kept = Counter((s.on, s.position, s.piece_id) for s in slots if s.on in past)
    return kept == Counter((s.on, s.position, s.piece_id) for s in problem.past)


CHECKS: dict[str, Callable[[PlanProblem, Slots], bool]] = {
    FILLED: check_filled,
    PAST: check_past,
    ONCE: check_once,
    FRESH: check_fresh,
    MINUTES: check_minutes,
    GENTLE: check_gentle,
    READABLE: check_readable,
    ROTATE: check_rotation,
    TURNS: check_turns,
    PINS: check_pins,
    BANS: check_bans,
}
"""Every rule by the name the director sees."""


def broken_rules(problem: PlanProblem, slots: Slots) -> tuple[str, ...]:
    """Names of the rules a plan breaks; empty when it may be saved.

    Args:
        problem: What had to be filled.
        slots: The plan, in any order, past slots included.
    """
    if not check_filled(problem, slots):
        return (FILLED,)
    return tuple(name for name, check in CHECKS.items() if not check(problem, slots))


def cost(problem: PlanProblem, slots: Slots) -> int:
    """What a plan costs; lower is better. Past slots cost nothing."""
    total = 0
    focus_cost = dict(problem.focuses)
    for slot in _free(problem, slots):
        if slot.piece_id == OPEN_PIECE:
            total += OPEN_COST
            continue
        piece = problem.piece_by_id[slot.piece_id]
        total += place_cost(problem, piece, problem.day_by_date[slot.on])
        total += focus_cost[slot.focus]
        total += SOME_FOCUS_COST if dict(piece.trains)[slot.focus] < 2 else 0
        total += _feature_cost(problem, piece, slot.featured_section_id)
    return total


def _feature_cost(problem: PlanProblem, piece: Candidate, featured: int | None) -> int:
    if not problem.featured:
        return 0
    if featured is None:
        return NO_FEATURE_COST
    return SOME_FEATURE_COST if dict(piece.features)[featured] < 2 else 0


def place_cost(problem: PlanProblem, piece: Candidate, day: int) -> int:
    """What a piece costs on a day for its level and for how its parts suit the sections."""
    off = piece.level - problem.days[day].target
    total = LEVEL_WEIGHT * off * off
    gaps = part_gaps(problem, piece, day)
    players = sum(problem.section_by_id[section].size for section, _ in gaps)
    for section, gap in gaps:
        weight = HARD_WEIGHT if gap > 0 else EASY_WEIGHT
        total += weight * gap * gap * problem.section_by_id[section].size / players
    return round(total)


def part_gaps(problem: PlanProblem, piece: Candidate, day: int) -> list[tuple[int, float]]:
    """Section id and how far its part lies above it on a day (negative: below), in levels."""
    growth = problem.days[day].growth
    return [
        (section, level - (problem.section_by_id[section].level + growth))
        for section, level in piece.parts
        if section in problem.section_by_id
    ]


def is_readable(problem: PlanProblem, piece: Candidate, day: int) -> bool:
    """Whether every section's part lies within its reach on a day."""
    return all(gap <= problem.limits.reach + ROUNDING for _, gap in part_gaps(problem, piece, day))


def hundredths(level: float) -> int:
    """A level or a distance of levels in whole hundredths, so that comparisons are exact."""
    return round(100 * level)


def whole_minutes(minutes: float) -> int:
    """Minutes in whole tenths, so that sums are exact."""
    return round(10 * minutes)


def _free(problem: PlanProblem, slots: Slots) -> list[Slot]:
    past = {day.on for day in problem.days if day.is_past}
    return sorted((s for s in slots if s.on not in past), key=lambda s: (s.on, s.position))


def _chosen(problem: PlanProblem, slots: Slots) -> list[tuple[Slot, Candidate]]:
    free = _free(problem, slots)
    return [(s, problem.piece_by_id[s.piece_id]) for s in free if s.piece_id in problem.piece_by_id]


def _neighbours(problem: PlanProblem, slots: Slots) -> list[tuple[Slot, Slot]]:
    free = _free(problem, slots)
    return [(a, b) for a, b in pairwise(free) if OPEN_PIECE not in (a.piece_id, b.piece_id)]
