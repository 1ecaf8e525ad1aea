"""Players' sheets on paper, by content: pages, text over text, text off the page, music out of its box.

Each sheet of the pool is engraved and printed on A4 and on Letter, then awkward ones: titles of 200 letters,
40 parts, 300 bars of rest, names in many scripts. What the PDF holds is read back with another library.
"""

import sys
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import product
from pathlib import Path

import pypdfium2
from pypdf import PdfReader
from reportlab.pdfgen.canvas import Canvas

from planner.adapters.engraving.verovio_engraver import VerovioEngraver
from planner.adapters.exports.guide_pdf import GuidePdf
from planner.adapters.exports.svg_music import EngravedMusic
from planner.services.sheets.guide_excerpts import Drawer
from planner.services.sheets.make_guides import LINE_WIDTH_MM
from planner.services.sheets.player.line import Block
from planner.services.sheets.player.sheet import care_line
from planner.services.sheets.views import (
    DynamicPlace,
    GuideBlock,
    GuideLine,
    GuidePacket,
    GuideStart,
    GuideView,
    QuestionLine,
)
from planner.wording.player_sheet import BLOCK_HEADINGS, STUDY_BOXES
from planner.wording.questions import answer_words, question_words
from tests.benchmarks.rows import Row
from tests.benchmarks.sheet_pool import PooledSheet, pooled
from tests.drawing import write_clean
from tests.engraved import faults as engraved_faults

ONE_PAGE_TO = 4.0
"""Level of a part up to which its sheet has one page; demanded."""
PAPERS = ("a4", "letter")
DAY = date(2026, 9, 1)
_OVER = 0.35
"""Share of a letter that another covers to be called over it; kerning and slant stay below. House choice."""
_LIGATURE = 4
"""Letters in a row that may share one sign, as in ffi and in scripts with signs over letters."""
_OUT_POINTS = 2.0
"""Ink this far outside its box is called out of it. House choice: a third of a staff space."""


class Printer:
    """Sheets as the program prints them, with clean files made once."""

    def __init__(self, folder: Path) -> None:
        self._folder, self._engraver = folder, VerovioEngraver()
        self._clean: dict[Path, Path] = {}

    def view(self, sheet: PooledSheet, paper: str) -> GuideView:
        """The sheet with its music engraved for a paper."""
        if sheet.path not in self._clean:
            home = self._folder / str(len(self._clean))
            home.mkdir()
            self._clean[sheet.path] = write_clean(sheet.path, home)
        clean = self._clean[sheet.path] if sheet.is_alone else None
        drawer = Drawer(self._engraver, clean, LINE_WIDTH_MM[paper])
        blocks = tuple(
            GuideBlock(BLOCK_HEADINGS[block], tuple(drawer.drawn(line, sheet.at) for line in inside))
            for block in Block
            if (inside := [line for line in sheet.lines if line.block is block])
        )
        profile = sheet.profile
        return GuideView(
            title=profile.title or sheet.path.stem, credit=profile.composer, part=sheet.part.name or "Part",
            players="", ensemble="Riverside Band", on=DAY, position=0, start=sheet.start,
            blocks=blocks, dynamics=sheet.dynamics, boxes=STUDY_BOXES,
            questions=tuple(
                QuestionLine(question_words(each, profile), answer_words(each, profile))
                for each in sheet.questions
            ),
            care=care_line(sheet.part), made_on=DAY, library_version="1",
        )  # fmt: skip

    def printed(self, view: GuideView, paper: str) -> Path:
        """One sheet as a file."""
        return GuidePdf(paper).write([view], self._folder / "sheet.pdf")


Box = tuple[float, float, float, float]


def letters(path: Path) -> Iterator[tuple[int, Box, str, Box]]:
    """Each printed letter: page, its box, itself, and the box of the page."""
    document = pypdfium2.PdfDocument(path)
    for number, page in enumerate(document):
        text = page.get_textpage()
        whole = text.get_text_range()
        for at in range(text.count_chars()):
            box = text.get_charbox(at)
            letter = whole[at] if at < len(whole) else "?"
            if box[2] > box[0] and box[3] > box[1] and not letter.isspace():
                yield number, box, letter, page.get_mediabox()
    document.close()


def off_the_page(path: Path) -> list[str]:
    """Letters that stand outside their page."""
    return [
        letter
        for _, box, letter, (left, low, right, high) in letters(path)
        if box[0] < left or box[1] < low or box[2] > right or box[3] > high
    ]


def over_each_other(path: Path) -> list[tuple[str, str]]:
    """Pairs of letters of which one covers the other; neighbors in a word may share a sign."""
    found, seen = [], dict[tuple[int, int, int], list[tuple[int, Box, str]]]()
    for at, (page, box, letter, _) in enumerate(letters(path)):
        if letter in "^_~`'\"“”’,.–-":
            continue
        for x, y in product(
            range(int(box[0] // 8), int(box[2] // 8) + 1), range(int(box[1] // 8), int(box[3] // 8) + 1)
        ):
            here = seen.setdefault((page, x, y), [])
            apart = [each for each in here if at - each[0] > _LIGATURE]
            found += [(other, letter) for _, wide, other in apart if _covers(wide, box)]
            here.append((at, box, letter))
    return found


def _covers(one: Box, other: Box) -> bool:
    wide = min(one[2], other[2]) - max(one[0], other[0])
    high = min(one[3], other[3]) - max(one[1], other[1])
    if wide <= 0 or high <= 0:
        return False
    least = min((box[2] - box[0]) * (box[3] - box[1]) for box in (one, other))
    return wide * high > _OVER * least


def out_of_its_box(svg: str, width_points: float, folder: Path) -> bool:
    """Whether a drawing puts ink outside the box that a sheet keeps for it."""
    music, edge = EngravedMusic(svg, width_points), 40.0
    path = folder / "music.pdf"
    size = (music.width + 2 * edge, music.height + 2 * edge)
    canvas = Canvas(str(path), pagesize=size)
    music.drawOn(canvas, edge, edge)
    canvas.save()
    document = pypdfium2.PdfDocument(path)
    image = document[0].render(scale=1, grayscale=True).to_pil()
    document.close()
    ink = image.point(lambda value: 255 if value < 128 else 0).getbbox()
    if ink is None:
        return False
    free = edge - _OUT_POINTS
    return ink[0] < free or ink[1] < free or ink[2] > image.width - free or ink[3] > image.height - free


def fonts_outside(path: Path) -> list[str]:
    """Fonts that the file names without holding them."""
    found = []
    for page in PdfReader(path).pages:
        for font in (page["/Resources"].get("/Font") or {}).values():
            each = font.get_object()
            inner = each["/DescendantFonts"][0].get_object() if "/DescendantFonts" in each else each
            held = inner.get("/FontDescriptor")
            if each.get("/Subtype") != "/Type3" and (
                held is None or not {"/FontFile", "/FontFile2", "/FontFile3"} & set(held.get_object())
            ):
                found.append(str(each.get("/BaseFont")))
    return found


def awkward() -> Iterator[GuideView]:
    """Sheets that are hard to lay out."""
    start = GuideStart(
        "1 2 3 4", "♩ = 72", "an easy walk", "Second reading ♩ = 80", "4/4", (1, 1, 1, 1), "300"
    )
    line = GuideLine("Bar 301: entrance after 300 bars of rest. Count every bar.")
    plain = GuideView(
        "A Piece", "Nobody", "Clarinet", "Clarinets (4 players)", "Riverside Band", DAY, 0, start,
        (GuideBlock("Hardest bars", (line,)),), ((DynamicPlace("mf", 0.0, 0.1, "1"),),), STUDY_BOXES,
        (QuestionLine("What is your highest note?", "G5."),), "Stop if anything hurts.", DAY, "1",
    )  # fmt: skip
    yield plain
    yield replace(plain, title="A Title of Two Hundred Letters " * 7)
    yield replace(plain, title="W" * 200, part="M" * 200, credit="Q" * 200, players="X" * 200)
    for name in (
        "Симфония № 5",
        "交響曲第五番",
        "교향곡",
        "السيمفونية",
        "סימפוניה",
        "ซิมโฟนี",
        "Συμφωνία",
        "सिम्फनी",
        "Ợ ǖ ñ Ł",
    ):
        yield replace(plain, title=name, part=name, credit=name)
    many = tuple(
        GuideBlock(name, tuple(replace(line, text=f"{line.text} {at}") for at in range(4)))
        for name in BLOCK_HEADINGS.values()
    )
    yield replace(plain, blocks=many)
    crowded = tuple(
        DynamicPlace("sfz" if at % 2 else "ppp", 0.01 * at, 0.01 * at, f"{at}00") for at in range(14)
    )
    yield replace(plain, dynamics=(crowded,) * 3)
    swells = tuple(
        DynamicPlace("crescendo" if at % 2 else "mp", 0.02 * at, 0.02 * at + 0.02, str(at))
        for at in range(14)
    )
    yield replace(plain, dynamics=(swells,))
    yield replace(plain, start=replace(start, road=tuple(f"{at}1–{at + 3}9" for at in range(10))))
    yield replace(plain, start=replace(start, road=("1–18 with the pickup",) * 4, count_off="1 2 3 | 1 2"))


@dataclass
class Measured:
    """What was found on all sheets, counted."""

    sheets: int = 0
    music: int = 0
    too_long: int = 0
    off: int = 0
    over: int = 0
    out: int = 0
    wrong: int = 0
    unembedded: int = 0


def measured(sheets: Sequence[PooledSheet], show: bool = False) -> Measured:
    """The sheets and the awkward ones printed on both papers and read back."""
    found = Measured()
    with tempfile.TemporaryDirectory() as folder:
        printer = Printer(Path(folder))

        def look(view: GuideView, paper: str, level: float | None) -> None:
            path = printer.printed(view, paper)
            found.sheets += 1
            pages = len(PdfReader(path).pages)
            faults = {
                "long": int(pages > 1 and level is not None and level <= ONE_PAGE_TO),
                "off": int(bool(off_the_page(path))), "over": int(bool(pairs := over_each_other(path))),
                "fonts": int(bool(fonts_outside(path))),
            }  # fmt: skip
            found.too_long += faults["long"]
            found.off += faults["off"]
            found.over += faults["over"]
            found.unembedded += faults["fonts"]
            if show and any(faults.values()):
                print(
                    f"{view.title[:40]} | {view.part[:30]} | {paper} | {pages} pages | {faults} {pairs[:8]}",
                    flush=True,
                )

        for sheet in sheets:
            for paper in PAPERS:
                view = printer.view(sheet, paper)
                look(view, paper, sheet.part.level)
                for line in (line for block in view.blocks for line in block.lines if line.svg):
                    found.music += 1
                    is_out = out_of_its_box(line.svg, line.width_mm * 72 / 25.4, Path(folder))
                    found.out += is_out
                    wrong = list(engraved_faults(line.svg, line.width_mm))
                    found.wrong += bool(wrong)
                    if show and wrong:
                        print(
                            f"{view.title[:40]} | {view.part} | {paper} | {line.text} | {wrong[:3]}",
                            flush=True,
                        )
                    if show and is_out:
                        print(
                            f"{view.title[:40]} | {view.part} | {paper} | out of its box: {line.text}",
                            flush=True,
                        )
        for view, paper in product(awkward(), PAPERS):
            look(view, paper, None)
        forty = GuidePacket(
            tuple(replace(next(awkward()), part=f"Part {at}", copies=3) for at in range(40)), ()
        )
        for paper in PAPERS:
            packet = GuidePdf(paper).write_packet(forty, Path(folder) / "packet.pdf")
            found.off += bool(off_the_page(packet))
            found.over += bool(over_each_other(packet))
    return found


def rows() -> Iterator[Row]:
    """Faults of layout on the sheets of the pool and on awkward ones, both papers."""
    found = measured(pooled())
    yield Row("sheets: printed on A4 and Letter", float(found.sheets), unit="")
    yield Row("sheets: of two pages up to level 4", float(found.too_long), 0.0, "", at_most=True)
    yield Row("sheets: with text off the page", float(found.off), 0.0, "", at_most=True)
    yield Row("sheets: with text over text", float(found.over), 0.0, "", at_most=True)
    yield Row("sheets: with a font that is not inside", float(found.unembedded), 0.0, "", at_most=True)
    yield Row("sheets: drawings of music", float(found.music), unit="")
    yield Row("sheets: drawings with ink out of their box", float(found.out), 0.0, "", at_most=True)
    yield Row(
        "sheets: drawings small, cut off or with signs over signs", float(found.wrong), 0.0, "", at_most=True
    )


def main() -> int:
    """Print each fault, then the counts."""
    print(measured(pooled(int(sys.argv[1]) if len(sys.argv) > 1 else 50), show=True))
    return 0


if __name__ == "__main__":
    sys.exit(main())
