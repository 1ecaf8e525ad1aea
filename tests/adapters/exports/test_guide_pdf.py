"""The printed guide: what it says, that it fits, that the bytes are steady, and that it fails cleanly."""

import io
import logging
from collections import Counter
from dataclasses import replace

import pytest
from pypdf import PdfReader

from planner.adapters.exports.guide_pdf import GuidePdf
from planner.errors import ExportError
from planner.services.sheets.views import Blank, DynamicPlace, GuideBlock, GuideLine, GuidePacket, GuideStart
from tests.adapters.exports.test_director_pdf import make_sheet
from tests.adapters.exports.views import SVG, make_guide


def pages_of(path) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(path).pages]


def test_a_guide_says_all_of_its_view_on_one_page(tmp_path):
    view = make_guide()
    (page,) = pages_of(GuidePdf().write([view], tmp_path / "a.pdf"))
    wanted = [
        view.title, view.credit, view.part, view.players, view.ensemble, "Thursday, September 3, 2026",
        "♩ = 72, an easy walk", "1 2 3", "3/4", "33", "Second reading ♩ = 80", view.care, *view.boxes,
        "Find out", "What is your highest note?",
        "dolce", "mf", *(block.heading for block in view.blocks),
        *(line.text for block in view.blocks for line in block.lines), "After the first reading",
        "Made September 1, 2026", "0.1.0", "page 1 of 1",
    ]  # fmt: skip
    missing = [text for text in wanted if " ".join(text.split()) not in page]
    assert not missing


def test_a_packet_has_contents_each_sheet_in_its_copies_and_bookmarks(tmp_path):
    views = tuple(make_guide(part=f"Horn {n}", copies=n) for n in (1, 2, 3))
    packet = GuidePacket(views, (("Harp", "no section of yours reads it"),))
    path = GuidePdf().write_packet(packet, tmp_path / "packet.pdf")
    contents, *sheets = pages_of(path)
    assert [f"Horn {n}" for n in (1, 2, 2, 3, 3, 3)] == [
        next(f"Horn {n}" for n in (1, 2, 3) if f"Horn {n}, page 1 of 1" in text) for text in sheets
    ]
    for part, copies, page in (("Horn 1", 1, 2), ("Horn 2", 2, 3), ("Horn 3", 3, 5)):
        assert f"{part} {views[0].players} {copies} {page}" in contents
    assert "Without a sheet Harp no section of yours reads it" in contents
    reader = PdfReader(path)
    marks = {entry.title: reader.get_destination_page_number(entry) + 1 for entry in reader.outline}
    assert marks == {"Contents": 1, "Horn 1": 2, "Horn 2": 3, "Horn 3": 5}


def test_a_packet_has_the_directors_sheet_before_the_parts(tmp_path):
    packet = GuidePacket((make_guide(part="Horn"),), director=make_sheet())
    path = GuidePdf().write_packet(packet, tmp_path / "packet.pdf")
    contents, *pages = pages_of(path)
    assert "Director’s sheet 1 2" in contents
    assert "What is your highest note?" not in contents
    assert "Director’s sheet" in pages[0]
    assert "Horn, page 1 of 1" in pages[-1]
    reader = PdfReader(path)
    marks = {entry.title: reader.get_destination_page_number(entry) + 1 for entry in reader.outline}
    assert marks == {"Contents": 1, "Director’s sheet: New Britain": 2, "Horn": len(pages) + 1}
    assert f"Horn {packet.sheets[0].players} 1 {len(pages) + 1}" in contents


BLANKS = (Blank("What is the meter?", "3/4"), Blank("Write the counts under bar 5.", "1 & 3", SVG, 90.0))


def test_blanks_are_asked_on_the_sheet_and_answered_on_a_page_behind_it(tmp_path):
    view = make_guide(blocks=(), dynamics=(), questions=(), blanks=BLANKS)
    sheet, answers = pages_of(GuidePdf().write([view], tmp_path / "a.pdf"))
    for number, blank in enumerate(BLANKS, start=1):
        assert f"{number}. {blank.prompt}" in sheet
        assert f"{number}. {blank.prompt}" in answers
        assert blank.answer in answers
    assert "1 & 3" not in sheet
    assert "Answers, page 1 of 1" in answers


def test_a_packet_has_the_answers_once_behind_the_copies_of_each_part(tmp_path):
    horn, tuba = (make_guide(part=part, copies=3, questions=(), blanks=BLANKS) for part in ("Horn", "Tuba"))
    pages = pages_of(GuidePdf().write_packet(GuidePacket((horn, tuba)), tmp_path / "packet.pdf"))
    assert ["Answers, page" in page for page in pages] == [False] * 4 + [True] + [False] * 3 + [True]
    assert f"Tuba {tuba.players} 3 6" in pages[0]


def test_blanks_without_answers_have_no_page_behind_them(tmp_path):
    view = make_guide(blocks=(), questions=(), blanks=(Blank("What is the meter?"),))
    assert len(pages_of(GuidePdf("letter").write([view], tmp_path / "a.pdf"))) == 1


def sizes_of(path) -> Counter[float]:
    """How many letters stand in each size of type, in points."""
    found: Counter[float] = Counter()

    def visit(text, matrix, at, _font, size):
        found[round(size * abs(at[3]) * abs(matrix[3]), 1)] += len(text.strip())

    for page in PdfReader(path).pages:
        page.extract_text(visitor_text=visit)
    return found


def test_large_print_is_set_in_18_point_and_takes_two_pages_at_most(tmp_path):
    view = make_guide(is_large=True)
    path = GuidePdf().write([view], tmp_path / "a.pdf")
    text = " ".join(pages_of(path))
    assert len(PdfReader(path).pages) <= 2
    for wanted in (
        "1 2 3",
        "3/4",
        "What is your highest note?",
        "Meter",
        "After the first reading",
        "Bar 20.",
    ):
        assert wanted in text
    assert sizes_of(path)[18.0] > 100


def test_contents_of_many_parts_take_more_pages_and_count_them(tmp_path):
    views = tuple(make_guide(part=f"Part {n}", questions=()) for n in range(60))
    pages = pages_of(GuidePdf("letter").write_packet(GuidePacket(views), tmp_path / "packet.pdf"))
    assert "Contents, page 2 of 2" in pages[1]
    assert f"Part 0 {views[0].players} 1 3" in pages[0]
    assert "Part 0, page 1 of 1" in pages[2]


def test_the_same_views_give_the_same_bytes(tmp_path):
    views = [make_guide(), make_guide(part="Oboe")]
    first = GuidePdf().write(views, tmp_path / "a.pdf").read_bytes()
    GuidePdf().write([make_guide(title="Another")], tmp_path / "b.pdf")
    assert GuidePdf().write(views, tmp_path / "a.pdf").read_bytes() == first


@pytest.mark.parametrize(("paper", "size"), [("a4", (595.28, 841.89)), ("letter", (612.0, 792.0))])
def test_the_paper_is_as_set(tmp_path, paper, size):
    box = PdfReader(GuidePdf(paper).write([make_guide()], tmp_path / "a.pdf")).pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx(size, abs=0.01)


def test_a_long_title_stands_on_two_lines_and_keeps_its_end(tmp_path):
    title = "Suite of Songs and Dances from Seven Countries for Young Wind Band, Movement III: Scherzo"
    (page,) = pages_of(GuidePdf().write([make_guide(title=title)], tmp_path / "a.pdf"))
    assert title in page


def test_many_statements_take_a_second_page_with_a_short_head_and_nothing_is_lost(tmp_path):
    blocks = tuple(
        GuideBlock(
            f"Block {n}",
            tuple(GuideLine(f"Sentence {n}.{k} on bar {k}, and what to do there.") for k in range(6)),
        )
        for n in range(12)
    )
    pages = pages_of(GuidePdf().write([make_guide(blocks=blocks)], tmp_path / "a.pdf"))
    assert len(pages) == 2
    assert "(continued)" in pages[1]
    assert "page 2 of 2" in pages[1]
    everything = " ".join(pages)
    assert all(f"Sentence {n}.{k} on bar {k}" in everything for n in range(12) for k in range(6))


@pytest.mark.parametrize(
    "changes",
    [
        {"title": "A Very Long Title for a Suite of Songs and Dances from Seven Countries, Movement III"},
        {"title": "W" * 200, "part": "M" * 120, "credit": "Q" * 300, "players": "X" * 300},
        {
            "start": GuideStart("", "", "", "", "", (), ""),
            "blocks": (),
            "dynamics": (),
            "boxes": (),
            "questions": (),
            "care": "",
            "credit": "",
            "players": "",
        },
        {"blocks": (GuideBlock("Key", (GuideLine("word " * 400),)),)},
        {"blocks": (GuideBlock("Key", (GuideLine("<b>not markup</b> & <font size=99>", SVG, 90.0),)),)},
        {"start": GuideStart("1 2 3 " * 20, "♩ = 72", "an easy walk", "Second", "11/8", (3, 3, 3, 2), "300")},
        {
            "start": replace(
                make_guide().start, road=tuple(f"{n}1–{n}20 of the second numbering" for n in range(10))
            )
        },
        {"dynamics": (tuple(DynamicPlace("ffff", 0.06 * n, 0.06 * n, f"{n}00") for n in range(14)),) * 3},
    ],
)
def test_awkward_views_are_laid_out_within_the_page(tmp_path, changes):
    path = GuidePdf().write([make_guide(**changes)], tmp_path / "a.pdf")
    reader = PdfReader(path)
    found = []
    for page in reader.pages:
        right = float(page.mediabox.width)

        def visit(text, cm, tm, font, size, right=right):
            if text.strip():
                found.append((cm[4] + tm[4] * cm[0], right))

        page.extract_text(visitor_text=visit)
    assert len(reader.pages) <= 2
    assert all(0 < x < right for x, right in found)


@pytest.mark.parametrize(
    "name", ["Скерцо для оркестра", "Μέρος τρίτο", "さくら", "阿里郎", "아리랑", "Śnieżka", "𝄞"]
)
def test_names_in_other_scripts_are_printed(tmp_path, name, caplog):
    with caplog.at_level(logging.WARNING):
        path = GuidePdf().write([make_guide(title=name)], tmp_path / "a.pdf")
    text = pages_of(path)[0]
    assert name in text or "�" in text or any(ord(c) > 0x1100 for c in name)
    assert PdfReader(path).metadata.title.startswith(name)


def test_nothing_is_left_when_the_disk_is_full(tmp_path, monkeypatch):
    import planner.adapters.exports.guide_pdf as guide_pdf

    def no_room(*_, **__):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(guide_pdf, "_draw_guide", no_room)
    with pytest.raises(ExportError, match="no space left"):
        GuidePdf().write([make_guide()], tmp_path / "a.pdf")
    assert not list(tmp_path.iterdir())


def test_fonts_are_inside_the_file(tmp_path):
    path = GuidePdf().write([make_guide()], tmp_path / "a.pdf")
    fonts = PdfReader(path).pages[0]["/Resources"]["/Font"]
    for font in fonts.values():
        descriptor = font.get_object().get("/FontDescriptor")
        name = font.get_object()["/BaseFont"]
        assert descriptor is None or "/FontFile2" in descriptor.get_object(), name
    data = io.BytesIO(path.read_bytes()).read()
    assert b"DejaVuSerif" in data


def test_a_changed_view_changes_the_page(tmp_path):
    one = GuidePdf().write([make_guide()], tmp_path / "a.pdf").read_bytes()
    other = replace(make_guide(), blocks=(GuideBlock("Start", (GuideLine("Back to 5."),)),))
    assert GuidePdf().write([other], tmp_path / "b.pdf").read_bytes() != one
