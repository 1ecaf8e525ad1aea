"""Sections with a known level, and how well the belief finds it from their results.

``python -m tests.benchmarks.study_figures section_levels`` prints the figures with their floors, and what
becomes of them in other worlds; ``python -m tests.benchmarks.section_levels`` how the rivals were tuned.

The world is not the one the belief assumes. Growth comes in spurts, parts are off by up to 0.87 of a level
either way and equally likely in between, days sway evenly, bars of one reading go wrong in clusters, an off
day is a loss of 0.6 to 1.4, the share is counted to the nearest twentieth, and the director's first word is
off by up to 1.2, to the nearest quarter. A jump is 0.8 up or down.
"""

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import groupby

import numpy as np

from planner.levels.belief import DEFAULT_ERROR
from planner.levels.curve import SLOPE, TARGET_LOGIT, clip_level, logistic
from planner.levels.history import LevelPoint, LevelTrace, misfit_of, trace_level
from tests.benchmarks.rating_systems import Game, Rated, elo, glicko2
from tests.benchmarks.rows import Row

SECTIONS = 200
DAYS = 31
CHECKED = (1, 5, 10, 30)
"""Days with results after which the intervals are looked at."""

JUMP = 0.8
JUMP_DAYS = (10, 22)
"""A jump comes on one of these days with results, from the first to before the last."""

OFF_DAYS = (5, 10, 15, 20)
"""Days with results that are read one level lower in the paired runs."""

TUNED_ON, REPORTED_ON, OTHERS = 1, 2, (3, 4)
"""Seeds: constants of the belief and the rivals were chosen on the first, the figures are of the second."""

ELO_GAIN = 1.0
"""Levels. Chosen for Elo on the first seed, see ``tuning``."""
GLICKO = (3.0, 0.5, 0.3)
"""Trials a result, volatility, tau. Chosen for Glicko-2 on the first seed."""


@dataclass(frozen=True, slots=True)
class World:
    """How sections read.

    Attributes:
        days_a_week: Reading days; one in ``missed`` falls out.
        missed: Share of days without results.
        pieces: Fewest and most pieces a day.
        sway: Standard deviation of a day's effect on all of them, in levels.
        off: Share of off days.
        off_either_way: An off day may be a lucky one.
        bars: Fewest and most bars of a piece.
        clusters: Correlation of the bars of one reading.
        part_error: Standard deviation of the parts' levels; the belief is given it.
        is_normal: Parts and days vary normally, not evenly.
        guess: Largest error of the director's first word.
        slope: Steepness of the sections' curve, 1 as the project's.
    """

    days_a_week: float = 2.0
    missed: float = 0.15
    pieces: tuple[int, int] = (1, 2)
    sway: float = 0.2
    off: float = 0.05
    off_either_way: bool = False
    bars: tuple[int, int] = (16, 48)
    clusters: float = 0.03
    part_error: float = 0.5
    is_normal: bool = False
    guess: float = 1.2
    slope: float = 1.0


PLAIN = World()

OTHER_WORLDS = {
    "one piece a day": World(pieces=(1, 1)),
    "five days a week, one piece": World(days_a_week=5.0, pieces=(1, 1)),
    "once a week, one piece": World(days_a_week=1.0, pieces=(1, 1)),
    "everything normal, bars alone": World(is_normal=True, clusters=0.0, off=0.03, sway=0.25),
    "days sway by 0.4, one in ten is off": World(sway=0.4, off=0.1),
    "one day in eight off, either way": World(off=0.125, off_either_way=True),
    "short pieces": World(bars=(8, 20), clusters=0.06),
    "a flatter curve": World(slope=0.8),
    "a steeper curve": World(slope=1.2),
}


@dataclass(frozen=True, slots=True)
class Life:
    """One section: the director's first word, its results, and the true level on each day with results."""

    start: float
    results: tuple[LevelPoint, ...]
    truth: tuple[float, ...]
    jump: int | None = None

    @property
    def on(self) -> list[date]:
        """The days with results."""
        return sorted({point.on for point in self.results})


@dataclass(frozen=True, slots=True)
class Change:
    """What is made different in a paired run: a jump, or a day that is read one level lower."""

    jump: float = 0.0
    jump_on: int | None = None
    lower_on: int | None = None


def sections(seed: int, world: World = PLAIN, change: Callable[[np.random.Generator], Change] | None = None,
             count: int = SECTIONS) -> list[Life]:  # fmt: skip
    """Sections of a seed; with a change each is what it would be, but for that."""
    found = []
    for at in range(count):
        made = Change() if change is None else change(np.random.default_rng([seed, at, 1]))
        found.append(_life(np.random.default_rng([seed, at, 0]), world, made))
    return found


def jumping(rng: np.random.Generator) -> Change:
    """A jump up or down on some day."""
    return Change(jump=float(rng.choice([-JUMP, JUMP])), jump_on=int(rng.integers(*JUMP_DAYS)))


def _life(rng: np.random.Generator, world: World, change: Change) -> Life:
    level = rng.uniform(1.0, 4.5)
    growth = rng.uniform(0.0, 0.06)
    start = clip_level(round(4 * (level + rng.uniform(-world.guess, world.guess))) / 4)
    first, day, results, truth = date(2026, 9, 1), 0, [], []
    last = 0.0
    while len(truth) < DAYS:
        offset = round(day * 7 / world.days_a_week)
        day += 1
        if rng.random() < world.missed:
            continue
        level += growth * rng.choice([0.0, 1.0, 2.0]) * (offset - last) / 7
        last = offset
        if change.jump_on == len(truth):
            level += change.jump
        sway = _spread(rng, world.sway, world.is_normal)
        if rng.random() < world.off:
            sway -= rng.uniform(0.6, 1.4) * (rng.choice([-1.0, 1.0]) if world.off_either_way else 1.0)
        if change.lower_on == len(truth):
            sway -= 1.0
        for _ in range(rng.integers(world.pieces[0], world.pieces[1] + 1)):
            stated = clip_level(start + 0.02 * offset / 7 + rng.uniform(-0.8, 0.6))
            part = stated + _spread(rng, world.part_error, world.is_normal)
            share = _share(rng, world, level + sway - part)
            results.append(LevelPoint(first + timedelta(days=offset), stated, share, world.part_error))
        truth.append(level)
    return Life(start, tuple(results), tuple(truth), change.jump_on)


def _spread(rng: np.random.Generator, deviation: float, is_normal: bool) -> float:
    drawn, even = rng.normal(0.0, 1.0), rng.uniform(-1.0, 1.0)
    return deviation * (drawn if is_normal else even * math.sqrt(3.0))


def _share(rng: np.random.Generator, world: World, above: float) -> float:
    """A share as counted; the draws do not depend on the level, so that pairs stay paired."""
    bars = int(rng.integers(world.bars[0], world.bars[1] + 1))
    chances = rng.random(bars)
    likely = logistic(TARGET_LOGIT + SLOPE * world.slope * above)
    if world.clusters:
        together = rng.random(bars) < math.sqrt(world.clusters)
        chances = np.where(together, rng.random(), chances)
    return round(20 * float((chances < likely).mean())) / 20


def traced(lives: Iterable[Life]) -> list[LevelTrace]:
    """The belief through each life."""
    return [trace_level(life.start, DEFAULT_ERROR, life.results) for life in lives]


def levels_by_elo(life: Life, gain: float) -> list[float]:
    """Elo's level after each day."""
    level, found = life.start, []
    for games in _by_day(life):
        level = elo(SLOPE * level, games, SLOPE * gain, TARGET_LOGIT) / SLOPE
        found.append(level)
    return found


def levels_by_mean(life: Life, last: int = 10) -> list[float]:
    """The mean of what the last results say by themselves, after each day."""
    alone, found = [], []
    for games in _by_day(life):
        for game in games:
            held = min(0.98, max(0.02, game.score))
            alone.append((game.rating + math.log(held / (1 - held)) - TARGET_LOGIT) / SLOPE)
        found.append(float(np.mean(alone[-last:])))
    return found


def levels_by_glicko2(life: Life, trials: float, volatility: float, tau: float) -> list[float]:
    """Glicko-2's level after each day: the period is a week, the days of the week so far are in it."""
    rated = Rated(SLOPE * life.start, SLOPE * DEFAULT_ERROR, volatility)
    days = list(zip(life.on, _by_day(life), strict=True))
    found, week = [], 0
    for number, members in groupby(days, key=lambda each: (each[0] - days[0][0]).days // 7):
        while week < number:
            rated, week = glicko2(rated, [], tau), week + 1
        games: list[Game] = []
        for _, more in members:
            games += more
            after = glicko2(rated, games, tau, trials=trials, even_logit=TARGET_LOGIT)
            found.append(after.rating / SLOPE)
        rated, week = after, week + 1
    return found


def _by_day(life: Life) -> list[list[Game]]:
    return [
        [Game(SLOPE * point.part_level, SLOPE * point.part_error, point.share) for point in results]
        for _, results in groupby(life.results, key=lambda point: point.on)
    ]


def miss(found: Sequence[Sequence[float]], lives: Sequence[Life]) -> float:
    """Root of the mean square distance from the truth, over all days."""
    off = np.array(found) - np.array([life.truth for life in lives])
    return float(np.sqrt((off**2).mean()))


def levels_of(traces: Iterable[LevelTrace]) -> list[list[float]]:
    """The level after each day."""
    return [[day.after.level for day in trace.days] for trace in traces]


def covers(trace: LevelTrace, life: Life, day: int) -> bool:
    """Whether the interval after a day, counted from 1, holds the true level."""
    after = trace.days[day - 1].after
    return after.low <= life.truth[day - 1] <= after.high


def within_errors(trace: LevelTrace, life: Life, day: int) -> bool:
    """The same by the level and 1.96 times its standard error."""
    after = trace.days[day - 1].after
    return abs(after.level - life.truth[day - 1]) <= 1.96 * after.error


def after_jumps(traces: Sequence[LevelTrace], lives: Sequence[Life], results: int = 8) -> float:
    """Median distance from the truth once so many days with results have come since the jump."""
    off = []
    for trace, life in zip(traces, lives, strict=True):
        at = life.jump + results - 1
        off.append(abs(trace.days[at].after.level - life.truth[at]))
    return float(np.median(off))


def cost_of_an_off_day(seed: int, world: World = PLAIN, count: int = SECTIONS) -> float:
    """Levels by which a day read one level lower pulls the level down, two days with results later."""
    calm = replace(world, off=0.0)
    usual = levels_of(traced(sections(seed, calm, count=count)))
    lost = []
    for start, day in enumerate(OFF_DAYS):
        lowered = sections(seed, calm, lambda rng, day=day: Change(lower_on=day), count=count)
        for at in range(start, count, len(OFF_DAYS)):
            after = levels_of(traced([lowered[at]]))[0]
            lost.append(usual[at][day + 2] - after[day + 2])
    return float(np.mean(lost))


def reported_runs(traces: Sequence[LevelTrace], lives: Sequence[Life]) -> float:
    """Share of sections that report a run of surprises on one of the last eight days, or after their jump."""
    found = []
    for trace, life in zip(traces, lives, strict=True):
        first = len(trace.days) - 8 if life.jump is None else life.jump
        days = trace.days
        found.append(any(misfit_of(days[: at + 1]) for at in range(first, min(first + 8, len(days)))))
    return float(np.mean(found))


def rows() -> Iterator[Row]:
    """The figures of this module."""
    yield from figures(REPORTED_ON, PLAIN, "", has_floors=True)
    for seed in OTHERS:
        yield from figures(seed, PLAIN, f", seed {seed}", has_floors=False)
    for name, world in OTHER_WORLDS.items():
        yield from figures(REPORTED_ON, world, f", {name}", has_floors=False)


def figures(seed: int, world: World, name: str, *, has_floors: bool, count: int = SECTIONS) -> Iterator[Row]:
    """The figures of one seed in one world."""
    lives, jumped = sections(seed, world, count=count), sections(seed, world, jumping, count=count)
    traces, after = traced(lives), traced(jumped)
    for day in CHECKED:
        share = float(np.mean([covers(*each, day) for each in zip(traces, lives, strict=True)]))
        plain = float(np.mean([within_errors(*each, day) for each in zip(traces, lives, strict=True)]))
        note = f"by 1.96 standard errors {plain:.3f}"
        yield Row(f"levels: interval after {day} days{name}", share, 0.92 if has_floors else None, note=note)
        if has_floors:
            yield Row(f"levels: interval after {day} days, at most", share, 0.98, at_most=True)
    both = [*lives, *jumped]
    ours = miss(levels_of([*traces, *after]), both)
    for rival, levels, most in (
        ("Glicko-2 by the week", [levels_by_glicko2(life, *GLICKO) for life in both], 0.85),
        ("Elo", [levels_by_elo(life, ELO_GAIN) for life in both], 1.0),
        ("mean of the last ten", [levels_by_mean(life) for life in both], 1.0),
    ):
        theirs = miss(levels, both)
        yield Row(
            f"levels: error beside {rival}{name}", ours / theirs, most if has_floors else None, "ratio",
            at_most=True, note=f"{ours:.3f} beside {theirs:.3f}",
        )  # fmt: skip
    since = [
        covers(trace, life, day + 1)
        for trace, life in zip(after, jumped, strict=True)
        for day in range(life.jump, life.jump + 8)
    ]
    most = 0.3 if has_floors else None
    jump = after_jumps(after, jumped)
    yield Row(f"levels: eight days after a jump{name}", jump, most, "levels", at_most=True)
    yield Row(f"levels: interval on the eight days after a jump{name}", float(np.mean(since)))
    for case, runs in (
        ("without a jump", reported_runs(traces, lives)),
        ("after one", reported_runs(after, jumped)),
    ):
        yield Row(f"levels: sections with a run reported within eight days {case}{name}", runs)
    most = 0.15 if has_floors else None
    cost = cost_of_an_off_day(seed, world, count)
    yield Row(f"levels: an off day, two days later{name}", cost, most, "levels", at_most=True)


def tuning(seed: int = TUNED_ON) -> Iterator[str]:
    """How the rivals do with other constants, on the seed they were tuned on."""
    lives = [*sections(seed), *sections(seed, change=jumping)]
    for gain in (0.5, 0.7, 1.0, 1.4, 2.0):
        yield f"Elo, gain {gain}: {miss([levels_by_elo(life, gain) for life in lives], lives):.4f}"
    for trials in (1.0, 2.0, 3.0, 5.0):
        for volatility in (0.06, 0.2, 0.35, 0.5, 0.7):
            for tau in (0.3, 1.2):
                name = f"Glicko-2, {trials} trials, volatility {volatility}, tau {tau}"
                try:
                    found = [levels_by_glicko2(life, trials, volatility, tau) for life in lives]
                except ArithmeticError:
                    yield f"{name}: runs off"
                else:
                    yield f"{name}: {miss(found, lives):.4f}"


if __name__ == "__main__":
    for text in tuning():
        print(text, flush=True)
