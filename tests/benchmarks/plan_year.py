"""A whole year of two bands, simulated: levels nobody is shown, results every week, a new plan every week.

``python -m tests.benchmarks.plan_year YEAR.svg`` writes the picture and prints the figures; in
``tests.benchmarks.plan_figures`` the figures stand with the others. Everything goes through the services on a
real database in a temporary home, and the director takes every proposal; how sections read is in
``plan_world``.
"""

import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

import numpy as np
from reportlab.graphics import renderSVG
from reportlab.graphics.charts.lineplots import LinePlot
from reportlab.graphics.shapes import Drawing, PolyLine, Rect, String
from reportlab.lib.colors import HexColor

from planner.levels.readable import Verdict, verdict_of
from planner.services.plan.plan_term import plan_term
from planner.services.plan.proposals import take_proposal
from planner.services.toolbox import changing
from tests.benchmarks.plan_world import BY, FIRST, PlanWorld, plan_world
from tests.benchmarks.rows import Row

WEEKS = 36
PIECES = 160
WEEKDAYS = (1,)
BANDS = {"Concert Band": 2.3, "Wind Ensemble": 3.0}
FIRST_STEPS, STEPS = 3000, 400
"""Of the first search of the year, and of each one after a week."""

SETTLED_AFTER = 8
"""Weeks after which the levels should be known."""

FAR_S = 600.0


@dataclass(frozen=True, slots=True)
class Week:
    """What one week of one band was like.

    Attributes:
        band: Its name.
        number: 0 for the first week.
        error: Mean distance of the believed from the true levels after the week, in levels.
        shares: Of each reading the share of bars the section would really get right on average.
        changes: Days of the plan that the week's results changed.
        open: Slots of the week that were left open.
    """

    band: str
    number: int
    error: float
    shares: tuple[float, ...]
    changes: int
    open: int

    @property
    def in_band(self) -> float:
        """Share of the week's readings that really were neither too hard nor too easy."""
        return float(np.mean([is_in_band(share) for share in self.shares])) if self.shares else 0.0


def simulate(
    weeks: int = WEEKS, pieces: int = PIECES, *, steps: tuple[int, int] = (FIRST_STEPS, STEPS), seed: int = 7
) -> list[Week]:
    """The weeks of both bands, in order; ``steps`` are those of the first search and of each after a week."""
    found: list[Week] = []
    with plan_world(pieces=pieces, weeks=weeks, bands=BANDS, weekdays=WEEKDAYS, seed=seed) as world:
        for band_id in world.terms:
            _plan(world, band_id, 0, steps[0])
        for number in range(weeks):
            found += [_one_week(world, band_id, number, steps[1]) for band_id in world.terms]
            world.grow()
    return found


def _one_week(world: PlanWorld, band_id: int, number: int, steps: int) -> Week:
    """Read what is planned, log it, and plan again a week later."""
    term = world.terms[band_id]
    first = FIRST + timedelta(weeks=number)
    with world.open_work() as work:
        plan = work.terms.plan(term.id)
        band = work.ensembles.get(band_id)
    days = [on for on in term.reading_dates() if first <= on < first + timedelta(weeks=1)]
    slots = [slot for slot in plan.slots if slot.on in days] if plan else []
    shares = [share for slot in slots for share in world.true_shares(band_id, slot.piece_id).values()]
    world.read(band_id, slots)
    changes = _plan(world, band_id, number + 1, steps) if term.last > first + timedelta(weeks=1) else 0
    with world.open_work() as work:
        sections = work.ensembles.get(band_id).sections
    error = float(np.mean([abs(each.level - world.levels[each.id]) for each in sections]))
    missing = len(days) * term.slots - len(slots)
    return Week(band.name, number, error, tuple(shares), changes, missing)


def _plan(world: PlanWorld, band_id: int, week: int, steps: int) -> int:
    """Plan on the first morning of a week and take what is proposed; how many days that changes."""
    term, today = world.terms[band_id], FIRST + timedelta(weeks=week)
    view = plan_term(world.open_work, term.id, today, by=BY, limit_s=FAR_S, steps=steps, leave_open=True)
    if view.proposal is None:
        return 0
    with changing(world.open_work) as work:
        take_proposal(work, term.id, None, today, by=BY)
    return len(view.proposal.changes)


def is_in_band(share: float) -> bool:
    """Whether a share is neither too low nor too high."""
    return verdict_of(share) is Verdict.JUST_READABLE


def rows() -> Iterator[Row]:
    """The figures of the year."""
    yield from rows_of(simulate())


def rows_of(weeks: Sequence[Week]) -> Iterator[Row]:
    """What the year came to: its start beside what came when the levels were known."""
    early = [week for week in weeks if week.number == 0]
    late = [week for week in weeks if week.number >= SETTLED_AFTER] or list(weeks)
    note = f"{np.mean([week.error for week in early]):.3f} after the first week"
    error = float(np.mean([week.error for week in late]))
    yield Row("year: error of the levels", error, 0.25, "levels", at_most=True, note=note)
    shares = [share for week in late for share in week.shares]
    first = [share for week in early for share in week.shares]
    note = f"{np.mean([is_in_band(s) for s in first]):.3f} in the first week, by the true levels"
    in_band = float(np.mean([is_in_band(share) for share in shares]))
    yield Row("year: readings in band", in_band, None, "share", note=note)
    yield Row("year: mean true share", float(np.mean(shares)), None, "share")
    changes = [week.changes for week in weeks]
    note = f"median {np.median(changes):g}, at most {max(changes)}"
    yield Row("year: days changed a week", float(np.mean(changes)), None, "days", note=note)
    yield Row("year: open slots", sum(week.open for week in weeks), 0, "slots", at_most=True)


COLORS, DASHES = ("#1b6ca8", "#c4501b"), (None, (6, 3))
WIDTH, PANEL, LEFT, GAP, TOP = 760, 140, 60, 76, 64
GRAY = HexColor("#555555")


@dataclass(frozen=True, slots=True)
class Panel:
    """One picture of the year: what is drawn week by week, in words, and how.

    Attributes:
        title, note: What it shows, and how to read it.
        most: Where its scale ends.
        label: How the scale is written.
        value: What is drawn of a week.
    """

    title: str
    note: str
    most: float
    label: str | Callable[[float], str]
    value: Callable[[Week], float]


def panels_of(weeks: Sequence[Week]) -> tuple[Panel, ...]:
    """The pictures of a year."""
    return (
        Panel(
            "How far the sections' levels are from the truth",
            "In levels, mean of all sections, after each week's results. Lower is better.",
            0.6,
            "%.1f",
            lambda week: week.error,
        ),
        Panel(
            "Readings that were just readable",
            "Share of a week's readings neither too hard nor too easy, by the true levels. Higher is better.",
            1.0,
            lambda share: f"{share:.0%}",
            lambda week: week.in_band,
        ),
        Panel(
            "Reading days that changed",
            "Days still ahead that each week's new plan changed. Lower is calmer.",
            max(8.0, *(week.changes for week in weeks)),
            "%d",
            lambda week: float(week.changes),
        ),
    )


def draw(weeks: Sequence[Week]) -> Drawing:
    """The year as a picture: error of levels, readings in band, days changed, week by week."""
    bands = sorted({week.band for week in weeks})
    panels = panels_of(weeks)
    height = TOP + len(panels) * (PANEL + GAP)
    picture = Drawing(WIDTH, height)
    picture.add(Rect(0, 0, WIDTH, height, fillColor=HexColor("#ffffff"), strokeColor=None))
    title = f"{len({week.number for week in weeks})} weeks of reading, results and new plans (simulated)"
    picture.add(String(LEFT, height - 24, title, fontSize=15))
    for at, band in enumerate(bands):
        x, y = LEFT + 170 * at, height - 46
        look = {"strokeColor": HexColor(COLORS[at]), "strokeDashArray": DASHES[at]}
        picture.add(PolyLine([x, y, x + 33, y], strokeWidth=2, **look))
        picture.add(String(x + 40, y - 4, band, fontSize=11))
    for at, panel in enumerate(panels):
        bottom = height - TOP - (at + 1) * (PANEL + GAP) + GAP / 2
        lines = [
            [(week.number + 1, panel.value(week)) for week in weeks if week.band == band] for band in bands
        ]
        picture.add(String(LEFT, bottom + PANEL + 23, panel.title, fontSize=12))
        picture.add(String(LEFT, bottom + PANEL + 9, panel.note, fontSize=10, fillColor=GRAY))
        picture.add(_plot(bottom, lines, panel))
        picture.add(String(WIDTH - 20, bottom - 28, "week", fontSize=10, fillColor=GRAY, textAnchor="end"))
    return picture


def _plot(bottom: float, lines: list[list[tuple[float, float]]], panel: Panel) -> LinePlot:
    plot = LinePlot()
    plot.x, plot.y, plot.width, plot.height = LEFT, bottom, WIDTH - LEFT - 20, PANEL
    plot.data = lines
    plot.yValueAxis.valueMin, plot.yValueAxis.valueMax = 0.0, panel.most
    plot.yValueAxis.labelTextFormat = panel.label
    plot.xValueAxis.valueMin = 1
    plot.xValueAxis.valueStep = 4 if len(lines[0]) > 8 else 1
    plot.yValueAxis.visibleGrid = True
    plot.yValueAxis.gridStrokeColor = HexColor("#dddddd")
    for at in range(len(lines)):
        plot.lines[at].strokeColor = HexColor(COLORS[at])
        plot.lines[at].strokeWidth = 1.6
        plot.lines[at].strokeDashArray = DASHES[at]
    return plot


def main(arguments: list[str]) -> int:
    """Simulate, print the figures, and write the picture where the argument says."""
    if len(arguments) != 1:
        print("python -m tests.benchmarks.plan_year YEAR.svg")
        return 2
    weeks = simulate()
    for row in rows_of(weeks):
        print(f"{row.name:<40} {row.value:8.3f} {row.unit:<7} {row.note}")
    Path(arguments[0]).write_text(renderSVG.drawToString(draw(weeks)), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
