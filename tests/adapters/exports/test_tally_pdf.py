"""The tally sheet: everything is on it, in order, on as few pages as can be written on."""

import re
from datetime import date

import pytest
from pypdf import PdfReader

from planner.adapters.exports.tally_pdf import HIGHEST_ROW, LEAST_ROW, TICKS, TallyPdf
from planner.services.sheets.views import TallyPiece, TallySheet
from tests.checks import some

SECTIONS = (
    "Piccolo", "Flute 1", "Flute 2", "Oboe", "Bassoon", "Clarinet 1", "Clarinet 2", "Clarinet 3",
    "Bass Clarinet", "Alto Saxophone 1", "Alto Saxophone 2", "Tenor Saxophone", "Trumpet 1", "Horn in F",
    "Trombone", "Percussion and Timpani",
)  # fmt: skip


def make_sheet(sections=SECTIONS, pieces=1, players=100, tempo="♩ = 76", title="Fairground March"):
    seated = [
        tuple(f"Ida Holm {n}." for n in range(at, players, len(sections))) for at in range(len(sections))
    ]
    return TallySheet(
        "Riverside Band", "Autumn 2026", date(2026, 12, 1),
        tuple(TallyPiece(f"{title} {n + 1}", tempo, tuple((s, s == "Oboe") for s in sections))
              for n in range(pieces)),
        tuple(zip(sections, seated, strict=True)), date(2026, 11, 29), "1.0",
    )  # fmt: skip


def pages_of(sheet, tmp_path, paper="a4"):
    reader = PdfReader(TallyPdf(paper).write(sheet, tmp_path / "tally.pdf"))
    return [" ".join(page.extract_text().split()) for page in reader.pages]


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_sixteen_sections_three_pieces_and_a_hundred_players_fit_two_pages(tmp_path, paper):
    pages = pages_of(make_sheet(pieces=3), tmp_path, paper)
    assert len(pages) == 2
    text = " ".join(pages)
    for section in SECTIONS:
        assert text.count(section) >= 3, section
    for number in range(100):
        assert f"Ida Holm {number}." in text, number
    assert "Oboe (away)" in text
    rows = re.findall(f"apart {' '.join(TICKS)}", text)
    assert len(rows) == 3 * len(SECTIONS)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_day_of_one_piece_stands_on_one_page(tmp_path, paper):
    (page,) = pages_of(make_sheet(SECTIONS[:12], players=60), tmp_path, paper)
    for words in ("Tuesday, December 1, 2026", "Riverside Band, Autumn 2026", "Fairground March 1",
                  "Tempo taken (aim ♩ = 76)", "Second", "Went wrong", "Remark", "Who is missing",
                  "page 1 of 1"):  # fmt: skip
        assert words in page, words


def heights_of(sheet):
    """The heights of what stands on each page, and the writer."""
    pdf = TallyPdf()
    return [[block.height for block in page] for page in pdf._laid_out(sheet)], pdf


@pytest.mark.parametrize(
    ("sections", "pieces", "players"), [(1, 1, 0), (40, 4, 300), (16, 3, 100), (3, 12, 5)]
)
def test_nothing_runs_off_a_page_and_rows_can_be_written_in(sections, pieces, players):
    names = tuple(f"Section {n}" for n in range(sections))
    pages, pdf = heights_of(make_sheet(names, pieces, players))
    paper = pdf._paper
    room = paper.height - paper.margin - paper.foot
    for heights in some(pages):
        assert sum(heights) <= room
    rows = [height for heights in pages for height in heights if height <= HIGHEST_ROW]
    assert len(rows) == sections * pieces
    assert min(rows) >= LEAST_ROW


def test_a_day_without_anything_has_a_sheet_all_the_same(tmp_path):
    sheet = make_sheet((), pieces=0, players=0)
    (page,) = pages_of(sheet, tmp_path)
    assert "Tuesday, December 1, 2026" in page


def test_long_and_foreign_words_stay_on_the_sheet_and_bytes_are_the_same(tmp_path):
    sheet = make_sheet(("Ñandú " * 30, "李小龍", "=SUM(A1)"), title="Sehr langer Titel " * 12, tempo="")
    first = TallyPdf().write(sheet, tmp_path / "a.pdf").read_bytes()
    assert TallyPdf().write(sheet, tmp_path / "b.pdf").read_bytes() == first
    (page,) = pages_of(sheet, tmp_path)
    assert "…" in page
    assert "李小龍" in page
    assert "=SUM(A1)" in page
