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
AGAIN_COST = 12
OPEN_EARLY_COST = 5
LEVEL_WEIGHT = 100
HARD_WEIGHT = 100
EASY_WEIGHT = 25
"""Costs. Levels off target and parts off a section's level cost the square of the distance, so that
one large miss is worse than several small ones; too hard costs four times too easy, since a lost
section stops the reading. Source: house choices."""


def check_filled(problem: PlanProblem, slots: Slots) -> bool:
    """Every slot of every free day has one candidate (or is left open, where that is allowed)."""
    free = _free(problem, slots)
    wanted = Counter(
        (problem.days[day].on, position)
        for day in problem.free_days
        for position in range(problem.days[day].slots)
    )
    known = all(
        s.piece_id in problem.piece_by_id or (s.piece_id == OPEN_PIECE and problem.limits.may_leave_open)
        for s in free
    )
    return known and wanted == Counter((s.on, s.position) for s in free)


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
    """Levels keep near the target, no day rises far above the one before, and a day begins with the easier.

    A piece the director pinned to its day is not judged, nor is the step to or from that
    day, nor to or from a day with an open slot.
    """
    for day, pieces in _by_day(problem, slots).items():
        levels = [hundredths(piece.level) for piece in pieces]
        if levels != sorted(levels):
            return False
        target = hundredths(problem.days[day].target)
        corridor = hundredths(problem.limits.corridor)
        for piece, level in zip(pieces, levels, strict=True):
            if abs(level - target) > corridor and not problem.is_pinned(piece.piece_id, day):
                return False
    return all(_step_is_gentle(problem, slots, a, b) for a, b in pairwise(problem.free_days))


def _step_is_gentle(problem: PlanProblem, slots: Slots, first: int, second: int) -> bool:
    if {first, second} & {day for _, day in problem.pinned_days}:
        return True
    days = _by_day(problem, slots)
    before, after = days.get(first, []), days.get(second, [])
    if (len(before), len(after)) != (problem.days[first].slots, problem.days[second].slots):
        return True
    low = len(after) * sum(hundredths(piece.level) for piece in before)
    high = len(before) * sum(hundredths(piece.level) for piece in after)
    return high - low <= hundredths(problem.limits.step) * len(before) * len(after)


def check_readable(problem: PlanProblem, slots: Slots) -> bool:
    """No section gets a part further above it than the reach; pieces pinned to their day are not judged."""
    for slot, piece in _chosen(problem, slots):
        day = problem.day_by_date[slot.on]
        if not problem.is_pinned(piece.piece_id, day) and not is_readable(problem, piece, day):
            return False
    return True


def check_rotation(problem: PlanProblem, slots: Slots) -> bool:
    """A slot's focus is one its piece trains; no day repeats one of its own or of the day before.

    Over the runs of days in ``problem.windows`` every focus comes up; a run with an open
    slot is not judged.
    """
    names = {name for name, _ in problem.focuses}
    if any(s.focus not in dict(piece.trains) or s.focus not in names for s, piece in _chosen(problem, slots)):
        return False
    used: dict[int, list[str]] = {day: [] for day in problem.free_days}
    for slot, _ in _chosen(problem, slots):
        used[problem.day_by_date[slot.on]].append(slot.focus)
    if must_differ_in_day(problem) and any(len(set(f)) < len(f) for f in used.values()):
        return False
    if must_differ_next_day(problem) and any(set(used[a]) & set(used[b]) for a, b in pairwise(used)):
        return False
    short = {day for day in used if len(used[day]) < problem.days[day].slots}
    return all(short & set(run) or names <= {f for day in run for f in used[day]} for run in problem.windows)


def must_differ_in_day(problem: PlanProblem) -> bool:
    """Whether there are skills enough for the slots of a day to differ."""
    return len(problem.focuses) >= problem.most_slots


def must_differ_next_day(problem: PlanProblem) -> bool:
    """Whether there are skills enough for two days in a row to differ in all slots."""
    return len(problem.focuses) >= 2 * problem.most_slots


def check_turns(problem: PlanProblem, slots: Slots) -> bool:
    """A featured section has a part for it, once a day at most, and all come up about equally often."""
    turning = {section for section, _, _ in problem.featured}
    for slot, piece in _chosen(problem, slots):
        featured = slot.featured_section_id
        if featured is not None and (featured not in dict(piece.features) or featured not in turning):
            return False
    free = _free(problem, slots)
    on_day = Counter((s.on, s.featured_section_id) for s in free if s.featured_section_id is not None)
    if any(count > 1 for count in on_day.values()):
        return False
    times = Counter(s.featured_section_id for s in (*problem.past, *free))
    has_open = any(s.piece_id == OPEN_PIECE for s in free)
    return all(
        times[section] <= most and (has_open or times[section] >= fewest)
        for section, fewest, most in problem.featured
    )


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
            total += open_cost(problem, problem.day_by_date[slot.on])
            continue
        piece = problem.piece_by_id[slot.piece_id]
        total += place_cost(problem, piece, problem.day_by_date[slot.on])
        total += focus_cost[slot.focus]
        total += SOME_FOCUS_COST if dict(piece.trains)[slot.focus] < 2 else 0
        total += _feature_cost(problem, piece, slot.featured_section_id)
    return total + AGAIN_COST * count_again(problem, slots)


def count_again(problem: PlanProblem, slots: Slots) -> int:
    """How often a section is featured within the turn gap after its last time, past days included."""
    past = {(problem.day_by_date[s.on], s.featured_section_id) for s in problem.past}
    free = {
        (problem.day_by_date[s.on], s.featured_section_id)
        for s in _free(problem, slots)
        if s.featured_section_id is not None
    }
    return sum(
        any((before, section) in past | free for before in range(day - problem.turn_gap, day))
        for day, section in free
    )


def open_cost(problem: PlanProblem, day: int) -> int:
    """What an open slot costs on a day: the sooner the day the more, as pieces can still be added."""
    later = len(problem.free_days) - 1 - problem.free_days.index(day)
    return OPEN_COST + OPEN_EARLY_COST * later


def unavoidable_cost(problem: PlanProblem) -> int:
    """What every plan costs for slots that must stay open because there are too few pieces."""
    if not problem.limits.may_leave_open:
        return 0
    return OPEN_COST * max(0, problem.open_slots - len(problem.pieces))


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
    return [
        (section, level - problem.level_on(section, day))
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


def _by_day(problem: PlanProblem, slots: Slots) -> dict[int, list[Candidate]]:
    """The chosen pieces of each free day, by position."""
    days: dict[int, list[Candidate]] = {}
    for slot, piece in _chosen(problem, slots):
        days.setdefault(problem.day_by_date[slot.on], []).append(piece)
    return days
