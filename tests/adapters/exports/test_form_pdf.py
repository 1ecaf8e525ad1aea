"""Scoring forms on paper: one page each, with everything that stands in them."""

from datetime import date
from decimal import Decimal

import pytest
from pypdf import PdfReader

from planner.adapters.exports.form_pdf import FormPdf
from planner.core.published_forms import PUBLISHED_FORMS, published_form
from planner.core.scoring_form import FilledForm
from planner.services.scoring_form.fill import read_forms
from planner.services.scoring_form.print_form import print_forms
from planner.services.scoring_form.shape import set_form
from planner.services.sheets.filing import LooseFolder
from planner.services.sheets.views import FormLine, FormSheet
from tests.checks import some
from tests.fakes import BY, changing
from tests.services.scoring_form.test_scoring_form import Desk
from tests.services.term.library_for_plans import TUESDAY


def texts_of(path):
    return [" ".join(page.extract_text().split()) for page in PdfReader(path).pages]


def sheet_of(lines, **changes):
    values = {
        "ensemble": "Band", "term": "Fall", "form": "Ours", "on": None, "whom": "", "piece": "",
        "lines": lines,
        "outcome": "", "ratings": "", "bands_note": "", "made_on": date(2026, 9, 1), "library_version": "0",
    }  # fmt: skip
    return FormSheet(**(values | changes))


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_longest_form_stands_on_one_page_above_its_foot(paper, tmp_path):
    bands = " · ".join(f"{n} {'Word ' * 8}" for n in range(10))
    names = [f"Caption {n} with a name that is long"[:60] for n in range(48)]
    lines = tuple(FormLine(name, "0 to 1000", bands, "1000") for name in names)
    path = FormPdf(paper).write(
        [sheet_of(lines, outcome="Total 9: Best", ratings="Total " * 60)], tmp_path / "f.pdf"
    )
    (text,) = texts_of(path)
    lowest = []
    PdfReader(path).pages[0].extract_text(
        visitor_text=lambda words, _cm, place, *_: lowest.append(place[5]) if words.strip() else None
    )
    assert min(lowest) > 0
    assert "Caption 47" in text
    assert "Total 9: Best" in text


def test_a_blank_form_and_those_of_a_day_say_what_the_page_says(tmp_path):
    desk = Desk()
    for each in some(PUBLISHED_FORMS):
        with changing(desk.library) as work:
            set_form(work, desk.term_id, each.form, by=BY)
            made = print_forms(
                work, FormPdf(), term_id=desk.term_id, exports=LooseFolder(tmp_path), today=TUESDAY
            )
        (text,) = texts_of(made.path)
        for words in (each.form.name, *(line.name for line in each.form.lines)):
            assert words in text, each.key
    with changing(desk.library) as work:
        set_form(work, desk.term_id, published_form("hundred").form, by=BY)
        points = {1: Decimal("26.5"), 2: Decimal(30), 3: Decimal(34)}
        for section in (None, desk.flute):
            work.results.put_points(FilledForm(desk.ensemble_id, desk.piece, TUESDAY, section, points))
        made = print_forms(
            work, FormPdf(), term_id=desk.term_id, exports=LooseFolder(tmp_path), today=TUESDAY, on=TUESDAY
        )
        own = print_forms(
            work, FormPdf(), term_id=desk.term_id, exports=LooseFolder(tmp_path / "own"), today=TUESDAY,
            on=TUESDAY, only={desk.flute},
        )  # fmt: skip
        (piece,) = read_forms(work, work.terms.get(desk.term_id), TUESDAY)
    pages = texts_of(made.path)
    assert len(pages) == 2
    assert len(texts_of(own.path)) == 1
    for words in ("Whole ensemble", piece.title, "26.5", "Total 90.5: Superior, the best is 100."):
        assert words in pages[0]
