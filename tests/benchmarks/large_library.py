"""What a director waits for in a library of 5,000 pieces with 3 ensembles and 200 players.

Run: ``python -m tests.benchmarks.large_library [--pieces 5000]``, or by name in ``plan_figures``. Processor
time, not wall time, so that a busy machine tells the same. Everything is made up at random, the same each
time: pieces of levels 0.5 to 6 in 240 kinds, three ensembles of 17 sections, a third of the library met, two
terms with a plan, a year of results.
"""

import argparse
import random
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

from flask.testing import FlaskClient
from sqlalchemy import insert

from planner.adapters.db import Library, open_library
from planner.adapters.db.outline import outline_of, pack
from planner.adapters.db.tables import (
    ExposureRow,
    PieceMeterRow,
    PieceRow,
    PieceTagRow,
    ProfileRow,
    ResultRow,
    SourceFileRow,
)
from planner.adapters.store import Home
from planner.adapters.web.app import create_app
from planner.adapters.web.serve import settle_memory
from planner.bootstrap import Wiring
from planner.config import load_settings
from planner.core.change import Author, Door
from planner.core.difficulty import DIMENSIONS, FOCUSES, Dimension
from planner.core.ensemble import Ensemble, Player, Section
from planner.core.finding import SavedList
from planner.core.profile import Contribution, MelodySpan, PartProfile, PieceProfile
from planner.core.term import Plan, Slot, Term
from planner.core.text import folded
from planner.errors import PlannerError
from planner.scheduling.answer import Conflict
from planner.scheduling.explanation.explain import find_conflict
from planner.scheduling.problem import PlanProblem, PlanWish
from planner.services.demo_band import SECTIONS
from planner.services.levels.index import index_levels
from planner.services.plan.freshness import known_by_day
from planner.services.term.days import Place, swap_slots
from planner.services.term.wishes import pin
from planner.services.term_page.show_choices import show_choices
from planner.study.difficulty.together import level_together
from planner.study.version import STUDY_VERSION
from tests.benchmarks.library import FIRST, KEYS, METERS, PEOPLE, SECOND, measure, p95
from tests.benchmarks.planning import make_term
from tests.benchmarks.rows import Row
from tests.fakes import make_profile

TODAY = date(2026, 9, 1)
KINDS = 240
PLAYERS = 200
ENSEMBLES = ("Concert Band", "Second Band", "Wind Group")
BY = Author(Door.COMMAND, datetime(2026, 9, 1, tzinfo=UTC))

PAGE_MS, FIND_MS, FRESH_MS, PIN_S, WHY_S = 300.0, 150.0, 100.0, 1.0, 3.0


def kind_of_piece(number: int, chance: random.Random) -> PieceProfile:
    """A study as those of a band's pieces are: 17 parts, each with what makes its level."""
    middle = chance.uniform(0.6, 5.6)
    strong = FOCUSES[number % len(FOCUSES)]
    parts = tuple(
        PartProfile(
            name=one.name,
            instrument=one.instrument,
            transposition_semitones=0,
            notes=chance.randint(60, 400),
            written_range=("C4", "G5"),
            sounding_range=("C4", "G5"),
            level=round(min(6.0, max(0.5, middle + chance.gauss(0.0, 0.25))), 2),
            contributions=tuple(
                Contribution(
                    Dimension(name),
                    round(min(6.0, max(0.5, middle + chance.gauss(0.5 if name == strong else -0.3, 0.4))), 2),
                    0.1,
                )
                for name in DIMENSIONS
            ),
            level_error=0.35,
        )
        for one in SECTIONS
    )
    tune = tuple(MelodySpan(4 * at, 0.0, SECTIONS[(number + at) % len(SECTIONS)].name) for at in range(4))
    return make_profile(
        f"Kind {number}",
        level=level_together([part.level for part in parts if part.level is not None]),
        parts=parts,
        contributions=parts[0].contributions,
        playing_seconds=round(chance.uniform(50.0, 240.0), 1),
        melody=tune,
        home_key=chance.choice(KEYS),
    )


@dataclass(frozen=True, slots=True)
class Town:
    """A filled library.

    Attributes:
        library, home: Where it is.
        bands: Ids of the ensembles.
        term_id: The term of the first band.
        pieces: How many there are.
    """

    library: Library
    home: Path
    bands: tuple[int, ...]
    term_id: int
    pieces: int


@contextmanager
def town(pieces: int = 5000) -> Iterator[Town]:
    """A library with its ensembles, terms and results, in a folder of its own."""
    with TemporaryDirectory() as folder, open_library(Home(Path(folder)).library) as library:
        bands, term_id = fill(library, pieces, random.Random(11))
        yield Town(library, Path(folder), bands, term_id, pieces)


def fill(library: Library, pieces: int, chance: random.Random) -> tuple[tuple[int, ...], int]:
    """Write everything, the many rows straight into the tables; ids of the ensembles and the first term."""
    kinds = [kind_of_piece(number, chance) for number in range(KINDS)]
    packed = [(pack(kind), pack(outline_of(kind))) for kind in kinds]
    rows: dict[type, list[dict[str, object]]] = {}
    for number in range(1, pieces + 1):
        at = chance.randrange(KINDS)
        for table, row in piece_rows(number, kinds[at], packed[at], chance):
            rows.setdefault(table, []).append(row)
    with library() as work:
        session = work._session  # type: ignore[attr-defined]
        for table, some in rows.items():
            session.execute(insert(table), some)
        bands = tuple(work.ensembles.add(each) for each in bands_of_town())
        met = [
            {"ensemble_id": chance.choice(bands), "section_id": None, "piece_id": piece, "how": "performed",
             "note": "", "on_day": TODAY - timedelta(days=chance.randrange(1, 2000))}
            for piece in chance.sample(range(1, pieces + 1), pieces // 3)
        ]  # fmt: skip
        session.execute(insert(ExposureRow), met)
        everyone = work.ensembles.list_ensembles()
        results = [
            {"ensemble_id": each.id, "section_id": section.id, "piece_id": 1 + (week * 7 + at) % pieces,
             "on_day": TODAY - timedelta(weeks=week + 1), "first_share": 0.8, "second_share": None,
             "tempo_bpm": None, "problems": ["rhythm"], "note": "", "counts": True}
            for at, each in enumerate(everyone) for week in range(40) for section in each.sections
        ]  # fmt: skip
        session.execute(insert(ResultRow), results)
        work.commit()
    with library() as work:
        index_levels(work)
        terms = [work.terms.add(_term(band)) for band in bands[:2]]
        for at, term_id in enumerate(terms):
            dates = work.terms.get(term_id).reading_dates()
            slots = tuple(
                Slot(on, place, 20 + 100 * at + 2 * week + place, "rhythm", minutes=8.0)
                for week, on in enumerate(dates)
                for place in range(2)
            )
            work.terms.save_plan(Plan(term_id, slots))
        work.commit()
    return bands, terms[0]


def _term(band: int) -> Term:
    return Term(0, band, "Autumn", TODAY, TODAY + timedelta(weeks=20, days=-1), (1, 3), minutes=30.0, slots=2)


def bands_of_town() -> Iterator[Ensemble]:
    """Three bands; 200 players, one in ten of whom sits in two of them."""
    number = 0
    for at, name in enumerate(ENSEMBLES):
        sections = []
        for one in SECTIONS:
            players = []
            for _ in range(4):
                number += 1
                known = number if number % 10 or at == 0 else number - 68
                joined = TODAY - timedelta(days=300 * (1 + number % 5))
                players.append(Player(0, f"Player {known}", joined))
            section = Section(0, one.name, one.instrument, one.chair, 4, one.level + 0.4 * at, 0.3)
            sections.append(replace(section, players=tuple(players)))
        yield Ensemble(0, name, "band", tuple(sections))


def piece_rows(
    number: int, kind: PieceProfile, packed: tuple[bytes, bytes], chance: random.Random
) -> list[tuple[type, dict[str, object]]]:
    """The rows of one piece."""
    title = f"{chance.choice(FIRST)} {chance.choice(SECOND)} No. {number}"
    composer = chance.choice(PEOPLE)
    return [
        (SourceFileRow, {"id": number, "sha256": f"{number:064x}", "name": f"{number}.mxl", "size_bytes": 9,
                         "suffix": ".mxl"}),
        (PieceRow, {"id": number, "source_id": number, "title": title, "composer": composer, "arranger": "",
                    "rights": "", "level": kind.level, "studied_level": kind.level, "published_grade": None,
                    "home_key": kind.home_key, "part_count": len(kind.parts),
                    "playing_seconds": kind.playing_seconds, "added_on": TODAY, "corrected": [],
                    "search_text": folded(f"{title} {composer}"), "sort_title": folded(title)}),
        (PieceMeterRow, {"piece_id": number, "position": 0, "meter": chance.choice(METERS)}),
        (PieceTagRow, {"piece_id": number, "position": 0, "tag": "Concert", "folded": "concert"}),
        (ProfileRow, {"piece_id": number, "version": kind.version, "study_version": STUDY_VERSION,
                      "whole": packed[0], "outline": packed[1]}),
    ]  # fmt: skip


def processor_s(ask: Callable[[], object]) -> float:
    """Seconds of processor time of one request."""
    began = time.process_time()
    ask()
    return time.process_time() - began


PAGES = {
    "first page": "",
    "by worst": "?order=worst&down=1",
    "a later page, by level": "?order=level&offset=400",
    "left out": "?show=left-out",
    "all, by title": "?show=all&order=title",
    "a skill": "?focus=rhythm",
    "minutes": "?minutes=9",
    "skill, minutes and key": "?focus=key&minutes=12&key=F+major",
    "a word": "?text=march",
    "new to one section": "?fresh=1",
}


def page_rows(found: Town, times: int) -> Iterator[Row]:
    """ "What we can read", page by page."""
    pages = create_app(Wiring(load_settings(found.home), today=lambda: TODAY)).test_client()
    for name, address in PAGES.items():
        _, busy = measure(lambda address=address: _got(pages, f"/match/{address}"), times)
        yield Row(f"What we can read, {name}: p95 of processor time", p95(busy), PAGE_MS, "ms", True)


def _got(client: FlaskClient, address: str) -> None:
    answer = client.get(address)
    assert answer.status_code == 200, (address, answer.status)


ALL_AT_ONCE = "eight filters at once"
FINDS = {
    "first page": "",
    "by the day of the last reading, falling": "?order=read&down=1",
    "by composer, a later page": "?order=composer&offset=400",
    "two words": "?text=march+weir",
    "a word with a slip": "?text=overtrue",
    "two words with slips": "?text=rivre+marhc",
    "a word that is nowhere": "?text=qwertyuiop",
    "level": "?from=2&to=3",
    "just readable for the band": "?reads=e1",
    "just readable for a section": "?reads=s3",
    "fresh for the band": "?fresh=e1",
    "fresh for a section": "?fresh=s3",
    "a skill": "?focus=rhythm",
    "key": "?key=F+major",
    "meter": "?meter=3/4",
    "minutes": "?shortest=1&longest=3",
    "rights": "?rights=none",
    "tag": "?tag=Concert",
    "with a score": "?copy=score",
    "read": "?standing=read",
    "planned": "?standing=planned",
    "shelf": "?shelf=none",
    "a list": "?list=1",
    ALL_AT_ONCE: "?text=marhc&reads=e1&fresh=e1&focus=rhythm&meter=3/4&from=1&shelf=none&order=read",
}
"""Searches and filters of the library page; the demand is on each by itself."""


def find_rows(found: Town, times: int) -> Iterator[Row]:
    """The library page by each search and each filter: the 95th percentile of processor time."""
    with found.library() as work:
        work.lists.add(SavedList(0, "Fall", tuple(range(1, found.pieces // 5))))
        work.commit()
    pages = create_app(Wiring(load_settings(found.home), today=lambda: TODAY)).test_client()
    for name, address in FINDS.items():
        _, busy = measure(lambda address=address: _got(pages, f"/library/{address}"), times)
        limit = FIND_MS if name != ALL_AT_ONCE else None
        yield Row(f"library page, {name}: p95 of processor time", p95(busy), limit, "ms", True)


def fresh_rows(found: Town, times: int) -> Iterator[Row]:
    """Who can know which piece, for one ensemble on one day."""

    def ask() -> None:
        with found.library() as work:
            band = work.ensembles.get(found.bands[0])
            known_by_day(work, band, [TODAY], today=TODAY)

    _, busy = measure(ask, times)
    yield Row("freshness of all pieces for one ensemble: p95", p95(busy), FRESH_MS, "ms", True)


def pin_rows(found: Town) -> Iterator[Row]:
    """A pin that holds, one without a day, and one that is refused."""
    with found.library() as work:
        dates = work.terms.get(found.term_id).reading_dates()
    for name, piece, on in (
        ("to a day", 900, dates[20]),
        ("without a day", 901, None),
        ("of a piece far too hard", hardest(found), dates[20]),
    ):

        def ask(piece: int = piece, on: date | None = on) -> None:
            with found.library() as work:
                try:
                    pin(work, found.term_id, piece, on, TODAY, by=BY, anyway=False)
                except PlannerError as error:
                    print(f"  {error}", file=sys.stderr)

        yield Row(f"a pin {name}: processor time", processor_s(ask), PIN_S, "s", True)


def hardest(found: Town) -> int:
    """The piece that is hardest for the first band and that it has not met."""
    with found.library() as work:
        band = work.ensembles.get(found.bands[0])
        known = known_by_day(work, band, [TODAY], today=TODAY)[TODAY]
        levels = work.pieces.levels_for(band.id, work.pieces.titles())
    return max((level or 0.0, piece) for piece, level in levels.items() if piece not in known)[1]


def choices_rows(found: Town) -> Iterator[Row]:
    """The best alternatives of one place."""

    def ask() -> None:
        with found.library() as work:
            on = work.terms.get(found.term_id).reading_dates()[20]
            show_choices(work, found.term_id, on, 0, None, TODAY)

    yield Row("other pieces for one place: processor time", processor_s(ask), None, "s", True)


def swap_rows(found: Town) -> Iterator[Row]:
    """A swap in place of two pieces, held against every rule and stored."""

    def ask() -> None:
        with found.library() as work:
            dates = work.terms.get(found.term_id).reading_dates()
            one, other = (Place(dates[at], 0) for at in (20, 24))
            try:
                swap_slots(work, found.term_id, one, other, TODAY, by=BY)
            except PlannerError as error:
                print(f"  {error}", file=sys.stderr)

    yield Row("a swap of two days: processor time", processor_s(ask), None, "s", True)


def why_rows(pieces: int) -> Iterator[Row]:
    """Why a term of 40 days of two has no plan: every piece too hard, every one known, one pin too many."""
    term = make_term(pieces, 40, 2, 16, 1)
    hard = tuple(
        replace(piece, parts=tuple(replace(part, level=min(6.0, part.level + 4)) for part in piece.parts))
        for piece in term.pieces
    )
    every_day = frozenset(range(len(term.days)))
    on = term.days[10].on
    for name, problem in (
        ("all too hard", replace(term, pieces=hard)),
        ("all known", replace(term, pieces=tuple(replace(p, stale_on=every_day) for p in term.pieces))),
        ("three pins on a day of two", replace(term, pins=tuple(PlanWish(n, on) for n in (1, 2, 3)))),
    ):
        found: list[object] = []

        def ask(problem: PlanProblem = problem, found: list[object] = found) -> None:
            found.append(find_conflict(problem, 600.0))

        seconds = processor_s(ask)
        (conflict,) = found
        assert isinstance(conflict, Conflict), name
        assert conflict.is_minimal, name
        yield Row(f"why there is no plan, {name}: processor time", seconds, WHY_S, "s", True)


def rows(pieces: int = 5000, times: int = 20) -> Iterator[Row]:
    """All of it."""
    began = time.process_time()
    with town(pieces) as found:
        print(f"  filled in {time.process_time() - began:.0f} s", file=sys.stderr)
        settle_memory()
        yield from find_rows(found, times)
        yield from page_rows(found, times)
        yield from fresh_rows(found, times)
        yield from pin_rows(found)
        yield from choices_rows(found)
        yield from swap_rows(found)
    yield from why_rows(pieces)


def main() -> int:
    """Print the table."""
    from tests.benchmarks.rows import line

    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--pieces", type=int, default=5000)
    options.add_argument("--times", type=int, default=20)
    given = options.parse_args()
    missed = 0
    for row in rows(given.pieces, given.times):
        missed += not row.holds
        print(line(row), flush=True)
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
