"""A library held against an ensemble at once, against each piece looked at by itself."""

import random
from math import isinf

import numpy as np
import pytest

from planner.core.asked import Asked
from planner.core.ensemble import Ensemble, Section
from planner.core.profile import PartProfile
from planner.levels.curve import expected_share
from planner.levels.many_readings import expected_shares, greatest_lost, reading_costs
from planner.levels.readable import ask_of, reading_cost
from planner.matching.library_fit import fit_library
from planner.matching.outlook import LEAST_COVERED, outlook_of
from planner.matching.seats import packed_seats, seat_parts
from tests.fakes import make_profile

INSTRUMENTS = ("flute", "clarinet-bflat", "saxophone-alto", "horn-f", "trumpet-bflat", "euphonium", "tuba",
               "percussion", "bass-drum", "violin", "piano", "no-such-thing")  # fmt: skip
ENDS = (None, ("A2", "C4"), ("C4", "G5"), ("E3", "C7"))
BAND = Ensemble(
    1,
    "Band",
    sections=tuple(
        Section(11 + at, name, instrument, chair, size, level, error)
        for at, (name, instrument, chair, size, level, error) in enumerate((
            ("Flute", "flute", 1, 3, 2.2, 0.3),
            ("Clarinet 1", "clarinet-bflat", 1, 2, 2.0, None),
            ("Clarinet 2", "clarinet-bflat", 2, 4, 1.2, 0.5),
            ("Treble Baritone", "euphonium-treble", 1, 1, 2.6, None),
            ("Horn", "horn-f", 1, 1, 1.5, 0.0),
            ("Drums", "percussion", 1, 2, 2.0, None),
        ))
    ),
)  # fmt: skip


def parts_of(chance: random.Random) -> tuple[PartProfile, ...]:
    """Up to nine parts, some without notes, without a level or a range, some beyond anybody's reach."""
    return tuple(
        PartProfile(
            f"Part {at}", chance.choice(INSTRUMENTS), 0, chance.choice((0, 40, 90)), chance.choice(ENDS),
            chance.choice(ENDS), chance.choice((None, round(chance.uniform(0.5, 6.0), 2))),
            level_error=chance.choice((None, 0.35, 1.0)),
        )
        for at in range(chance.randrange(10))
    )  # fmt: skip


def asked_of(parts):
    seated = seat_parts(parts, BAND.sections)
    seats = packed_seats(parts, BAND.sections, seated.readings)
    return Asked(seated.level, 8.0, seated.covered, seated.uncovered, b"", seats)


@pytest.fixture(scope="module")
def library():
    """300 pieces made up at random, each beside what it is when looked at by itself."""
    chance = random.Random(3)
    every = [parts_of(chance) for _ in range(300)]
    outlooks = [outlook_of(None, make_profile(parts=parts), BAND) for parts in every]
    return outlooks, fit_library([asked_of(parts) for parts in every], BAND), every


def test_shares_and_costs_are_those_of_each_piece(library):
    outlooks, fit, _ = library
    assert sum(not isinf(outlook.cost) for outlook in outlooks) > 120
    assert len({outlook.fixed_cost for outlook in outlooks}) > 50
    for at, outlook in enumerate(outlooks):
        assert fit.cost[at] == outlook.cost
        shares = {reading.section.id: reading.share for reading in outlook.readings}
        found = dict(zip((section.id for section in BAND.sections), fit.share[at], strict=True))
        known = {section: share for section, share in found.items() if not np.isnan(share)}
        assert known == pytest.approx(shares)
        assert fit.lost[at] == pytest.approx(max((each.lost for each in outlook.readings), default=0.0))
        worst = min(shares.values(), default=np.nan)
        assert fit.worst_share[at] == pytest.approx(worst, nan_ok=True)


def test_who_has_a_part_and_what_can_be_cast(library):
    outlooks, fit, every = library
    kinds = set()
    for at, outlook in enumerate(outlooks):
        seated = {each.section.id for each in outlook.fits}
        assert [bool(has) for has in fit.has_part[at]] == [s.id in seated for s in BAND.sections]
        covered = len({each.cast.part for each in outlook.fits})
        assert (fit.covered[at], fit.uncovered[at]) == (covered, len(outlook.uncovered))
        assert fit.can_be_cast[at] == outlook.can_be_cast
        assert fit.is_covered[at] == (covered >= LEAST_COVERED * (covered + len(outlook.uncovered)))
        assert fit.is_read[at] == bool(outlook.readings)
        assert asked_of(every[at]).level == outlook.level
        kinds.add((bool(fit.can_be_cast[at]), bool(fit.is_covered[at]), bool(fit.is_busy[at])))
    assert len(kinds) >= 4, "every reason why a piece cannot be cast occurs"


def test_an_empty_library_and_pieces_of_which_nothing_is_known():
    assert fit_library([], BAND).cost.shape == (0,)
    fit = fit_library([Asked(2.0)], BAND)
    assert (fit.is_read[0], fit.can_be_cast[0], isinf(fit.cost[0])) == (False, False, True)


def test_the_tables_say_what_the_single_figures_say():
    chance = random.Random(5)
    gap = np.array([[chance.uniform(-3, 3) for _ in range(4)] for _ in range(50)])
    error = np.array([[chance.choice((0.0, 0.3, 0.9)) for _ in range(4)] for _ in range(50)])
    reads = np.array([[chance.random() < 0.7 for _ in range(4)] for _ in range(50)])
    share, lost = expected_shares(gap), greatest_lost(gap, error, reads)
    costs = reading_costs(share, lost, reads, 0.8)
    for at in range(50):
        asks = [ask_of(2.0, 2.0 + gap[at, n], error[at, n]) for n in range(4) if reads[at, n]]
        assert share[at, 0] == pytest.approx(expected_share(2.0, 2.0 + gap[at, 0]))
        assert lost[at] == pytest.approx(max((ask.lost for ask in asks), default=0.0))
        assert costs[at] == pytest.approx(reading_cost(asks, 0.8))
