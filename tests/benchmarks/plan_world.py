"""A made-up library with two bands on a real database, whose sections have levels that nobody is shown.

The director's first word about a section is off by up to ``WORD_OFF``, the study's about a part by
``PART_ERROR``; on a day a section reads better or worse by ``SWAY``, and its share of bars is counted.
"""

import random
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

from planner.adapters.db import open_library
from planner.adapters.store import Home
from planner.core.change import Author, Door
from planner.core.difficulty import Dimension
from planner.core.ensemble import Player, Section
from planner.core.profile import Contribution, MelodySpan, MeterSpan, PartProfile, PieceProfile
from planner.core.term import Slot, Term
from planner.levels.curve import SLOPE, TARGET_LOGIT, clip_level, expected_share, logistic
from planner.services.day.log_results import log_results
from planner.services.day.result_entry import ResultEntry
from planner.services.levels.section_levels import part_level
from planner.services.people.roster import add_ensemble, add_section
from planner.services.ports.work import OpenWork
from planner.services.term.terms import keep_term
from planner.services.toolbox import changing
from tests.fakes import make_profile, make_source

FIRST = date(2026, 9, 1)
BY = Author(Door.COMMAND, datetime(2026, 9, 1, 8, tzinfo=UTC))

WORD_OFF = 0.6
PART_ERROR = 0.3
SWAY = 0.2
GROWTH = (0.0, 0.04)
"""Levels a section really gains a week: from, to."""

BARS = (20, 44)
"""Bars of a piece."""

INSTRUMENTS = (
    ("Flute", "flute", 1), ("Clarinet 1", "clarinet-bflat", 1), ("Clarinet 2", "clarinet-bflat", 2),
    ("Alto Saxophone", "saxophone-alto", 1), ("Trumpet 1", "trumpet-bflat", 1),
    ("Trumpet 2", "trumpet-bflat", 2), ("Horn", "horn-f", 1), ("Trombone", "trombone", 1),
    ("Euphonium", "euphonium", 1), ("Tuba", "tuba", 1),
)  # fmt: skip
"""Sections of each band, and parts of each piece: name, instrument, chair."""

SKILLS = (
    Dimension.RHYTHM, Dimension.METER, Dimension.KEY, Dimension.RANGE, Dimension.MOTION,
    Dimension.INDEPENDENCE, Dimension.ROADMAP, Dimension.EXPRESSION,
)  # fmt: skip


@dataclass
class PlanWorld:
    """A library with its bands.

    Attributes:
        open_work: Opens the library.
        terms: Term of each band, by the band's id.
        levels: True level of each section now, by its id.
        growth: Levels each gains a week.
        parts: True level of each part, by piece and part's name.
        chance: What is drawn from.
    """

    open_work: OpenWork
    chance: random.Random
    terms: dict[int, Term] = field(default_factory=dict)
    levels: dict[int, float] = field(default_factory=dict)
    growth: dict[int, float] = field(default_factory=dict)
    parts: dict[tuple[int, str], float] = field(default_factory=dict)

    def grow(self, weeks: float = 1.0) -> None:
        """Let time pass for every section."""
        for section, gain in self.growth.items():
            self.levels[section] += gain * weeks

    def true_shares(self, band_id: int, piece_id: int) -> Mapping[int, float]:
        """Share of bars each section would really get right on average, by section."""
        with self.open_work() as work:
            sections = work.ensembles.get(band_id).sections
        by_name = {section.name: section.id for section in sections}
        return {
            by_name[part]: expected_share(self.levels[by_name[part]], level)
            for (piece, part), level in self.parts.items()
            if piece == piece_id
        }

    def read(self, band_id: int, slots: Sequence[Slot]) -> None:
        """Read what is planned and log how each section did."""
        with changing(self.open_work) as work:
            sections = work.ensembles.get(band_id).sections
            for slot in slots:
                bars = self.chance.randint(*BARS)
                entries = []
                for section in sections:
                    part = self.parts[slot.piece_id, section.name]
                    lead = self.levels[section.id] + self.chance.gauss(0, SWAY) - part
                    likely = logistic(TARGET_LOGIT + SLOPE * lead)
                    right = sum(self.chance.random() < likely for _ in range(bars))
                    share = round(20 * right / bars) / 20
                    entries.append(ResultEntry(section.id, slot.piece_id, share))
                log_results(work, band_id, slot.on, entries, by=BY, today=slot.on)

    def read_as_expected(self, band_id: int, slots: Sequence[Slot]) -> None:
        """Log for each section just the share that its believed level lets expect."""
        with changing(self.open_work) as work:
            band = work.ensembles.get(band_id)
            for slot in slots:
                profile = work.pieces.outlines([slot.piece_id])[slot.piece_id]
                entries = []
                for section in band.sections:
                    asked = part_level(profile, section, band)
                    if asked is not None:
                        share = round(expected_share(section.level, asked[0]), 2)
                        entries.append(ResultEntry(section.id, slot.piece_id, share))
                log_results(work, band_id, slot.on, entries, by=BY, today=slot.on)


@contextmanager
def plan_world(
    *,
    pieces: int,
    weeks: int,
    bands: Mapping[str, float],
    weekdays: Sequence[int] = (1, 3),
    seed: int = 7,
) -> Iterator[PlanWorld]:
    """A world in a temporary home; the same seed gives the same one.

    Args:
        pieces: How many the library holds.
        weeks: Length of each band's term.
        bands: Names and mean levels of the bands.
        weekdays: Reading days of the first band; each later band reads a day later in the week.
        seed: Of all that is drawn.
    """
    chance = random.Random(seed)
    with TemporaryDirectory() as folder, open_library(Home(Path(folder)).library) as library:
        world = PlanWorld(library, chance)
        with changing(library) as work:
            for number in range(1, pieces + 1):
                profile = made_up_profile(number, chance)
                piece = work.pieces.add(make_source(f"piece {number}"), profile, FIRST)
                for part in profile.parts:
                    true = clip_level((part.level or 0.0) + chance.gauss(0, PART_ERROR))
                    world.parts[piece, part.name] = true
            for at, (name, level) in enumerate(bands.items()):
                band = add_ensemble(work, name, "band", by=BY)
                for section in _sections(level, chance):
                    kept = add_section(work, band.id, section, by=BY)
                    true = kept.level + chance.uniform(-WORD_OFF, WORD_OFF)
                    world.levels[kept.id] = true
                    world.growth[kept.id] = chance.uniform(*GROWTH)
                days = tuple((day + at) % 7 for day in weekdays)
                last = FIRST + timedelta(weeks=weeks, days=-1)
                term = Term(0, band.id, "Year", FIRST, last, tuple(sorted(days)), minutes=12.0)
                world.terms[band.id] = keep_term(work, term, by=BY, today=term.first)
        yield world


def made_up_profile(number: int, chance: random.Random) -> PieceProfile:
    """A piece for the bands: parts about its level, skills that make it, a tune that is handed on."""
    level = chance.uniform(0.9, 4.6)
    weights = {skill: 0.2 * chance.random() ** 2 for skill in SKILLS}
    parts = []
    for name, instrument, _ in INSTRUMENTS:
        own = round(clip_level(level + chance.gauss(0, 0.25)), 2)
        why = tuple(Contribution(skill, own, 0.02 + weight) for skill, weight in weights.items())
        parts.append(PartProfile(name, instrument, 0, 160, None, None, own, why, level_error=PART_ERROR))
    bars = chance.randint(*BARS)
    leaders = chance.sample([name for name, _, _ in INSTRUMENTS], 3)
    plain = make_profile(f"Piece {number}")
    return replace(
        plain,
        measures=bars,
        meters=(MeterSpan(0, chance.choice(("4/4", "4/4", "3/4", "2/4", "6/8")), (1, 1)),),
        home_key=f"{chance.choice(('F', 'Bb', 'Eb', 'Ab', 'C'))} major",
        playing_seconds=float(chance.randint(45, 110)),
        level=round(sum(part.level or 0.0 for part in parts) / len(parts), 2),
        parts=tuple(parts),
        composer=f"Composer {chance.randrange(40)}",
        melody=tuple(MelodySpan(at * bars // len(leaders), 0.0, name) for at, name in enumerate(leaders)),
    )


def _sections(level: float, chance: random.Random) -> Iterator[Section]:
    for name, instrument, chair in INSTRUMENTS:
        players = tuple(Player(0, f"{name} player {at}") for at in range(chance.randint(1, 4)))
        own = round(level + chance.gauss(0, 0.25), 1)
        yield Section(0, name, instrument, chair, len(players), own, players=players)
