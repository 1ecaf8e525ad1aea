"""A big library written straight into the tables, and what its levels and outlines take.

Run: ``python -m tests.benchmarks.library [--pieces 5000]``; processor time. The pages of such a library are
measured by ``large_library``.
"""

import argparse
import random
import statistics
import time
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from sqlalchemy import insert

from planner.adapters.db import Library, open_library
from planner.adapters.db.outline import outline_of, pack
from planner.adapters.db.piece_rows import line_values
from planner.adapters.db.tables import (
    EnsembleLevelRow,
    ExposureRow,
    PieceLinesRow,
    PieceMeterRow,
    PieceRow,
    PieceTagRow,
    ProfileRow,
    SourceFileRow,
)
from planner.adapters.store import Home
from planner.core.difficulty import DIMENSIONS
from planner.core.ensemble import Ensemble, Player, Section
from planner.core.profile import Contribution, PartProfile
from planner.core.text import folded
from planner.services.levels.index import _lines_of, index_ensemble
from tests.fakes import make_profile

TODAY = date(2026, 9, 3)
FIRST = ("River", "Harbour", "Lantern", "Meadow", "Winter", "Élan", "Größe", "Dvořák's", "Old", "Silver")
SECOND = ("March", "Air", "Dance", "Chorale", "Rondo", "Waltz", "Overture", "Hymn", "Lied", "Fanfare")
PEOPLE = (
    "Ada Weir",
    "Søren Holm",
    "José Marín",
    "Łucja Wit",
    "Tom Ash",
    "Ewa Król",
    "Zoë Hart",
    "Traditional",
)
KEYS = tuple(f"{tonic} {mode}" for tonic in ("C", "F", "Bb", "Eb", "G", "D") for mode in ("major", "minor"))
METERS = ("4/4", "3/4", "2/4", "6/8", "2/2", "5/4", "7/8")


def part_profile(number: int, level: float) -> PartProfile:
    """One of many parts, with contributions as a study gives them."""
    why = tuple(Contribution(name, level, 0.1) for name in DIMENSIONS)
    return PartProfile(f"Part {number}", "flute", 0, 200, ("C4", "C6"), ("C4", "C6"), level, why)


def fill(library: Library, pieces: int, chance: random.Random) -> int:
    """Write pieces, an ensemble and what it has met, straight into the tables; the ensemble's id."""
    profiles = [
        make_profile(parts=tuple(part_profile(n, 1 + variant / 4) for n in range(14)))
        for variant in range(16)
    ]
    packed = [(pack(p), pack(outline_of(p)), line_values(_lines_of(p))) for p in profiles]
    rows: dict[type, list[dict[str, object]]] = {
        kind: [] for kind in (SourceFileRow, PieceRow, PieceMeterRow, PieceTagRow, ProfileRow, PieceLinesRow)
    }
    for number in range(1, pieces + 1):
        for kind, row in piece_rows(number, chance, packed):
            rows[kind].append(row)
    with library() as work:
        session = work._session  # type: ignore[attr-defined]
        for kind, some in rows.items():
            session.execute(insert(kind), some)
        players = tuple(Player(0, f"Player {n}", TODAY - timedelta(days=300 * (n % 5))) for n in range(4))
        sections = tuple(Section(0, f"Section {n}", "flute", size=4, players=players) for n in range(16))
        band = work.ensembles.add(Ensemble(0, "Band", "band", sections))
        session.execute(
            insert(ExposureRow),
            [
                {"ensemble_id": band, "section_id": None, "piece_id": piece, "how": "read", "note": "",
                 "on_day": TODAY - timedelta(days=chance.randrange(2000))}
                for piece in chance.sample(range(1, pieces + 1), pieces * 2 // 5)
            ],
        )  # fmt: skip
        levels = [
            {"ensemble_id": band, "piece_id": row["id"], "level": row["level"]} for row in rows[PieceRow]
        ]
        session.execute(insert(EnsembleLevelRow), levels)
        work.commit()
    return band


def piece_rows(
    number: int, chance: random.Random, packed: list[tuple[bytes, bytes, dict[str, Any]]]
) -> list[tuple[type, dict[str, object]]]:
    """The rows of one piece."""
    title = f"{chance.choice(FIRST)} {chance.choice(SECOND)} No. {number}"
    composer, level = chance.choice(PEOPLE), round(chance.uniform(0.5, 6.0), 2)
    whole, outline, lines = chance.choice(packed)
    meters = chance.sample(METERS, chance.choice((1, 1, 1, 2, 3)))
    return [
        (SourceFileRow, {"id": number, "sha256": f"{number:064x}", "name": f"{number}.mxl", "size_bytes": 9,
                         "suffix": ".mxl"}),
        (PieceRow, {"id": number, "source_id": number, "title": title, "composer": composer, "arranger": "",
                    "rights": "", "level": level, "studied_level": level, "published_grade": None,
                    "home_key": chance.choice(KEYS), "part_count": 14, "playing_seconds": 120.0,
                    "added_on": TODAY - timedelta(days=chance.randrange(900)), "corrected": [],
                    "search_text": folded(f"{title} {composer}"), "sort_title": folded(title)}),
        *[(PieceMeterRow, {"piece_id": number, "position": n, "meter": m}) for n, m in enumerate(meters)],
        (PieceTagRow, {"piece_id": number, "position": 0, "tag": "Concert", "folded": "concert"}),
        (ProfileRow, {"piece_id": number, "version": 1, "whole": whole, "outline": outline}),
        (PieceLinesRow, {"piece_id": number, "lines": lines}),
    ]  # fmt: skip


def measure(ask: Callable[[], object], times: int) -> tuple[list[float], list[float]]:
    """Wall-clock and processor milliseconds of each of so many requests."""
    ask()  # templates are compiled and pages of the file read once before the clock starts
    wall, cpu = [], []
    for _ in range(times):
        began, busy = time.perf_counter(), time.process_time()
        ask()
        wall.append(1000 * (time.perf_counter() - began))
        cpu.append(1000 * (time.process_time() - busy))
    return wall, cpu


def p95(values: list[float]) -> float:
    """The 95th percentile."""
    return statistics.quantiles(values, n=20)[-1]


def run(pieces: int) -> None:
    """Print what each of the whole library's tables takes to read or to work out."""
    with TemporaryDirectory() as folder, open_library(Home(Path(folder)).library) as library:
        band = fill(library, pieces, random.Random(5))
        began = time.process_time()
        with library() as work:
            outlines = work.pieces.outlines(range(1, 501))
        each = 1000 * (time.process_time() - began) / len(outlines)
        began = time.process_time()
        with library() as work:
            index_ensemble(work, band)
        seconds = time.process_time() - began
    print(f"levels of all pieces for an ensemble with other sections: {seconds:.1f} s of processor time")
    print(f"outlines for matching: {each:.2f} ms of processor time a piece of 14 parts")


def main() -> None:
    """Print the figures."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--pieces", type=int, default=5000)
    run(options.parse_args().pieces)


if __name__ == "__main__":
    main()
