"""Bars of a passage in which it is beyond doubt whose tune it is, and in which a part plainly accompanies."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from planner.core.fact import Place
from planner.study.form.doublings import bar_contents, same_bars
from planner.study.melody.claims import Claims
from planner.study.melody.figures import Figures, figures_of
from planner.study.notes.arrays import is_among
from planner.study.notes.columns import Bools, Columns, Ints, PartColumns

CERTAIN, ALONG = 0.8, 0.7
"""Mean chance of the tune in a passage from which it is beyond doubt, and in three bars from which the middle
one goes along.

Between the analysed movements, passages so sure have the analysts' part, or one that doubles it, in 92 of 100
bars (``tests/benchmarks/melody.py``).
"""
THEME, MOTIVE = 6, 4
"""Notes of a figure by which another part has the theme too, and by which it shares in the tune (house
choice: six notes that agree in rhythm and steps by chance are rare, see ``answers``)."""
NEAR = 4
"""Most bars between the same figure in two parts that is heard as one theme (house choice: a phrase)."""
LEAST_THEME_BARS, LEAST_THEME_NOTES = 4, 8
"""Fewest bars, and notes in them, of a part's tune by which another one is known to have it at another time,
whatever the first one plays above it (house choice: a phrase)."""
LEAST_RHYTHM = 4
"""Fewest notes of a bar whose rhythm another part is heard to take up (house choice)."""


@dataclass(frozen=True, slots=True)
class Passage:
    """Bars in which one part, an index, has the tune, with the mean chance of that, 0 to 1."""

    part: int
    first: int
    last: int
    chance: float

    @property
    def bars(self) -> int:
        """How many bars it has."""
        return self.last - self.first + 1

    @property
    def stretch(self) -> Ints:
        """Its bars."""
        return np.arange(self.first, self.last + 1)


def runs(bars: Ints) -> list[Place]:
    """Stretches of neighbouring bars.

    Example:
        >>> runs(np.array([1, 2, 5]))
        [(1, 2), (5, 5)]
    """
    if not len(bars):
        return []
    edges = np.flatnonzero(np.diff(bars) > 1) + 1
    return [(int(run[0]), int(run[-1])) for run in np.split(bars, edges)]


def beyond_doubt(columns: Columns, claims: Claims, passages: Sequence[Passage], least: int) -> list[Passage]:
    """What is left of passages in which it is certain who has the tune, at least so many bars each.

    The part plays, others play beside it, none of them has the tune of its other bars, or has taken up its
    theme shortly before or after, and the chance is high, or the bar brings again what the part played where
    it was.
    """
    contents = bar_contents(columns)
    plays = _plays(columns)
    chance = np.concatenate([claims.chance[:1], claims.chance, claims.chance[-1:]])
    is_sure = chance[:-2] + chance[1:-1] + chance[2:] >= 3 * ALONG
    found: list[Passage] = []
    for part in sorted({each.part for each in passages}):
        own = np.concatenate([each.stretch for each in passages if each.part == part])
        sure = own[is_sure[own]]
        known = np.unique(contents.notes[sure, part])
        again = (claims.part == part) & np.isin(contents.notes[:, part], known[known != 0])
        good = again.copy()
        good[sure] = True
        beside = plays.copy()
        beside[:, part] = False
        alone = (claims.part == part) & plays[:, part] & beside.any(axis=1) & ~_imitated(columns, part, own)
        alone &= ~theme_elsewhere(columns, claims, part)
        good &= alone
        good[1:-1] |= alone[1:-1] & good[:-2] & good[2:]
        for first, last in runs(np.flatnonzero(good)):
            inside = np.intersect1d(np.arange(first, last + 1), sure)
            mean = float(claims.chance[inside].mean()) if len(inside) else 0.0
            if last - first + 1 >= least and mean >= CERTAIN:
                found.append(Passage(part, first, last, mean))
    return sorted(found, key=lambda each: (each.first, each.part))


def _plays(columns: Columns) -> Bools:
    """Where each part strikes a note; shape ``(n_measures, n_parts)``."""
    found = np.zeros((len(columns.measure_start), len(columns.parts)), dtype=np.bool_)
    for part in columns.parts:
        found[part.measure[part.struck], part.index] = True
    return found


def theme_elsewhere(columns: Columns, claims: Claims, leader: int) -> Bools:
    """Bars in which another part has what a leader has elsewhere as the tune: there it may be a descant."""
    contents = bar_contents(columns)
    own = contents.notes[:, leader]
    theme = np.unique(own[(claims.part == leader) & (own != 0)])
    found = np.zeros(len(own), dtype=np.bool_)
    for part in range(contents.notes.shape[1]):
        notes = contents.notes[:, part]
        for first, last in runs(np.flatnonzero((notes != own) & np.isin(notes, theme))):
            bars = slice(first, last + 1)
            is_theme = int(contents.struck[bars, part].sum()) >= LEAST_THEME_NOTES
            if last - first + 1 >= LEAST_THEME_BARS and is_theme and len(np.unique(notes[bars])) > 1:
                found[bars] = True
    return found


def _imitated(columns: Columns, leader: int, bars: Ints) -> Bools:
    """Bars in which another part has the theme of a leader's passages at another time close by."""
    same = same_bars(bar_contents(columns), leader, range(len(columns.parts)))
    found = np.zeros(len(columns.measure_start), dtype=np.bool_)
    for part, measures, is_together in _shared(columns, leader, bars, THEME):
        if not is_together and not same[measures, part].all():
            found[measures] = True
    return found


def _shared(columns: Columns, leader: int, bars: Ints, size: int) -> Iterator[tuple[int, Ints, bool]]:
    """Figures of other parts that a leader has too in some bars or near them.

    Yields the other part, the measures of the notes of its figure, and whether both begin together.
    """
    figures = figures_of(columns, size)
    begins = _onsets(columns, figures)
    is_own = (figures.part == leader) & is_among(figures.measures[:, 0], np.unique(bars))
    own: dict[int, list[tuple[int, int]]] = {}
    for name, measure, begin in zip(
        figures.name[is_own].tolist(),
        figures.measures[is_own, 0].tolist(),
        begins[is_own].tolist(),
        strict=True,
    ):
        own.setdefault(name, []).append((measure, begin))
    others = np.flatnonzero((figures.part != leader) & np.isin(figures.name, list(own)))
    for at in others.tolist():
        measure, begin = int(figures.measures[at, 0]), int(begins[at])
        near = [one for where, one in own[int(figures.name[at])] if abs(where - measure) <= NEAR]
        if near:
            yield int(figures.part[at]), np.unique(figures.measures[at]), begin in near


def _onsets(columns: Columns, figures: Figures) -> Ints:
    """Tick at which each figure begins."""
    found = np.zeros_like(figures.first)
    for part in columns.parts:
        mine = figures.part == part.index
        found[mine] = part.line.onset[figures.first[mine]]
    return found


def takes_part(columns: Columns, leader: int, passages: Sequence[Passage]) -> Bools:
    """Where each part shares in a leader's tune: a motive of it, or a rhythm taken up from a bar close by.

    Shape ``(n_measures, n_parts)``.
    """
    bars = np.concatenate([each.stretch for each in passages])
    found = np.zeros((len(columns.measure_start), len(columns.parts)), dtype=np.bool_)
    for part, measures, _ in _shared(columns, leader, bars, MOTIVE):
        found[measures, part] = True
    rhythms = [_rhythms(columns, part) for part in columns.parts]
    for bar in bars.tolist():
        own = rhythms[leader].get(bar)
        if own is None:
            continue
        for part, theirs in enumerate(rhythms):
            for other in range(bar - NEAR, bar + NEAR + 1) if part != leader else ():
                if theirs.get(other) == own and rhythms[leader].get(other) != own:
                    found[other, part] = True
    return found


def _rhythms(columns: Columns, part: PartColumns) -> dict[int, tuple[int, ...]]:
    """The rhythm of each bar in which a part strikes enough notes that are not all equally far apart."""
    line = part.line
    edges = np.searchsorted(line.measure, np.arange(len(columns.measure_start) + 1)).tolist()
    found = {}
    for bar, start in enumerate(columns.measure_start.tolist()):
        onsets = (line.onset[edges[bar] : edges[bar + 1]] - start).tolist()
        if len(onsets) >= LEAST_RHYTHM and len(set(np.diff(onsets).tolist())) > 1:
            found[bar] = tuple(onsets)
    return found
