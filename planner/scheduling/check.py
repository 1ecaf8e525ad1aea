"""The rules and the cost of a term plan, stated in plain Python.

This is the meaning of a plan; the search only looks for one. It runs on every plan
before it is saved, edited ones too. A rule is what may never happen in a room; all
that is better or worse is a cost, so that a plan exists wherever there are pieces.
"""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from planner.core.term import Slot
from planner.levels.readable import HARD_BELOW, LEAST_BUSY, Ask, ask_of, reading_cost
from planner.scheduling.problem import OPEN_PIECE, Candidate, PlanProblem, Sitting

Slots = Sequence[Slot]

ROUNDING = 1e-9
"""Slack for comparing levels and minutes, which are decimal fractions."""

NOBODY = 0
"""Stands for the readers where no section is known; ids of sections begin at 1."""

FILLED = "every slot has a piece"
ONCE = "no section meets a piece twice"
FRESH = "only fresh pieces"
FORCES = "the players there can read it together"
MINUTES = "each day within its minutes"
READABLE = "no section is likely to be lost"
FOLDERS = "a folder is in one room at a time"
EASIER_FIRST = "the easier piece of a day comes first"
FOCUSED = "a piece trains the skill it is there for"
FEATURED = "a featured section has the tune, once a day"
PINS = "pinned pieces keep their day"
BANS = "banned pieces stay out"
SETTLED = "past and announced days stay"

OPEN_COST = 4000
OPEN_EARLY_COST = 20
"""An open slot; and the sooner the day the more, as pieces can still be added."""

SOME_FOCUS_COST = 15
SAME_FOCUS_COST = 20
MISSING_FOCUS_COST = 8
UNEVEN_FOCUS_COST = 12
"""A piece that trains its skill only somewhat; a skill again on the same or the next day; a run of days
without a skill, for each run; a slot of the term by which a skill falls short."""

SOME_FEATURE_COST = 10
NO_FEATURE_COST = 40
AGAIN_COST = 12
UNEVEN_TURN_COST = 25
"""A section that has the tune only for a while; a piece that features nobody; a section featured again before
half a round is over; each turn by which a section falls short of its share or goes beyond it."""

TWO_HARD_COST = 30
LIKE_COST = 6
"""A day with a piece too hard for some section right after another such day; something that pieces of one
day and the next have in common, such as composer, key or meter.

Source of all costs: house choices, on the scale of ``levels.readable``.
"""


def check_filled(problem: PlanProblem, slots: Slots) -> bool:
    """Every slot of every sitting has one candidate (or is left open, where that is allowed)."""
    free = _free(problem, slots)
    wanted = Counter(
        (problem.days[sitting.day].on, sitting.round + at, sitting.station)
        for sitting in problem.sittings
        for at in range(sitting.slots)
    )
    known = all(
        s.piece_id in problem.piece_by_id or (s.piece_id == OPEN_PIECE and problem.limits.may_leave_open)
        for s in free
    )
    return known and wanted == Counter((s.on, s.position, s.station) for s in free)


def check_settled(problem: PlanProblem, slots: Slots) -> bool:
    """Settled days hold exactly what they held."""
    settled = {day.on for day in problem.days if day.is_settled}
    kept = Counter((s.on, s.position, s.station, s.piece_id) for s in slots if s.on in settled)
    return kept == Counter((s.on, s.position, s.station, s.piece_id) for s in problem.settled)


def check_once(problem: PlanProblem, slots: Slots) -> bool:
    """No section meets a piece in two slots, and none of a settled day comes back.

    Groups that rotate through stations read the same piece on the same day only.
    """
    settled = {s.piece_id for s in problem.settled}
    met: set[tuple[int, int]] = set()
    days: dict[int, int] = {}
    for sitting, _, piece in _chosen(problem, slots):
        pairs = {(piece.piece_id, section) for section in sitting.sections} or {(piece.piece_id, NOBODY)}
        is_elsewhere = days.setdefault(piece.piece_id, sitting.day) != sitting.day
        if piece.piece_id in settled or is_elsewhere or met & pairs:
            return False
        met |= pairs
    return True


def check_fresh(problem: PlanProblem, slots: Slots) -> bool:
    """Nobody in the room has met a planned piece by its day."""
    return all(sitting.day not in piece.stale_on for sitting, _, piece in _chosen(problem, slots))


def check_forces(problem: PlanProblem, slots: Slots) -> bool:
    """The ensemble, or the station, can read the piece together; what is pinned to its day is not judged."""
    return all(
        problem.is_pinned(piece.piece_id, sitting.day) or has_forces(problem, piece, sitting)
        for sitting, _, piece in _chosen(problem, slots)
    )


def check_minutes(problem: PlanProblem, slots: Slots) -> bool:
    """The pieces of a sitting fit into its minutes together."""
    used: Counter[Sitting] = Counter()
    for sitting, _, piece in _chosen(problem, slots):
        used[sitting] += whole_minutes(piece.minutes)
    return all(total <= whole_minutes(sitting.minutes) for sitting, total in used.items())


def check_readable(problem: PlanProblem, slots: Slots) -> bool:
    """No section is likely to be lost; pieces pinned to their day are not judged."""
    return all(
        problem.is_pinned(piece.piece_id, sitting.day) or is_readable(problem, piece, sitting)
        for sitting, _, piece in _chosen(problem, slots)
    )


def check_folders(problem: PlanProblem, slots: Slots) -> bool:
    """No piece is in more rooms at once than it has sets, nor read while its folders are elsewhere."""
    chosen = _chosen(problem, slots)
    rooms = {(piece.piece_id, sitting) for sitting, _, piece in chosen}
    at_once = Counter((piece_id, sitting.day, sitting.round) for piece_id, sitting in rooms)
    return all(sitting.day not in piece.away_on for sitting, _, piece in chosen) and all(
        count <= problem.piece_by_id[piece_id].sets for (piece_id, _, _), count in at_once.items()
    )


def check_easier_first(problem: PlanProblem, slots: Slots) -> bool:
    """Where the ensemble reads several pieces on a day, their levels rise."""
    return all(
        levels == sorted(levels)
        for levels in (
            [hundredths(piece.level) for piece in pieces]
            for sitting, pieces in _by_sitting(problem, slots).items()
            if sitting.station is None
        )
    )


def check_focused(problem: PlanProblem, slots: Slots) -> bool:
    """A slot's focus is one of the term that its piece trains."""
    names = {name for name, _, _ in problem.focuses}
    return all(s.focus in names and s.focus in dict(piece.trains) for _, s, piece in _chosen(problem, slots))


def check_featured(problem: PlanProblem, slots: Slots) -> bool:
    """A featured section takes turns, sits there, has the tune in the piece, and does so once a day."""
    turning = {section for section, _, _ in problem.featured}
    seen: set[tuple[int, int]] = set()
    for sitting, slot, piece in _chosen(problem, slots):
        section = slot.featured_section_id
        if section is None:
            continue
        if section not in turning or section not in sitting.sections or section not in dict(piece.features):
            return False
        if (sitting.day, section) in seen:
            return False
        seen.add((sitting.day, section))
    return True


def check_pins(problem: PlanProblem, slots: Slots) -> bool:
    """Every pinned piece stands on its date, or somewhere when the pin has none."""
    placed = {(s.piece_id, s.on) for s in slots} | {(s.piece_id, None) for s in slots}
    return all((pin.piece_id, pin.on) in placed for pin in problem.pins)


def check_bans(problem: PlanProblem, slots: Slots) -> bool:
    """No banned piece stands on a day it is banned from."""
    return not any(is_banned(problem, s.piece_id, s.on) for s in _free(problem, slots))


CHECKS: dict[str, Callable[[PlanProblem, Slots], bool]] = {
    FILLED: check_filled,
    SETTLED: check_settled,
    ONCE: check_once,
    FRESH: check_fresh,
    FORCES: check_forces,
    MINUTES: check_minutes,
    READABLE: check_readable,
    FOLDERS: check_folders,
    EASIER_FIRST: check_easier_first,
    FOCUSED: check_focused,
    FEATURED: check_featured,
    PINS: check_pins,
    BANS: check_bans,
}
"""Every rule by the name the director sees."""


def broken_rules(problem: PlanProblem, slots: Slots) -> tuple[str, ...]:
    """Names of the rules a plan breaks; empty when it may be saved.

    Args:
        problem: What had to be filled.
        slots: The plan, in any order, settled slots included.
    """
    if not check_filled(problem, slots):
        return (FILLED,)
    return tuple(name for name, check in CHECKS.items() if not check(problem, slots))


@dataclass(frozen=True, slots=True)
class PlanCost:
    """What a plan costs, by what it costs for.

    Attributes:
        reading: How the parts suit the sections, and what the pieces cost on any day.
        focus: Skills of the slots, repeated, missing and uneven ones.
        turns: Featured sections.
        variety: Hard days in a row, and likeness of neighbors.
        change: Pieces taken from the day they had.
        open: Slots left open.
    """

    reading: int
    focus: int
    turns: int
    variety: int
    change: int
    open: int

    @property
    def total(self) -> int:
        """All of it."""
        return self.reading + self.focus + self.turns + self.variety + self.change + self.open

    @property
    def filled(self) -> int:
        """All but what open slots and changes cost: what the readings themselves are worth."""
        return self.reading + self.focus + self.turns + self.variety


def cost(problem: PlanProblem, slots: Slots) -> PlanCost:
    """What a plan costs; lower is better. Settled slots cost nothing themselves."""
    chosen = _chosen(problem, slots)
    open_days = [s.on for s in _free(problem, slots) if s.piece_id == OPEN_PIECE]
    return PlanCost(
        reading=sum(piece_cost(problem, piece, sitting) for sitting, _, piece in chosen),
        focus=_focus_cost(problem, slots),
        turns=_turns_cost(problem, slots),
        variety=TWO_HARD_COST * count_two_hard(problem, slots) + LIKE_COST * count_alike(problem, slots),
        change=problem.limits.change_cost * count_changed(problem, slots),
        open=sum(open_cost(problem, problem.day_by_date[on]) for on in open_days),
    )


def _focus_cost(problem: PlanProblem, slots: Slots) -> int:
    costs = {name: each for name, each, _ in problem.focuses}
    own = 0
    for _, slot, piece in _chosen(problem, slots):
        own += costs[slot.focus] + (SOME_FOCUS_COST if dict(piece.trains)[slot.focus] < 2 else 0)
    return (
        own
        + SAME_FOCUS_COST * count_same_focus(problem, slots)
        + MISSING_FOCUS_COST * count_missing_focus(problem, slots)
        + UNEVEN_FOCUS_COST * count_short_focus(problem, slots)
    )


def _turns_cost(problem: PlanProblem, slots: Slots) -> int:
    if not problem.featured:
        return 0
    own = 0
    for _, slot, piece in _chosen(problem, slots):
        if slot.featured_section_id is None:
            own += NO_FEATURE_COST
        elif dict(piece.features)[slot.featured_section_id] < 2:
            own += SOME_FEATURE_COST
    uneven = UNEVEN_TURN_COST * count_uneven_turns(problem, slots)
    return own + uneven + AGAIN_COST * count_again(problem, slots)


def count_same_focus(problem: PlanProblem, slots: Slots) -> int:
    """Slots whose skill comes up again on their day, and skills that a day takes from the day before.

    Stations of one day are not held against each other, nor two settled days.
    """
    used = _focuses_by_day(problem, slots)
    together = [day for day in problem.free_days if not problem.days[day].stations]
    again = sum(used[day].total() - len(used[day]) for day in together)
    pairs = [(a, b) for a, b in pairwise(range(len(problem.days))) if {a, b} & set(problem.free_days)]
    return again + sum(len(used[a].keys() & used[b].keys()) for a, b in pairs)


def count_missing_focus(problem: PlanProblem, slots: Slots) -> int:
    """Skills that do not come up in a run of ``problem.windows``, all runs together."""
    used = _focuses_by_day(problem, slots)
    return sum(
        not any(name in used[day] for day in run) for run in problem.windows for name, _, _ in problem.focuses
    )


def count_short_focus(problem: PlanProblem, slots: Slots) -> int:
    """Slots by which skills fall short of their share of the term, settled days included."""
    times = Counter(s.focus for s in slots if s.piece_id != OPEN_PIECE)
    return sum(max(0, fewest - times[name]) for name, _, fewest in problem.focuses)


def count_uneven_turns(problem: PlanProblem, slots: Slots) -> int:
    """Turns by which sections fall short of their share or go beyond it, settled days included."""
    times = Counter(s.featured_section_id for s in slots)
    return sum(
        max(0, fewest - times[section], times[section] - most) for section, fewest, most in problem.featured
    )


def count_again(problem: PlanProblem, slots: Slots) -> int:
    """How often a section is featured on a free day within the turn gap after its last time."""
    turns = {
        (problem.day_by_date[s.on], s.featured_section_id)
        for s in slots
        if s.featured_section_id is not None and s.on in problem.day_by_date
    }
    return sum(
        any((before, section) in turns for before in range(day - problem.turn_gap, day))
        for day, section in turns
        if not problem.days[day].is_settled
    )


def count_two_hard(problem: PlanProblem, slots: Slots) -> int:
    """Free days with a piece too hard for some section right after another such free day."""
    hard = {sitting.day for sitting, _, piece in _chosen(problem, slots) if is_hard(problem, piece, sitting)}
    return sum({a, b} <= hard for a, b in pairwise(problem.free_days))


def count_alike(problem: PlanProblem, slots: Slots) -> int:
    """What pieces of a free day share with those of the free day before."""
    traits: dict[int, set[str]] = {day: set() for day in problem.free_days}
    for sitting, _, piece in _chosen(problem, slots):
        traits[sitting.day] |= piece.likeness
    return sum(len(traits[a] & traits[b]) for a, b in pairwise(problem.free_days))


def count_changed(problem: PlanProblem, slots: Slots) -> int:
    """Pieces of the plan in force that no longer stand on their day.

    Those that may no longer stand there, whatever the plan, are not counted.
    """
    now = Counter((s.on, s.piece_id) for s in slots)
    return sum((on, piece) not in now for on, piece in keepable(problem))


def keepable(problem: PlanProblem) -> frozenset[tuple[object, int]]:
    """Date and piece of the plan in force that could stay where they are, each judged by itself."""
    found = set()
    for slot in problem.stands:
        sitting = problem.sitting_of(slot)
        piece = problem.piece_by_id.get(slot.piece_id)
        if sitting is not None and piece is not None and may_stand(problem, piece, sitting):
            found.add((slot.on, slot.piece_id))
    return frozenset(found)


def open_cost(problem: PlanProblem, day: int) -> int:
    """What an open slot costs on a day."""
    later = len(problem.free_days) - 1 - problem.free_days.index(day)
    return OPEN_COST + OPEN_EARLY_COST * later


def asks(problem: PlanProblem, piece: Candidate, sitting: Sitting) -> list[tuple[int, Ask]]:
    """What a piece asks of each section that sits there and reads it: section id and ask."""
    found = []
    for part in piece.parts:
        if part.section_id in sitting.sections:
            section = problem.section_by_id[part.section_id]
            error = (section.errors[sitting.day] ** 2 + part.error**2) ** 0.5
            found.append((part.section_id, ask_of(section.levels[sitting.day], part.level, error)))
    return found


def piece_cost(problem: PlanProblem, piece: Candidate, sitting: Sitting) -> int:
    """What a piece costs in a sitting for how its parts suit the sections, and on any day."""
    each = [ask for _, ask in asks(problem, piece, sitting)]
    return piece.cost + round(reading_cost(each, problem.days[sitting.day].aim))


def is_hard(problem: PlanProblem, piece: Candidate, sitting: Sitting) -> bool:
    """Whether some section is expected to read less than what is just readable."""
    return any(ask.share < HARD_BELOW for _, ask in asks(problem, piece, sitting))


def is_readable(problem: PlanProblem, piece: Candidate, sitting: Sitting) -> bool:
    """Whether no section there is likely to be lost."""
    return all(ask.lost <= problem.limits.lost + ROUNDING for _, ask in asks(problem, piece, sitting))


def has_forces(problem: PlanProblem, piece: Candidate, sitting: Sitting) -> bool:
    """Whether the players there can read a piece together."""
    if sitting.station is None:
        return piece.is_for_all
    size = {section: problem.section_by_id[section].size for section in sitting.sections}
    busy = sum(size[part.section_id] for part in piece.parts if part.section_id in size)
    return busy > 0 and busy >= LEAST_BUSY * sum(size.values())


def is_banned(problem: PlanProblem, piece_id: int, on: object) -> bool:
    """Whether the director keeps a piece off a date."""
    return any(ban.piece_id == piece_id and ban.on in (None, on) for ban in problem.bans)


def may_stand(problem: PlanProblem, piece: Candidate, sitting: Sitting) -> bool:
    """Whether a piece may be read in a sitting as far as the two alone can tell.

    Rules over several slots (once, minutes together, folders in one round) are not asked.
    """
    day = problem.days[sitting.day]
    is_pinned = problem.is_pinned(piece.piece_id, sitting.day)
    return (
        sitting.day not in piece.stale_on
        and sitting.day not in piece.away_on
        and piece.sets > 0
        and whole_minutes(piece.minutes) <= whole_minutes(sitting.minutes)
        and not is_banned(problem, piece.piece_id, day.on)
        and all(slot.piece_id != piece.piece_id for slot in problem.settled)
        and any(name in dict(piece.trains) for name, _, _ in problem.focuses)
        and (is_pinned or (has_forces(problem, piece, sitting) and is_readable(problem, piece, sitting)))
    )


def hundredths(level: float) -> int:
    """A level or a distance of levels in whole hundredths, so that comparisons are exact."""
    return round(100 * level)


def whole_minutes(minutes: float) -> int:
    """Minutes in whole tenths, so that sums are exact."""
    return round(10 * minutes)


def _free(problem: PlanProblem, slots: Slots) -> list[Slot]:
    settled = {day.on for day in problem.days if day.is_settled}
    return sorted((s for s in slots if s.on not in settled), key=lambda s: (s.on, s.position, s.station or 0))


def _chosen(problem: PlanProblem, slots: Slots) -> list[tuple[Sitting, Slot, Candidate]]:
    """The slots of free days that hold a candidate, with where they are read."""
    found = []
    for slot in _free(problem, slots):
        sitting, piece = problem.sitting_of(slot), problem.piece_by_id.get(slot.piece_id)
        if sitting is not None and piece is not None:
            found.append((sitting, slot, piece))
    return found


def _by_sitting(problem: PlanProblem, slots: Slots) -> dict[Sitting, list[Candidate]]:
    """The chosen pieces of each sitting, by position."""
    found: dict[Sitting, list[Candidate]] = {}
    for sitting, _, piece in _chosen(problem, slots):
        found.setdefault(sitting, []).append(piece)
    return found


def _focuses_by_day(problem: PlanProblem, slots: Slots) -> dict[int, Counter[str]]:
    used: dict[int, Counter[str]] = {day: Counter() for day in range(len(problem.days))}
    for slot in slots:
        if slot.piece_id != OPEN_PIECE and slot.on in problem.day_by_date:
            used[problem.day_by_date[slot.on]][slot.focus] += 1
    return used
