"""Ten terms to plan: the demo band, a choir and an orchestra of real files, and made-up ones.

The levels of the sections are set so that each library is partly too hard and partly too easy for them. What
a piece trains, whom it features and what it costs on any day follow simple rules of this module, so that the
terms do not change with what the services make of a library.
"""

import random
import warnings
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cache
from pathlib import Path

from planner.adapters.scores.reader import read_score
from planner.core.difficulty import FOCUSES, Dimension
from planner.core.ensemble import Ensemble, Section
from planner.core.piece import Piece
from planner.core.profile import PieceProfile
from planner.core.term import Station
from planner.errors import PlannerError
from planner.levels.forecast import DRIFT_A_WEEK, GROWTH_A_WEEK
from planner.matching.outlook import PieceOutlook, outlook_of
from planner.scheduling.problem import (
    Candidate,
    Limits,
    PartAsked,
    PlanDay,
    PlanProblem,
    PlanSection,
    PlanWish,
    turn_bounds,
)
from planner.services.demo_band import SECTIONS as DEMO_SECTIONS
from planner.services.plan.reading_time import fitting_time
from planner.study.study import study
from tests.fakes import make_source
from tests.reference import reference_folder

SAMPLES = Path(__file__).resolve().parents[2] / "sample_library"
FIRST = date(2026, 9, 1)

SECTION_ERROR = 0.25
"""Standard error of a section's level today: about what some weeks of results leave."""

PART_ERROR = 0.3
"""Of a made-up part's level; real parts bring their own."""

STRONG, SOME = 0.25, 1.0
"""Levels below the piece within which its hardest dimension of a skill trains that strongly, or somewhat."""

TUNE_STRONG, TUNE_SOME = 0.25, 0.08
"""Share of the bars in which a section has the tune for it to be featured, or featured for a while."""

UNCOVERED_COST, IDLE_COST, BEYOND_COST = 60, 40, 5
"""For all parts uncovered, all sections idle, and each reading out of comfort."""

CHOIR_SECTIONS = (
    ("Soprano", "soprano", 8, 2.2),
    ("Alto", "alto", 7, 1.9),
    ("Tenor", "tenor", 4, 1.9),
    ("Bass", "bass-voice", 5, 1.7),
)
ORCHESTRA_SECTIONS = (
    ("Flute", "flute", 2, 3.6),
    ("Oboe", "oboe", 2, 3.3),
    ("Clarinet", "clarinet-bflat", 2, 3.2),
    ("Bassoon", "bassoon", 2, 3.2),
    ("Horn", "horn-f", 3, 3.0),
    ("Trumpet", "trumpet-bflat", 2, 2.6),
    ("Timpani", "timpani", 1, 2.2),
    ("Violin 1", "violin", 8, 4.4),
    ("Violin 2", "violin", 7, 4.0),
    ("Viola", "viola", 5, 3.8),
    ("Cello", "cello", 5, 3.8),
    ("Double Bass", "double-bass", 3, 3.3),
)
"""Name, instrument, players and level."""


@dataclass(frozen=True, slots=True)
class NamedTerm:
    """A term to plan, with what to call it."""

    name: str
    problem: PlanProblem


def demo_term() -> NamedTerm:
    """The sample library for the demo band: two days a week, an easier day before the concert."""
    band = tuple(replace(each.as_section(), id=at) for at, each in enumerate(DEMO_SECTIONS, 1))
    return NamedTerm(
        "demo band", _real_term(sorted(SAMPLES.glob("*.mxl")), band, days=22, a_day=1, minutes=12.0)
    )


def choir_term(hymns: int = 100) -> NamedTerm | None:
    """Hymns, psalms and part songs for a choir of four voices; None without the reference data."""
    data = reference_folder()
    if data is None:
        return None
    found = [
        *sorted((data / "difficulty" / "hymns").glob("*.mxl"))[:hymns],
        *sorted((data / "ensembles" / "choir").glob("*.mxl")),
        *sorted((data / "ensembles" / "chorale").glob("*.mxl")),
        *sorted((data / "levels_panel").glob("Goudimel*.mxl")),
    ]
    return NamedTerm(
        "choir of real files", _real_term(found, _sections(CHOIR_SECTIONS), days=20, a_day=2, minutes=18.0)
    )


def orchestra_term() -> NamedTerm | None:
    """Beginnings of symphonies, whole movements and quartets for an orchestra; None without the data."""
    data = reference_folder()
    if data is None:
        return None
    found = [
        *sorted((data / "levels_panel").glob("B*.mxl")),
        *sorted((data / "levels_panel").glob("Haydn*.mxl")),
        *sorted((data / "levels_panel").glob("sq*.mxl")),
        *sorted((data / "ensembles" / "orchestra").glob("*.mxl")),
        *sorted((data / "melody_ccbysa").glob("*.mxl")),
    ]
    return NamedTerm(
        "orchestra of real files",
        _real_term(found, _sections(ORCHESTRA_SECTIONS), days=14, a_day=1, minutes=15.0),
    )


@dataclass(frozen=True, slots=True)
class Shape:
    """How a made-up term looks.

    Attributes:
        pieces, days, a_day, sections: How many.
        levels: Lowest and highest level of the pieces.
        spread: Standard deviation of the parts of a piece, in levels.
        kinds: Library of few traits or of many: how many composers.
        easier_every: Every so many days one is easier; 0 for none.
        absent_every: Every so many days a section is away; 0 for none.
        stations_every: Every so many days two groups read apart; 0 for none.
        wishes: Pins and bans, so many of each.
        stretch: Levels above the sections' own that the last day aims at.
    """

    pieces: int
    days: int
    a_day: int
    sections: int
    levels: tuple[float, float] = (0.8, 4.0)
    spread: float = 0.3
    kinds: int = 20
    easier_every: int = 0
    absent_every: int = 0
    stations_every: int = 0
    wishes: int = 0
    stretch: float = 0.0


SHAPES: dict[str, Shape] = {
    "made up, 36 days, 8 sections": Shape(150, 36, 1, 8),
    "made up, 18 days of 2, 12 sections": Shape(180, 18, 2, 12, easier_every=6),
    "made up, 12 days of 3, 6 sections": Shape(160, 12, 3, 6),
    "made up, few pieces": Shape(44, 30, 1, 10, kinds=5),
    "made up, uneven parts": Shape(200, 24, 1, 16, spread=0.5, absent_every=4),
    "made up, stations": Shape(140, 16, 2, 8, stations_every=4),
    "made up, wishes and a rising line": Shape(120, 30, 1, 5, wishes=4, stretch=0.4),
}


def make_term(shape: Shape, seed: int) -> PlanProblem:
    """A made-up term: the same shape and seed give the same one."""
    chance = random.Random(f"{seed} {shape}")
    levels = tuple(round(2.3 + chance.gauss(0, 0.35), 2) for _ in range(shape.sections))
    days = tuple(_made_day(shape, at, chance) for at in range(shape.days))
    sections = tuple(
        plan_section(at, f"Section {at}", chance.randint(1, 8), level, days)
        for at, level in enumerate(levels, 1)
    )
    pieces = tuple(_made_piece(at, shape, levels, chance) for at in range(1, shape.pieces + 1))
    problem = _problem(days, sections, pieces)
    if not shape.wishes:
        return problem
    ids = [piece.piece_id for piece in pieces if 1.8 < piece.level < 2.8]
    wished = chance.sample(ids, min(len(ids), 2 * shape.wishes))
    dates = chance.sample([day.on for day in days], shape.wishes)
    pins = tuple(PlanWish(piece, on) for piece, on in zip(wished, dates, strict=False))
    return replace(problem, pins=pins, bans=tuple(PlanWish(piece) for piece in wished[shape.wishes :]))


def plan_section(
    section_id: int, name: str, size: int, level: float, days: Sequence[PlanDay], error: float = SECTION_ERROR
) -> PlanSection:
    """A section that grows and is known the less the later the day."""
    weeks = [(day.on - days[0].on).days / 7 for day in days]
    return PlanSection(
        section_id,
        name,
        size,
        tuple(round(level + GROWTH_A_WEEK * each, 3) for each in weeks),
        tuple(round((error**2 + DRIFT_A_WEEK**2 * each) ** 0.5, 3) for each in weeks),
    )


@cache
def made_up_terms() -> tuple[NamedTerm, ...]:
    """The terms of ``SHAPES``."""
    return tuple(NamedTerm(name, make_term(shape, 7)) for name, shape in SHAPES.items())


@cache
def real_terms() -> tuple[NamedTerm, ...]:
    """The demo band's term and, where there are reference data, those of choir and orchestra."""
    return tuple(term for term in (demo_term(), choir_term(), orchestra_term()) if term is not None)


def all_terms() -> tuple[NamedTerm, ...]:
    """All ten; seven and the demo band where there are no reference data."""
    return (*real_terms(), *made_up_terms())


def _made_day(shape: Shape, at: int, chance: random.Random) -> PlanDay:
    is_easier = shape.easier_every and at % shape.easier_every == shape.easier_every - 1
    stretch = -0.4 if is_easier else shape.stretch * at / max(1, shape.days - 1)
    absent, stations = frozenset[int](), ()
    if shape.absent_every and at % shape.absent_every == 1:
        absent = frozenset({chance.randint(1, shape.sections)})
    if shape.stations_every and at % shape.stations_every == shape.stations_every - 1:
        half = shape.sections // 2
        stations = (
            Station("Winds", tuple(range(1, half + 1))),
            Station("Brass", tuple(range(half + 1, shape.sections + 1))),
        )
    return PlanDay(
        on=FIRST + timedelta(days=3 * at + at // 2),
        minutes=9.0 * shape.a_day,
        slots=shape.a_day,
        stretch=round(stretch, 2),
        stations=stations,
        absent=absent,
    )


def _made_piece(number: int, shape: Shape, levels: Sequence[float], chance: random.Random) -> Candidate:
    level = chance.uniform(*shape.levels)
    base = sum(levels) / len(levels)
    parts = tuple(
        PartAsked(
            at,
            round(min(6.0, max(0.5, level + 0.6 * (own - base) + chance.gauss(0, shape.spread))), 2),
            PART_ERROR,
        )
        for at, own in enumerate(levels, 1)
        if chance.random() < 0.93
    )
    trains = tuple((focus, chance.choice((1, 2))) for focus in FOCUSES if chance.random() < 0.35)
    with_tune = chance.sample(range(1, shape.sections + 1), min(shape.sections, chance.randint(1, 4)))
    likeness = {
        f"composer {chance.randrange(shape.kinds)}",
        f"key {chance.choice('CFBEAGD')}",
        f"meter {chance.choice(('4/4', '4/4', '3/4', '2/4', '6/8'))}",
    }
    return Candidate(
        piece_id=number,
        title=f"Piece {number}",
        level=round(level, 2),
        minutes=round(chance.uniform(4.0, 9.0), 1),
        trains=trains or ((chance.choice(FOCUSES), 1),),
        features=tuple((section, 2 if at == 0 else 1) for at, section in enumerate(sorted(with_tune))),
        parts=parts,
        cost=chance.choice((0, 0, 0, 5, 15)),
        likeness=frozenset(likeness),
    )


def _problem(
    days: tuple[PlanDay, ...], sections: tuple[PlanSection, ...], pieces: tuple[Candidate, ...]
) -> PlanProblem:
    """The problem, with even shares of skills and turns."""
    slots = sum(day.slots * max(1, len(day.stations)) for day in days)
    able = {focus: sum(focus in dict(piece.trains) for piece in pieces) for focus in FOCUSES}
    taught = [focus for focus in FOCUSES if able[focus] >= 3]
    focuses = tuple(
        (focus, 3 * (at % 3), min(able[focus] // 2, slots // len(taught))) for at, focus in enumerate(taught)
    )
    leads = {s.id: sum(s.id in dict(piece.features) for piece in pieces) for s in sections}
    turning = tuple(s.id for s in sections if leads[s.id])
    return PlanProblem(
        days=days,
        pieces=pieces,
        focuses=focuses,
        sections=sections,
        featured=turn_bounds(turning, {}, slots, leads),
        limits=Limits(may_leave_open=True),
    )


def _sections(rows: Sequence[tuple[str, str, int, float]]) -> tuple[Section, ...]:
    return tuple(
        Section(id=at, name=name, instrument=instrument, size=size, level=level)
        for at, (name, instrument, size, level) in enumerate(rows, 1)
    )


def _real_term(
    paths: Sequence[Path], sections: tuple[Section, ...], *, days: int, a_day: int, minutes: float
) -> PlanProblem:
    """A term of real files: two days a week, the last day easier."""
    ensemble = Ensemble(1, "Ensemble", "", sections)
    plan_days = tuple(
        PlanDay(
            on=FIRST + timedelta(days=7 * (at // 2) + 2 * (at % 2)),
            minutes=minutes,
            slots=a_day,
            stretch=-0.4 if at == days - 1 else 0.0,
        )
        for at in range(days)
    )
    pieces = []
    for profile in _profiles(paths):
        outlook = outlook_of(_piece(len(pieces) + 1, profile), profile, ensemble)
        if outlook.can_be_cast and outlook.level is not None:
            pieces.append(real_candidate(outlook, minutes / a_day))
    plan_sections = tuple(plan_section(s.id, s.name, s.size, s.level, plan_days) for s in sections)
    return _problem(plan_days, plan_sections, tuple(pieces))


def _profiles(paths: Sequence[Path]) -> Iterator[PieceProfile]:
    for path in paths:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            try:
                yield study(read_score(path))
            except PlannerError:
                continue


def _piece(piece_id: int, profile: PieceProfile) -> Piece:
    return Piece(
        id=piece_id,
        title=profile.title,
        composer=profile.composer,
        arranger="",
        rights="",
        level=profile.level,
        studied_level=profile.level,
        published_grade=None,
        home_key=profile.home_key,
        meters=tuple(span.time for span in profile.meters),
        part_count=len(profile.parts),
        playing_seconds=profile.playing_seconds,
        source=make_source(str(piece_id)),
        added_on=FIRST,
    )


def real_candidate(outlook: PieceOutlook, minutes: float) -> Candidate:
    """A piece as a candidate: the hardest part of each section, what stands out in it, who has the tune."""
    profile, level = outlook.profile, outlook.level or 0.0
    time = fitting_time(profile, minutes, level)
    lower = 0.0
    if time.excerpt is not None and time.excerpt.level is not None and profile.level is not None:
        lower = time.excerpt.level - profile.level
    parts: dict[int, PartAsked] = {}
    for fit in outlook.fits:
        if fit.level is not None and fit.level + lower > getattr(parts.get(fit.section.id), "level", 0.0):
            error = profile.part(fit.cast.part).level_error or PART_ERROR
            asked = round(max(0.5, fit.level + lower), 2)
            parts[fit.section.id] = PartAsked(fit.section.id, asked, round(error, 3))
    uncovered = len(outlook.uncovered) / max(1, len(profile.parts))
    idle = len(outlook.idle) / max(1, len(outlook.sections))
    cost = UNCOVERED_COST * uncovered + IDLE_COST * idle + BEYOND_COST * len(outlook.beyond_comfort)
    return Candidate(
        piece_id=outlook.piece.id,
        title=profile.title,
        level=round(level + lower, 2),
        minutes=time.minutes,
        trains=_trains(profile),
        features=_features(outlook),
        parts=tuple(parts[section] for section in sorted(parts)),
        cost=round(cost),
        likeness=frozenset(
            trait
            for trait in (profile.composer, f"key {profile.home_key}", f"meter {profile.meters[0].time}")
            if trait
        ),
    )


def _trains(profile: PieceProfile) -> tuple[tuple[str, int], ...]:
    highest: dict[str, float] = {}
    for each in profile.contributions or [c for part in profile.parts for c in part.contributions]:
        skill = Dimension(each.name).skill
        highest[skill] = max(each.level, highest.get(skill, 0.0))
    base = profile.level or 0.0
    return tuple(
        (focus, 2 if highest[focus] >= base - STRONG else 1)
        for focus in FOCUSES
        if focus in highest and highest[focus] >= base - SOME
    ) or ((max(highest, key=lambda name: highest[name]), 1),)


def _features(outlook: PieceOutlook) -> tuple[tuple[int, int], ...]:
    spans, profile = outlook.profile.melody, outlook.profile
    bars: dict[str, float] = {}
    ends = [*spans[1:], None]
    for span, after in zip(spans, ends, strict=True):
        last = profile.measures if after is None else after.measure
        bars[span.part] = bars.get(span.part, 0.0) + max(0.5, last - span.measure)
    found: dict[int, int] = {}
    for fit in outlook.fits:
        share = bars.get(fit.cast.part, 0.0) / max(1, profile.measures)
        if share >= TUNE_SOME:
            tier = 2 if share >= TUNE_STRONG else 1
            found[fit.section.id] = max(tier, found.get(fit.section.id, 0))
    return tuple(sorted(found.items()))
