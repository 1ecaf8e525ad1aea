"""A whole library held against an ensemble at once: what ``outlook`` says of a piece, for thousands of them.

No study is opened and no part is looked at: all rests on what each piece asks of the seats (``core.asked``).
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.core.asked import SEAT_NUMBERS, Asked
from planner.core.ensemble import Ensemble
from planner.levels.curve import TARGET_SHARE
from planner.levels.many_readings import Bools, Floats, expected_shares, greatest_lost, reading_costs
from planner.levels.readable import EASY_ABOVE, HARD_BELOW, LEAST_BUSY, Verdict
from planner.matching.outlook import (
    IDLE_COST,
    LEAST_COVERED,
    RANGE_COST,
    UNCOVERED_COST,
    comfort_of,
    error_of,
)

Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class LibraryFit:
    """How every piece suits an ensemble as its sections read on a day; a row is a piece, a column a section.

    Attributes:
        share: Expected share of bars right, 0 to 1; NaN where a section has no part of known level.
        has_part: Where a section has a part.
        lost: Of each piece the greatest chance that a section is lost in it, 0 to 1.
        cost: As ``PieceOutlook.cost``.
        covered, uncovered: Parts that somebody reads, and parts that nobody reads.
        is_read: Some section reads a part of known level.
        is_covered: Enough of its parts are read.
        is_busy: Enough of the players have a part.
    """

    share: Floats
    has_part: Bools
    lost: Floats
    cost: Floats
    covered: Ints
    uncovered: Ints
    is_read: Bools
    is_covered: Bools
    is_busy: Bools

    @property
    def can_be_cast(self) -> Bools:
        """As ``PieceOutlook.can_be_cast``."""
        able: Bools = (self.covered > 0) & self.is_covered & self.is_busy
        return able

    @property
    def worst_share(self) -> Floats:
        """The lowest expected share of each piece; NaN where nobody reads it."""
        lowest = np.where(np.isnan(self.share), np.inf, self.share).min(axis=1, initial=np.inf)
        return np.where(np.isinf(lowest), np.nan, lowest)

    @property
    def mean_share(self) -> Floats:
        """The mean expected share of the sections that read each piece; NaN where nobody reads it."""
        readers = (~np.isnan(self.share)).sum(axis=1)
        total = np.nansum(self.share, axis=1)
        mean: Floats = np.where(readers > 0, total / np.maximum(1, readers), np.nan)
        return mean

    def count_verdicts(self, rows: Sequence[int]) -> tuple[Mapping[Verdict, int], ...]:
        """For each section how many of some pieces are of each verdict, those without a part left out."""
        share, has_part = self.share[list(rows)], self.has_part[list(rows)]
        where = {
            Verdict.TOO_EASY: share > EASY_ABOVE,
            Verdict.TOO_HARD: share < HARD_BELOW,
            Verdict.JUST_READABLE: (share >= HARD_BELOW) & (share <= EASY_ABOVE),
            Verdict.UNKNOWN: has_part & np.isnan(share),
        }
        columns = range(share.shape[1])
        return tuple(Counter({each: int(at[:, n].sum()) for each, at in where.items()}) for n in columns)


def fit_library(asked: Sequence[Asked], ensemble: Ensemble, aim: float = TARGET_SHARE) -> LibraryFit:
    """Hold pieces against an ensemble.

    Args:
        asked: What each piece asks of it.
        ensemble: Who reads, with its levels of the day.
        aim: Share of bars that every section should get right, 0 to 1.
    """
    seats = _Seats(asked, ensemble)
    sizes = np.array([section.size for section in ensemble.sections], dtype=np.float64)
    covered = np.array([one.covered for one in asked], dtype=np.int64)
    uncovered = np.array([one.uncovered for one in asked], dtype=np.int64)
    own = np.array([section.level for section in ensemble.sections])
    doubt = np.array([error_of(section) for section in ensemble.sections])
    reads = ~np.isnan(seats.level)
    gap = np.where(reads, seats.level - own, 0.0)
    share = np.where(reads, expected_shares(gap), np.nan)
    lost = greatest_lost(gap, np.hypot(doubt, np.where(reads, seats.error, 0.0)), reads)
    is_read: Bools = reads.any(axis=1)
    busy = seats.has_part @ sizes
    reading = np.rint(reading_costs(np.where(reads, share, 0.0), lost, reads, aim))
    on_any_day = _fixed_costs(covered, uncovered, seats, sizes)
    return LibraryFit(
        share=share,
        has_part=seats.has_part,
        lost=lost,
        cost=np.where(is_read, reading + on_any_day, np.inf),
        covered=covered,
        uncovered=uncovered,
        is_read=is_read,
        is_covered=covered >= LEAST_COVERED * (covered + uncovered),
        is_busy=busy >= LEAST_BUSY * sizes.sum(),
    )


class _Seats:
    """The packed seats of many pieces as tables of piece by section; NaN where a section has no part."""

    def __init__(self, asked: Sequence[Asked], ensemble: Ensemble) -> None:
        shape = (len(asked), len(ensemble.sections))
        self.level, self.error = np.full(shape, np.nan), np.zeros(shape)
        self.has_part, self.is_beyond = np.zeros(shape, dtype=bool), np.zeros(shape, dtype=bool)
        found = np.frombuffer(b"".join(one.seats for one in asked), dtype="<f8").reshape(-1, SEAT_NUMBERS)
        many = [len(one.seats) // (8 * SEAT_NUMBERS) for one in asked]
        rows = np.repeat(np.arange(len(asked)), many)
        for at, section in enumerate(ensemble.sections):
            here = found[:, 0] == section.id
            own = rows[here]
            _, self.level[own, at], self.error[own, at], low, high = found[here].T
            self.has_part[own, at] = True
            ends = comfort_of(section.instrument, section.level)
            if ends is not None:
                self.is_beyond[own, at] = (low < ends[0]) | (high > ends[1])


def _fixed_costs(covered: Ints, uncovered: Ints, seats: _Seats, sizes: Floats) -> Floats:
    """As ``PieceOutlook.fixed_cost``."""
    idle = ~seats.has_part @ sizes
    reading = np.maximum(1, seats.has_part.sum(axis=1))
    cost: Floats = np.rint(
        UNCOVERED_COST * uncovered / np.maximum(1, covered + uncovered)
        + IDLE_COST * idle / max(1.0, float(sizes.sum()))
        + RANGE_COST * seats.is_beyond.sum(axis=1) / reading
    )
    return cost
