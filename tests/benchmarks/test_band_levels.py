"""The sample library for its demo band: the parts that are read make the level, and the figures are told."""

import pytest

from planner.core.ensemble import Section
from planner.services.demo_band import SECTIONS
from tests.benchmarks import band_levels
from tests.benchmarks.band_levels import BandPiece, demo_sections, for_band, rows_of, table
from tests.builders import make_part, make_score

TUNE = " | ".join(["C5 D5 E5 F5", "G5*2 C5*2"] * 6)
RUNS = " | ".join(["C5*1/4 D5*1/4 E5*1/4 F5*1/4 " * 4] * 12)


def test_the_parts_that_are_read_make_the_level():
    score = make_score(make_part(TUNE), make_part(RUNS, name="Violin", instrument="violin"))
    flutes, violins = Section(1, "Flute", "flute"), Section(2, "Violin", "violin")
    alone, both = for_band(score, 1.0, (flutes,)), for_band(score, 1.0, (flutes, violins))
    assert set(alone.by_section) == {"Flute"}
    assert alone.level == alone.by_section["Flute"]
    assert set(both.by_section) == {"Flute", "Violin"}
    assert alone.level < both.level <= max(both.by_section.values())


def test_a_piece_that_nobody_reads_has_no_level():
    piece = for_band(make_score(make_part(TUNE)), 1.0, (Section(1, "Tuba", "tuba"),))
    assert (piece.level, piece.by_section) == (None, {})


def test_every_section_of_the_demo_band_has_a_column():
    assert [section.name for section in demo_sections()] == list(band_levels.SHORT)
    assert len({section.id for section in demo_sections()}) == len(SECTIONS)
    head, line, last = table([BandPiece("Tune", 1.5, 1.25, {"Flute": 1.0})])
    assert head.split()[:3] == ["meant", "band", "Fl"]
    assert line.split() == ["1.5", "1.25", "1.0", *["."] * (len(SECTIONS) - 1), "Tune"]
    assert last.split()[0] == f"{SECTIONS[0].level}"


def test_figures_of_the_band():
    pieces = [BandPiece(str(at), float(at), at + 0.25, {}) for at in range(1, 5)]
    known, apart, order = rows_of([*pieces, BandPiece("none", 3.0, None, {})])
    assert (known.value, known.holds) == (0.8, False)
    assert (apart.value, apart.holds) == (pytest.approx(0.25), True)
    assert order.value == pytest.approx(1.0)


@pytest.mark.slow
def test_the_sample_library_for_the_demo_band():
    """Their order should agree by 0.85 with the levels they were written for; what is reached is kept."""
    known, apart, order = band_levels.rows()
    assert known.holds
    assert apart.holds
    assert order.value >= 0.83
