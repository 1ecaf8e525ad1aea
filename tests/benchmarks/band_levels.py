"""The sample library as its demo band reads it: ``python -m tests.benchmarks.band_levels``.

For every piece the level it was written for, its level for the band, and the level of what each section
reads, with ``.`` where a section has no part. The last line gives each section's own level.
"""

import json
import warnings
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from scipy.stats import spearmanr

from planner.adapters.scores.reader import read_score
from planner.core.ensemble import Section
from planner.core.score import Score
from planner.matching.casting import cast_parts
from planner.matching.for_whom import level_of_readings
from planner.services.demo_band import SECTIONS
from planner.study.study import study
from tests.benchmarks.rows import Row

SAMPLES = Path(__file__).resolve().parents[2] / "sample_library"
SHORT = {
    "Flute": "Fl", "Oboe": "Ob", "Clarinet 1": "Cl1", "Clarinet 2": "Cl2", "Bass Clarinet": "BCl",
    "Alto Saxophone": "ASx", "Tenor Saxophone": "TSx", "Baritone Saxophone": "BSx", "Trumpet 1": "Tp1",
    "Trumpet 2": "Tp2", "Horn": "Hn", "Trombone": "Tbn", "Euphonium": "Eu", "Tuba": "Tba", "Mallets": "Mal",
    "Snare and Bass Drum": "Dr", "Timpani": "Tim",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class BandPiece:
    """One piece for the band.

    Attributes:
        title: As printed.
        meant: The level its maker wrote it for.
        level: Its level for the band; None when no section reads a part with a level.
        by_section: For each section that reads, the level of the hardest part it reads.
    """

    title: str
    meant: float
    level: float | None
    by_section: dict[str, float]


def demo_sections() -> tuple[Section, ...]:
    """The sections of the demo band, each with an id."""
    return tuple(replace(demo.as_section(), id=at) for at, demo in enumerate(SECTIONS, 1))


def for_band(score: Score, meant: float, sections: tuple[Section, ...]) -> BandPiece:
    """How hard a piece is for the sections that read it."""
    profile = study(score)
    names = {section.id: section.name for section in sections}
    levels = {part.name: part.level for part in profile.parts}
    readings = cast_parts(profile.parts, sections).readings
    found: dict[str, float] = {}
    for reading in readings:
        level = levels[reading.part]
        if level is not None:
            name = names[reading.section_id]
            found[name] = max(level, found.get(name, 0.0))
    return BandPiece(profile.title, meant, level_of_readings(profile.parts, readings).level, found)


def band_pieces() -> list[BandPiece]:
    """Every piece of the sample library for the demo band, the easiest by its maker first."""
    manifest = json.loads((SAMPLES / "manifest.json").read_text(encoding="utf-8"))
    found, sections = [], demo_sections()
    for piece in manifest["pieces"]:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            score = read_score(SAMPLES / piece["file"])
        found.append(for_band(score, float(piece["level"]), sections))
    return sorted(found, key=lambda piece: (piece.meant, piece.level or 0.0))


def rows_of(pieces: list[BandPiece]) -> Iterator[Row]:
    """How far the levels for the band are from those the pieces were written for."""
    known = [piece for piece in pieces if piece.level is not None]
    pairs = np.array([(piece.meant, piece.level) for piece in known], dtype=float)
    apart = np.abs(pairs[:, 0] - pairs[:, 1])
    worst = known[int(apart.argmax())]
    note = f"{len(known)} pieces, largest {apart.max():.2f}: {worst.title}"
    name = "sample library for the demo band"
    yield Row(f"{name}: pieces with a level", len(known) / len(pieces), 1.0)
    yield Row(f"{name}: mean distance from the level meant", float(apart.mean()), 0.5, "level", True, note)
    order = float(spearmanr(pairs[:, 0], pairs[:, 1]).statistic)
    yield Row(f"{name}: level and level meant", order, 0.85, "rho")


def rows() -> Iterator[Row]:
    """The figures of the sample library for the demo band."""
    yield from rows_of(band_pieces())


def table(pieces: list[BandPiece]) -> Iterator[str]:
    """One line a piece, one column a section."""
    names = [section.name for section in demo_sections()]
    yield f"{'meant':>5} {'band':>5} " + " ".join(f"{SHORT[name]:>4}" for name in names) + "  piece"
    for piece in pieces:
        own = (piece.by_section.get(name) for name in names)
        cells = " ".join(f"{'.':>4}" if level is None else f"{level:>4.1f}" for level in own)
        whole = "." if piece.level is None else f"{piece.level:.2f}"
        yield f"{piece.meant:>5g} {whole:>5} {cells}  {piece.title}"
    cells = " ".join(f"{section.level:>4.1f}" for section in demo_sections())
    yield f"{'':>11} {cells}  levels of the sections"


def main() -> None:
    """Print the table and the figures."""
    pieces = band_pieces()
    print("\n".join(table(pieces)))
    for row in rows_of(pieces):
        print(f"{row.name:<66} {row.value:.3f} {row.note}")


if __name__ == "__main__":
    main()
