"""Where a part answers another: it takes up a figure of the tune a few bars later, at some interval."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from planner.core.fact import Place
from planner.study.form.doublings import bar_contents, same_bars
from planner.study.melody.claims import Claims
from planner.study.melody.figures import LONGEST_GAP, Figures, figures_of
from planner.study.notes.columns import Bools, Columns, Ints

SIZE = 6
"""Notes in which an answer must agree at least.

Source: house choice. Over 7 steps and one rhythm two places of unlike music agree in six notes with chance
7**-5, about 1 in 17,000.
"""
LEAST_EVEN = 8
"""The same where all notes have one length: runs agree more easily (house choice)."""
WITHIN = 4
"""Most bars from the figure to its answer (house choice: a phrase)."""
IS_TUNE = 0.5
"""Mean chance of the tune from which a figure can be answered (house choice)."""

DOUBLE_BARS = frozenset({"light-light", "light-heavy", "heavy-light", "heavy-heavy"})
"""Bar lines after which a section begins, by their MusicXML names."""


@dataclass(frozen=True, slots=True)
class Answer:
    """An answer.

    Attributes:
        part, leader: Indices of the part that answers and of the part it answers.
        first, last: The bars of the answer.
        of: The bars of what it answers.
        steps: Steps of the staff from what it answers to the answer, as they sound; upward above 0.
        notes: How many notes agree.
    """

    part: int
    leader: int
    first: int
    last: int
    of: Place
    steps: int
    notes: int


def find_answers(columns: Columns, claims: Claims) -> Iterator[Answer]:
    """Every answer, in order of part and time.

    A part answers when it comes in after a rest with a figure that another one, which had the tune, had
    begun in an earlier bar, up to ``WITHIN`` before, and when neither had played that figure shortly before:
    an exchange of one figure to and fro is answered once. A figure that comes again after the rehearsal mark
    or double bar at which it had ended is the theme of the next section, and no answer.
    """
    figures = figures_of(columns, SIZE)
    if not len(figures.name):
        return
    time, height = _begins(columns, figures)
    order = np.lexsort((figures.part, time, figures.name))
    name, part, bar = figures.name[order], figures.part[order], figures.measures[order, 0]
    time, height = time[order], height[order]
    opens = np.append(True, (name[1:] != name[:-1]) | (time[1:] != time[:-1]))
    group = np.cumsum(opens) - 1
    head = np.flatnonzero(opens)  # first figure of each moment, the highest in the score
    before = np.where(group > 0, head[group - 1], -1)
    known = (before >= 0) & (name[before] == name) & (bar - bar[before] <= WITHIN)
    fresh = _is_fresh(name, part, bar)
    chance = claims.every[figures.measures[order], part[:, None]].mean(axis=1)
    good = known & fresh & fresh[before] & (part != part[before]) & (chance[before] >= IS_TUNE)
    at, led = np.flatnonzero(good), before[good]
    if not len(at):
        return
    led = _nearest(at, led, group, height, fresh & (chance > 0))
    first = figures.first[order]
    table = np.stack(
        [part[at], part[led], height[at] - height[led], time[at] - time[led], first[at], first[led]], axis=1
    )
    table = table[np.lexsort((first[at], part[at]))]
    section = np.cumsum(_opens_section(columns))
    goes_on = np.all(table[1:, :4] == table[:-1, :4], axis=1) & (table[1:, 4] == table[:-1, 4] + 1)
    for run in np.split(table, np.flatnonzero(~goes_on) + 1):
        answering, leader, steps, _, own, of = run[0].tolist()
        notes = len(run) + SIZE - 1
        places = _bars(columns, answering, own, notes), _bars(columns, leader, of, notes)
        is_theme = section[places[0][0]] > section[places[1][1]]
        if places[0][0] <= places[1][0] or is_theme or _plays_along(columns, answering, leader, places[0]):
            continue
        if _is_entry(columns, answering, own, notes):
            yield Answer(answering, leader, *places[0], places[1], steps, notes)


def _nearest(at: Ints, led: Ints, group: Ints, height: Ints, fit: Bools) -> Ints:
    """What each figure answers: of those of one moment the first at the same pitch or octaves away if any."""
    found = led.copy()
    for place, (own, head) in enumerate(zip(at.tolist(), led.tolist(), strict=True)):
        members = np.arange(head, int(np.searchsorted(group, group[head], side="right")))
        alike = members[fit[members] & ((height[own] - height[members]) % STEPS_OF_OCTAVE == 0)]
        if len(alike):
            found[place] = alike[0]
    return found


STEPS_OF_OCTAVE = 7


def _plays_along(columns: Columns, part: int, leader: int, bars: Place) -> bool:
    """Whether the one who led plays the same as the part that comes in: that is a tutti, and no answer."""
    return bool(same_bars(bar_contents(columns), part, (leader,))[bars[0] : bars[1] + 1].all())


def _begins(columns: Columns, figures: Figures) -> tuple[Ints, Ints]:
    """Tick at which each figure begins, and the sounding staff step of its first note."""
    time, height = np.zeros_like(figures.first), np.zeros_like(figures.first)
    for part in columns.parts:
        mine = figures.part == part.index
        at = figures.first[mine]
        steps = np.full(max(len(columns.measure_start), 1), part.part.transposition.steps, dtype=np.int64)
        for start, transposition in part.part.transpositions:
            steps[start:] = transposition.steps
        time[mine] = part.line.onset[at]
        height[mine] = part.line.diatonic[at] + steps[part.line.measure[at]]
    return time, height


def _is_fresh(name: Ints, part: Ints, bar: Ints) -> Bools:
    """Whether the same part has not begun the same figure up to ``WITHIN`` bars before; given in order."""
    order = np.lexsort((bar, part, name))
    same = (name[order][1:] == name[order][:-1]) & (part[order][1:] == part[order][:-1])
    near = bar[order][1:] - bar[order][:-1] <= WITHIN
    fresh = np.ones(len(name), dtype=np.bool_)
    fresh[order[1:]] = ~(same & near)
    return fresh


def _opens_section(columns: Columns) -> Bools:
    """For each measure, whether a rehearsal mark stands at it or a double bar before it."""
    measures = columns.score.measures
    after = [False, *(bool(measure.right_bar in DOUBLE_BARS) for measure in measures[:-1])]
    marked = [bool(measure.rehearsal) for measure in measures]
    return np.array(marked, dtype=np.bool_) | np.array(after[: len(marked)], dtype=np.bool_)


def _is_entry(columns: Columns, part: int, first: int, notes: int) -> bool:
    """Whether some notes of a part come in after a rest, unbroken by a long one, and are no short run."""
    line = columns.parts[part].line
    if first and int(line.end[first - 1]) >= int(line.onset[first]):
        return False
    gaps = np.diff(line.onset[first : first + notes])
    return bool(gaps.max() < LONGEST_GAP and (notes >= LEAST_EVEN or len(np.unique(gaps)) > 1))


def _bars(columns: Columns, part: int, first: int, notes: int) -> Place:
    measure = columns.parts[part].line.measure
    return int(measure[first]), int(measure[first + notes - 1])
