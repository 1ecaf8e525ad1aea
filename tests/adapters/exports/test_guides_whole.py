"""Guides of a real piece, from the score file to the printed page."""

from datetime import date
from functools import cache
from pathlib import Path

import pytest
from pypdf import PdfReader

from planner.adapters.engraving.verovio_engraver import VerovioEngraver
from planner.adapters.exports.guide_pdf import GuidePdf
from planner.adapters.scores.reader import read_score
from planner.core.ensemble import Ensemble, Section
from planner.core.term import Plan, Slot, Term
from planner.services.sheets.filing import LooseFolder
from planner.services.sheets.make_guides import make_guides
from planner.services.sheets.player.sheet import sheet_lines
from planner.services.sheets.views import SheetKind
from planner.study.study import study
from tests.checks import some
from tests.drawing import write_clean
from tests.fakes import FakeLibrary, at_a_door, make_source

PIECE = Path(__file__).parents[3] / "sample_library" / "six-small-steps.mxl"
DAY = date(2026, 9, 3)
SECTIONS = (("Flute", "flute"), ("Horn", "horn-f"), ("Drums", "snare-drum"), ("Timpani", "timpani"))


class OneFile:
    """A ``FileStore`` with one file in it."""

    def __init__(self, folder):
        self.clean = write_clean(PIECE, folder)

    def clean_path_of(self, source):
        return self.clean


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    library = FakeLibrary()
    profile = study(read_score(PIECE))
    with library() as work:
        sections = tuple(Section(0, name, instrument, size=2) for name, instrument in SECTIONS)
        band = work.ensembles.add(Ensemble(0, "Band", sections=sections))
        term = work.terms.add(Term(0, band, "Term", DAY, DAY, (DAY.weekday(),)))
        piece = work.pieces.add(make_source("piece"), profile, DAY)
        work.terms.save_plan(Plan(term, (Slot(DAY, 0, piece, "rhythm"),)))
        work.commit()

    file = OneFile(tmp_path_factory.mktemp("clean"))

    def again(folder, kind=SheetKind.PLAIN):
        made = at_a_door(
            library,
            make_guides,
            file,
            VerovioEngraver(),
            GuidePdf(),
            term_id=term,
            on=DAY,
            exports=LooseFolder(folder),
            today=DAY,
            kind=kind,
        )
        return [each.path for each in made]

    return profile, again(tmp_path_factory.mktemp("guides")), again


@cache
def text_of(path) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(path).pages).split())


def test_each_cast_part_has_a_sheet_of_one_page_and_the_packet_all(made):
    _, (packet, *sheets), _ = made
    pages = [len(PdfReader(sheet).pages) for sheet in sheets]
    assert len(sheets) == 4
    assert set(pages) == {1}
    reader = PdfReader(packet)
    marks = {entry.title: reader.get_destination_page_number(entry) for entry in reader.outline}
    (director,) = (at for title, at in marks.items() if title.startswith("Director"))
    first = min(at for at in marks.values() if at > director)
    assert (marks["Contents"], director, first) in ((0, 1, 2), (0, 1, 3)), "the director's on a page or two"
    assert len(reader.pages) == first + 2 * sum(pages), "then a copy for each of two players"


def test_every_line_of_a_part_is_on_its_sheet(made):
    profile, (_, *sheets), _ = made
    names = [part.name for part in profile.parts]
    for sheet in some(sheets):
        text = text_of(sheet)
        (name,) = [n for n in names if text.startswith(n) or f"{n}, page 1 of" in text]
        lines = sheet_lines(profile, profile.part(name))
        assert len(lines) >= 2
        missing = [line.text for line in lines if " ".join(line.text.split()) not in text]
        assert missing == []


def test_the_page_has_engraved_music_as_outlines(made):
    _, (_, *sheets), _ = made
    for sheet in some(sheets):
        (first, *_) = PdfReader(sheet).pages
        names = list(first["/Resources"].get("/XObject", {}))
        assert len(names) > 1 or "Hardest bars" not in text_of(sheet)
    assert any("Finger these silently" in text_of(sheet) for sheet in sheets)


def test_made_again_the_sheets_have_the_same_bytes(made, tmp_path):
    _, paths, again = made
    assert [p.read_bytes() for p in again(tmp_path)] == [p.read_bytes() for p in paths]


@pytest.mark.slow
def test_blanks_take_a_page_and_their_answers_another_and_large_print_two_at_most(made, tmp_path):
    for kind, pages in ((SheetKind.BLANKS, {2}), (SheetKind.LARGE_PRINT, {1, 2})):
        _, *sheets = made[2](tmp_path / kind, kind)
        assert {len(PdfReader(sheet).pages) for sheet in some(sheets)} <= pages


def test_the_drums_are_tuned_and_set_up_on_their_sheets(made):
    _, (_, *sheets), _ = made
    text = {sheet.stem.split("-", 1)[1]: text_of(sheet) for sheet in sheets}
    assert "Tune your drums, low to high, to F and B♭." in text["timpani"]
    assert "Set up: Snare Drum and Bass Drum." in text["snare-drum-bass-drum"]
