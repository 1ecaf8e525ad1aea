"""Engraved music on a PDF page: where the ink falls, and that nothing is lost."""

import io

import numpy as np
import pypdfium2
import pytest
from PIL import Image
from playwright.sync_api import sync_playwright
from pypdf import PdfReader
from reportlab.pdfgen.canvas import Canvas

from planner.adapters.exports.svg_music import EngravedMusic
from tests.adapters.engraving.musicxml import note, one_part, written
from tests.drawing import Draughtsman
from tests.programs import CHROMIUM, program


def pdf_of(svg: str, width: float = 400.0) -> tuple[bytes, EngravedMusic]:
    music = EngravedMusic(svg, width)
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(music.width, music.height), invariant=1)
    music.drawOn(canvas, 0, 0)
    canvas.save()
    return out.getvalue(), music


def raster(pdf: bytes, dpi: int = 72):
    """Grey levels, shape ``(rows, columns)``, 0 black; one row a point at 72 dots an inch."""
    page = pypdfium2.PdfDocument(pdf)[0]
    grey = page.render(
        scale=dpi / 72, grayscale=True, no_smoothtext=True, no_smoothimage=True, no_smoothpath=True
    )
    return grey.to_numpy().reshape(grey.height, grey.width).copy()


def svg(body: str, defs: str = "", box: str = "0 0 100 100") -> str:
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg"><defs>{defs}</defs><svg viewBox="{box}">{body}</svg></svg>'
    )


def ink(picture, x0, x1, y0, y1) -> float:
    """Share of black in a rectangle."""
    return float((picture[y0:y1, x0:x1] < 128).mean())


def test_size_follows_the_view_box():
    _, music = pdf_of(svg("<g/>", box="0 0 200 50"), 400.0)
    assert (music.width, music.height) == (400.0, 100.0)


def test_shapes_fall_where_they_should():
    body = (
        '<rect x="10" y="10" width="20" height="10"/><polygon points="60,10 80,10 80,20 60,20"/>'
        '<ellipse cx="20" cy="70" rx="10" ry="10"/><path d="M60 70 L90 70" stroke-width="6"/>'
    )
    picture = raster(pdf_of(svg(body), 100.0)[0])
    assert ink(picture, 11, 29, 11, 19) == 1.0
    assert ink(picture, 61, 79, 11, 19) == 1.0
    assert ink(picture, 17, 23, 67, 73) == 1.0
    assert ink(picture, 61, 89, 68, 72) == 1.0
    assert ink(picture, 0, 100, 30, 55) == 0.0
    assert ink(picture, 85, 100, 0, 60) == 0.0


def test_signs_are_reused_turned_and_scaled():
    sign = '<g id="E0"><path transform="scale(1,-1)" d="M0 0h10v10h-10z"/></g>'
    body = '<g transform="translate(10, 20)"><use href="#E0" transform="translate(40, 30) scale(2, 2)"/></g>'
    picture = raster(pdf_of(svg(body, sign), 100.0)[0])
    assert ink(picture, 51, 69, 31, 49) == 1.0, "the sign stands above its point, twice its size"
    assert (picture < 128).sum() <= 22 * 22


def test_clear_boxes_are_outlines_and_hidden_parts_stay_hidden():
    body = (
        '<rect x="20" y="20" width="60" height="60" fill="transparent" stroke-width="2"/>'
        '<g class="section placeholder"><ellipse cx="50" cy="50" rx="9" ry="9"/></g>'
    )
    picture = raster(pdf_of(svg(body), 100.0)[0])
    assert ink(picture, 25, 75, 25, 75) == 0.0
    assert ink(picture, 19, 81, 19, 22) > 0.5


def test_a_tint_is_grey_without_an_edge_and_the_next_shape_is_black_again():
    body = (
        '<rect x="10" y="10" width="30" height="30" fill="#cccccc" style="stroke:none" stroke-width="9"/>'
        '<rect x="60" y="60" width="10" height="10"/>'
    )
    picture = raster(pdf_of(svg(body), 100.0)[0])
    assert picture[25, 25] == pytest.approx(0xCC, abs=2)
    assert picture[7, 25] == 255
    assert ink(picture, 61, 69, 61, 69) == 1.0


def test_words_are_text_in_the_file_with_their_accents_and_signs():
    body = '<text x="5" y="50" font-size="0px"><tspan font-size="9px">très doux ♭ Šárka</tspan></text>'
    assert "très doux ♭ Šárka" in PdfReader(io.BytesIO(pdf_of(svg(body))[0])).pages[0].extract_text()


def test_the_bytes_are_the_same_every_time(tmp_path):
    drawing = Draughtsman().draw(
        written(tmp_path, one_part(note() * 4)), part=0, measure=0, end_measure=0, width_mm=120
    )
    assert pdf_of(drawing)[0] == pdf_of(drawing)[0]


@pytest.mark.browser
def test_the_page_looks_as_a_browser_draws_it(tmp_path):
    """Ink of the PDF against Chromium's drawing of the same SVG, on a grid of 8-pixel cells."""
    slur = '<notations><slur type="{}" number="1"/></notations>'
    bars = [note(more=slur.format("start")) + note("D", 5) * 2 + note("A", 4, slur.format("stop"))] * 4
    drawing = Draughtsman().draw(
        written(tmp_path, one_part(*bars)), part=0, measure=0, end_measure=3, width_mm=120
    )
    pdf, music = pdf_of(drawing, 600.0)
    ours = raster(pdf, 4 * 72)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program(*CHROMIUM), args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 600, "height": 200}, device_scale_factor=4)
        page.set_content(f'<body style="margin:0"><div style="width:600px">{drawing}</div>')
        shot = page.screenshot(path=str(tmp_path / "page.png"))
        browser.close()
    theirs = np.asarray(Image.open(io.BytesIO(shot)).convert("L"))
    rows, columns = int(4 * music.height) // 8, 300

    def cells(picture):
        dark = 1.0 - picture[: rows * 8, : columns * 8] / 255.0
        return dark.reshape(rows, 8, columns, 8).mean(axis=(1, 3))

    a, b = cells(ours), cells(theirs)
    assert np.corrcoef(a.ravel(), b.ravel())[0, 1] > 0.97
    assert a.sum() == pytest.approx(b.sum(), rel=0.1)
