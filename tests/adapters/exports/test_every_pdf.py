"""Every kind of PDF that the program writes: language, title, bookmarks, text, fonts, greys, bytes."""

import re
from itertools import pairwise
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont
from pypdf import PdfReader
from pypdf.generic import ContentStream

from planner.adapters.exports.director_pdf import DirectorPdf
from planner.adapters.exports.form_pdf import FormPdf
from planner.adapters.exports.guide_pdf import GuidePdf
from planner.adapters.exports.lettering import fonts
from planner.adapters.exports.plan_pdf import PlanPdf
from planner.adapters.exports.report_pdf import ReportPdf
from planner.adapters.exports.tally_pdf import TallyPdf
from planner.services.sheets.views import FormLine, GuidePacket
from tests.adapters.exports.test_director_pdf import make_sheet as make_director_sheet
from tests.adapters.exports.test_form_pdf import sheet_of
from tests.adapters.exports.test_guide_pdf import BLANKS
from tests.adapters.exports.test_report_pdf import views  # noqa: F401 (a fixture)
from tests.adapters.exports.test_tally_pdf import make_sheet as make_tally_sheet
from tests.adapters.exports.views import make_guide, make_plan
from tests.checks import some

TYPEFACES = Path(fonts.__file__).parent / "typefaces"
GUIDE, DIRECTOR, PLAN = make_guide(), make_director_sheet(), make_plan(36)
FORM, TALLY = sheet_of((FormLine("Tone", "0 to 5", "", ""),), whom="Flute", piece="Air"), make_tally_sheet()
LARGE = make_guide(is_large=True)
FILLED = make_guide(blocks=(), dynamics=(), questions=(), blanks=BLANKS)
KINDS = {
    "a player's sheet": (lambda path: GuidePdf().write([GUIDE], path), f"{GUIDE.title}: {GUIDE.part}",
                         [GUIDE.part], [GUIDE.title, GUIDE.blocks[0].lines[0].text, GUIDE.care]),
    "large print": (lambda path: GuidePdf("letter").write([LARGE], path), f"{GUIDE.title}: {GUIDE.part}",
                    [GUIDE.part], [GUIDE.title, GUIDE.blocks[0].lines[0].text]),
    "blanks": (lambda path: GuidePdf().write([FILLED], path), f"{GUIDE.title}: {GUIDE.part}",
               [GUIDE.part, f"{GUIDE.part}: answers"],
               [GUIDE.title, *(each.prompt for each in BLANKS), *(each.answer for each in BLANKS)]),
    "a packet": (lambda path: GuidePdf().write_packet(GuidePacket((GUIDE,), (), DIRECTOR), path),
                 f"{GUIDE.title}: sheets for 1 part",
                 ["Contents", f"Director’s sheet: {DIRECTOR.title}", GUIDE.part],
                 [GUIDE.title, DIRECTOR.roadmap, GUIDE.care]),
    "the director's sheet": (lambda path: DirectorPdf("letter").write(DIRECTOR, path),
                             f"{DIRECTOR.title}: director’s sheet", [f"Director’s sheet: {DIRECTOR.title}"],
                             [DIRECTOR.title, DIRECTOR.roadmap, *(s.ask for s in DIRECTOR.script)]),
    "a term plan": (lambda path: PlanPdf().write(PLAN, path), f"{PLAN.term}: reading plan",
                    [PLAN.term, "September 2026", "October 2026"],
                    [PLAN.term, *(row.title for row in PLAN.rows[:5])]),
    "a scoring form": (lambda path: FormPdf().write([FORM], path), f"{FORM.form}: {FORM.term}",
                       ["Flute, Air"], ["Tone", "Total"]),
    "a tally sheet": (lambda path: TallyPdf().write(TALLY, path), "December 1, 2026: tally sheet",
                      ["December 1, 2026: tally sheet"], [piece.title for piece in TALLY.pieces]),
}  # fmt: skip
"""By name how it is written, its title, its bookmarks or the first of them, and texts in reading order."""


@pytest.fixture(scope="module")
def pdfs(tmp_path_factory, views):  # noqa: F811
    """Each kind of PDF as a reader sees it, its path, and what is wanted of it."""
    folder = tmp_path_factory.mktemp("pdfs")
    kinds = dict(KINDS)
    for kind, view in views.items():
        kinds[f"a report on a {kind}"] = (
            lambda path, view=view: ReportPdf().write(view, path), f"{view.title}: {view.about}",
            [view.title, *(part.heading for part in view.parts)], [view.parts[0].heading],
        )  # fmt: skip
    found = {}
    for number, (name, (write, *wanted)) in enumerate(kinds.items()):
        path = write(folder / f"{number}.pdf")
        found[name] = (PdfReader(path), path, write, wanted)
    return found


def flat(entries):
    for entry in entries:
        yield from flat(entry) if isinstance(entry, list) else [entry.title]


def words_of(reader):
    return " ".join(" ".join(page.extract_text().split()) for page in reader.pages)


def test_language_title_and_bookmarks_are_in_every_file(pdfs):
    for name, (reader, _, _, (title, bookmarks, _)) in some(pdfs.items()):
        root = reader.trailer["/Root"]
        assert root["/Lang"] == "en-US", name
        assert root["/ViewerPreferences"]["/DisplayDocTitle"], name
        assert reader.metadata.title == title, name
        assert list(flat(reader.outline))[: len(bookmarks)] == bookmarks, name


def test_text_is_read_back_whole_and_in_order(pdfs):
    for name, (reader, _, _, (_, _, texts)) in some(pdfs.items()):
        text, at = words_of(reader), -1
        for wanted in some(texts):
            at = text.find(" ".join(wanted.split()), at + 1)
            assert at >= 0, (name, wanted)


def test_no_font_is_outside_the_file(pdfs):
    for name, (reader, *_) in some(pdfs.items()):
        for page in some(reader.pages):
            for font in some(page["/Resources"]["/Font"].values()):
                font = font.get_object()
                inner = font["/DescendantFonts"][0].get_object() if "/DescendantFonts" in font else font
                descriptor = inner["/FontDescriptor"].get_object()
                assert {"/FontFile", "/FontFile2", "/FontFile3"} & set(descriptor), (name, font["/BaseFont"])
                assert "/ToUnicode" in font, name


RESTRICTED, NO_SUBSETS, BITMAPS_ALONE = 0x0002, 0x0100, 0x0200
"""What a typeface forbids. Source: OpenType 1.9, OS/2 table, fsType."""


def test_the_typefaces_may_be_embedded_and_their_licences_lie_beside_them():
    for path in some(sorted(TYPEFACES.glob("*.ttf"))):
        forbidden = TTFont(path)["OS/2"].fsType & (RESTRICTED | NO_SUBSETS | BITMAPS_ALONE)
        family = re.match(r"DejaVu|Noto|STIX|DroidSansFallback", path.name).group()
        assert not forbidden, path.name
        assert (TYPEFACES / f"LICENSE-{family}.txt").stat().st_size > 300, path.name


def grey(red, green, blue):
    """How bright a color is, 0 to 1, as a greyscale printer takes it. Source: Rec. ITU-R BT.601, luma."""
    return 0.299 * red + 0.587 * green + 0.114 * blue


def contrast(red, green, blue):
    """Against white paper. Source: W3C, WCAG 2.1, contrast ratio."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in (red, green, blue)]
    return 1.05 / (0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2] + 0.05)


def inks_of(reader):
    """The colors that letters are printed in, and those of filled surfaces."""
    letters, surfaces = set(), set()
    for page in reader.pages:
        color, kept = (0.0, 0.0, 0.0), []
        for operands, operator in ContentStream(page.get_contents(), reader).operations:
            match operator:
                case b"q":
                    kept.append(color)
                case b"Q":
                    color = kept.pop()
                case b"rg":
                    color = tuple(map(float, operands))
                case b"g":
                    color = (float(operands[0]),) * 3
                case b"k" | b"sc" | b"scn":
                    raise AssertionError(f"a color that is no grey and no RGB: {operator!r}")
                case b"Tj" | b"TJ" | b"'":
                    letters.add(color)
                case b"f" | b"f*" | b"B" | b"B*":
                    surfaces.add(color)
    return letters, surfaces


WHITE = (1.0, 1.0, 1.0)
LEAST_STEP = 0.04
"""Of brightness, between two tints that mean different things. House choice: seen on a plain laser print."""


def test_in_grey_letters_are_read_and_tints_told_apart(pdfs):
    for name, (reader, *_) in some(pdfs.items()):
        letters, surfaces = inks_of(reader)
        faint = [color for color in some(letters) if color != WHITE and contrast(*color) < 4.5]
        assert faint == [], name
        assert WHITE not in letters or (0.0, 0.0, 0.0) in surfaces, f"{name}: white on what?"
        shades = sorted({round(grey(*color), 3) for color in (*surfaces, WHITE)})
        assert [pair for pair in pairwise(shades) if pair[1] - pair[0] < LEAST_STEP] == [], name


@pytest.mark.slow
def test_the_same_view_gives_the_same_bytes(pdfs, tmp_path):
    for number, (name, (_, path, write, _)) in enumerate(some(pdfs.items())):
        assert write(tmp_path / f"{number}.pdf").read_bytes() == path.read_bytes(), name
    different = {path.read_bytes() for _, path, _, _ in pdfs.values()}
    assert len(different) == len(pdfs)
