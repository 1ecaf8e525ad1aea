"""Reports on paper: any name, forty days, both papers, in black and greys; the same pictures as on pages."""

import re
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader

from planner.adapters.drawing.report_charts import draw, legend_of
from planner.adapters.drawing.shapes import KINDS, TEXT_KINDS, Dot, Text
from planner.adapters.drawing.shapes import Path as Shape
from planner.adapters.exports.chart import PENS
from planner.adapters.exports.report_pdf import ReportPdf
from planner.adapters.web.svg import svg_of
from planner.services.reports.player_report import player_report
from planner.services.reports.section_report import section_report
from planner.services.reports.term_report import term_report
from planner.services.reports.views import CountRow, CountsPicture, ReportColumn, ReportPart, ReportTable
from tests.checks import some
from tests.services.reports.term_of_readings import make_read_term

STYLES = Path(__file__).parents[3] / "planner" / "adapters" / "web" / "static" / "programme.css"


@pytest.fixture(scope="module")
def views():
    """A report of each kind over forty days; the player's name has two hundred letters in five scripts."""
    library, ensemble_id, term_id, today = make_read_term()
    with library() as work:
        section = work.ensembles.get(ensemble_id).sections[0]
        return {
            "section": section_report(work, term_id, section.id, today),
            "player": player_report(work, term_id, section.players[0].id, today),
            "term": term_report(work, term_id, today),
        }


def fonts_of(pdf):
    found = {}
    for page in pdf.pages:
        for font in page["/Resources"]["/Font"].values():
            font = font.get_object()
            inner = font["/DescendantFonts"][0].get_object() if "/DescendantFonts" in font else font
            found[font["/BaseFont"]] = inner.get("/FontDescriptor")
    return found


@pytest.mark.parametrize(("kind", "paper"), [("section", "a4"), ("player", "letter"), ("term", "letter")])
def test_a_report_prints_with_title_language_bookmarks_and_its_own_letters(views, tmp_path, kind, paper):
    view = views[kind]
    pdf = PdfReader(ReportPdf(paper).write(view, tmp_path / "report.pdf"))
    assert pdf.metadata.title == f"{view.title}: {view.about}"
    assert pdf.trailer["/Root"]["/Lang"] == "en-US"
    (top, inside) = pdf.outline
    assert top.title == view.title
    assert [each.title for each in inside] == [part.heading for part in view.parts]
    assert len(pdf.pages) <= 4
    assert {round(float(page.mediabox.width)) for page in pdf.pages} == {595 if paper == "a4" else 612}
    fonts = fonts_of(pdf)
    for name, descriptor in some(list(fonts.items())):
        assert descriptor is not None, name
        assert {"/FontFile2", "/FontFile3"} & set(descriptor.get_object()), name
    words = " ".join(" ".join(page.extract_text() for page in pdf.pages).split())
    days = [row[0] for part in view.parts for row in (part.table.rows if part.table else ())]
    assert [day for day in some(days) if day not in words] == []


def test_the_same_report_gives_the_same_bytes_and_one_without_parts_a_page(views, tmp_path):
    writer = ReportPdf()
    one, other = (writer.write(views["term"], tmp_path / name).read_bytes() for name in ("a.pdf", "b.pdf"))
    assert one == other
    empty = replace(views["section"], lead=("Flute has no results this term.",), parts=())
    pdf = PdfReader(writer.write(empty, tmp_path / "c.pdf"))
    assert len(pdf.pages) == 1
    assert "Flute has no results this term." in pdf.pages[0].extract_text()


def test_a_table_of_any_length_and_a_cell_longer_than_a_page_are_printed_whole(views, tmp_path):
    columns = (ReportColumn("Day", 0.2), ReportColumn("Words", 0.8))
    rows = (*((f"Row {n}", "short") for n in range(150)), ("Last", "word " * 3000))
    view = replace(
        views["term"], parts=(ReportPart("Many", ("A sentence.",), None, ReportTable(columns, rows)),)
    )
    pdf = PdfReader(ReportPdf().write(view, tmp_path / "long.pdf"))
    words = " ".join(page.extract_text() for page in pdf.pages)
    assert all(f"Row {n}" in words for n in range(150))
    assert words.count("word") >= 3000


def test_every_shape_of_every_picture_looks_like_something_on_paper_and_on_the_page(views):
    styles = STYLES.read_text("utf-8")
    pictures = [part.picture for view in views.values() for part in view.parts if part.picture]
    shapes = [shape for picture in pictures for shape in draw(picture, 660).shapes]
    kinds = {shape.kind for shape in shapes if not isinstance(shape, Text)}
    assert kinds <= KINDS == set(PENS)
    assert {shape.kind for shape in shapes if isinstance(shape, Text)} <= TEXT_KINDS
    for kind in some(sorted(KINDS)):
        assert re.search(rf"\.chart [^{{]*\.{re.escape(kind.split()[0])}\b", styles), kind
    assert all(legend_of(picture).endswith(".") for picture in some(pictures))


def test_the_page_has_the_same_shapes_as_the_sheet_and_stays_within_its_frame(views):
    pictures = [part.picture for view in views.values() for part in view.parts if part.picture]
    for picture in some(pictures):
        for width in (980, 360):
            drawing = draw(picture, width)
            svg = str(svg_of(drawing))
            dots = [shape for shape in drawing.shapes if isinstance(shape, Dot)]
            texts = [shape for shape in drawing.shapes if isinstance(shape, Text)]
            assert svg.count("<circle") == len(dots)
            assert svg.count("<path") == sum(isinstance(shape, Shape) for shape in drawing.shapes)
            assert all(0 <= dot.x <= drawing.width and 0 <= dot.y <= drawing.height for dot in dots)
            assert all(0 <= text.x <= drawing.width for text in some(texts))


def test_bars_are_as_long_as_their_counts_and_long_names_are_cut():
    rows = (CountRow("x" * 300, 10, 5), CountRow("none", 0, 0))
    drawing = draw(CountsPicture("Readings", rows, "read", "planned"), 660)
    first, second = (shape for shape in drawing.shapes if shape.kind.startswith("count"))

    def wide(path):
        (start, end) = re.findall(r"[ML]([\d.]+) ", path.shape)[:2]
        return float(end) - float(start)

    assert wide(first) == pytest.approx(2 * wide(second), abs=0.01)
    labels = [shape.text for shape in drawing.shapes if isinstance(shape, Text)]
    assert "10 and 5" in labels
    assert "none" in labels
    assert max(map(len, labels)) < 40
