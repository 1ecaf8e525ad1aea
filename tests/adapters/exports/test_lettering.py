"""Words on sheets in any script: each letter in a face that has it, joined, in order, read back as it was."""

import unicodedata

import pypdfium2
import pytest
from bidi import get_display
from pypdf import PdfReader

from planner.adapters.exports.guide_pdf import GuidePdf
from planner.adapters.exports.lettering.fonts import SERIF, face_named, font_name
from planner.adapters.exports.lettering.lines import clusters, runs_of, text_width
from planner.adapters.exports.lettering.words import broken
from planner.adapters.exports.plan_pdf import PlanPdf
from planner.services.sheets.views import GuideBlock, GuideLine
from tests.adapters.exports.views import make_guide, make_plan
from tests.checks import some

NAMES = {
    "Chinese": "春江花月夜", "Japanese": "さくら（日本古謡）、ガッツ", "Korean": "아리랑 환상곡",
    "Hebrew": "הבה נגילה", "pointed Hebrew": "שָׁלוֹם עֲלֵיכֶם",
    "Arabic": "زفة العروس", "Persian": "نگاه می‌خواهم",
    "Urdu": "دل دل پاکستان", "Hindi": "नमस्ते क्षत्रिय", "Bengali": "আমার সোনার বাংলা", "Tamil": "தமிழ் பாட்டு",
    "Thai": "ขับไม้บัณเฑาะว์", "Amharic": "እምዬ ኢትዮጵያ", "Khmer": "នគររាជ", "Burmese": "ကမ္ဘာမကျေ",
    "Cherokee": "ᏣᎳᎩ", "Vietnamese": "Việt Nam quê hương", "Greek": "Μέρος τρίτο", "Russian": "Скерцо",
    "Czech in two signs a letter": "Dvor\u030ca\u0301k", "emoji": "🎺🎵👩‍🎤❤️", "Han of Korea": "阿里郎",
}  # fmt: skip
LEFTWARD = ("Hebrew", "pointed Hebrew", "Arabic", "Persian", "Urdu")
FACE = font_name(SERIF)


def read_back(run):
    face = face_named(run.face)
    return [face.reads_as(glyph.sign) for glyph in run.glyphs]


@pytest.mark.parametrize("script", NAMES)
@pytest.mark.parametrize("bold", [False, True])
def test_no_letter_is_a_box_and_every_one_is_read_back(script, bold):
    runs = some(runs_of(NAMES[script], font_name(SERIF, bold=bold)))
    boxes = [
        glyph.sign
        for run in runs
        for glyph in run.glyphs
        if face_named(run.face).face.charToGlyph.get(ord(glyph.sign), 0) == 0 and not glyph.sign.isspace()
    ]
    assert boxes == []
    letters = "".join(text for run in runs for text in read_back(run))
    assert sorted(letters) == sorted(unicodedata.normalize("NFC", NAMES[script]))


@pytest.mark.parametrize("text", [
    *(NAMES[script] for script in LEFTWARD if script != "pointed Hebrew"), "הבה נגילה (חלק 2)!",
    "March שלום No. 3",
    "אב-12, גד (5)", "“Air” ו־“Suite”", "ab אב cd גד 12",
])  # fmt: skip
def test_words_that_run_from_right_to_left_stand_as_another_library_orders_them(text):
    """The order by the other of python-bidi's two programs, which is written in another language."""
    leftward = unicodedata.bidirectional(text[0]) in ("R", "AL")
    letters = "".join(
        text for run in runs_of(text, FACE, leftward=leftward) for text in map("".join, [read_back(run)])
    )
    asked = get_display(text.replace("\u200c", ""), base_dir="R" if leftward else "L")
    mirrored = str.maketrans("()", ")(")
    assert letters.replace("\u200c", "").translate(mirrored).translate(mirrored).replace("لا", "ال") in (
        asked, asked.translate(mirrored), asked.replace("لا", "ال"),
    )  # fmt: skip


@pytest.mark.parametrize("script", NAMES)
def test_a_sheet_holds_the_name_with_every_face_inside_the_file(tmp_path, script):
    name = NAMES[script]
    blocks = (GuideBlock("Tune", (GuideLine(f"The tune of “{name}” comes back."),)),)
    guide = make_guide(title=name, part=name, players=name, ensemble=name, blocks=blocks)
    path = GuidePdf().write([guide], tmp_path / "a.pdf")
    for page in PdfReader(path).pages:
        for font in some(page["/Resources"]["/Font"].values()):
            descriptor = font.get_object()["/FontDescriptor"].get_object()
            assert "/FontFile2" in descriptor, font.get_object()["/BaseFont"]
    document = pypdfium2.PdfDocument(path)
    text = document[0].get_textpage().get_text_range()
    document.close()
    letters = set("".join(unicodedata.normalize("NFC", name).split())) - set("\u200c\u200d\ufe0f")
    assert letters <= set(unicodedata.normalize("NFC", text)) | set(unicodedata.normalize("NFKC", text))


def test_a_letter_of_no_face_is_spelled_by_its_number():
    (run,) = runs_of("\U00012000", FACE)
    assert "".join(read_back(run)) == "[U+12000]"


def test_the_same_sheet_has_the_same_bytes_whatever_was_printed_before(tmp_path):
    guide = make_guide(title=NAMES["Arabic"])
    first = GuidePdf().write([guide], tmp_path / "a.pdf").read_bytes()
    GuidePdf().write([make_guide(title=NAMES["Urdu"] + NAMES["Hindi"])], tmp_path / "b.pdf")
    assert GuidePdf().write([guide], tmp_path / "a.pdf").read_bytes() == first


@pytest.mark.parametrize("script", NAMES)
def test_lines_are_no_wider_than_their_room_and_lose_nothing(script):
    text = f"{NAMES[script]} and {NAMES[script] * 9} x"
    lines = list(broken(text, FACE, 12, 120))
    assert len(lines) > 1
    assert all(text_width(line, FACE, 12) <= 120.1 for line in lines)
    assert "".join("".join(lines).split()) == "".join(text.split())


def test_a_line_begins_with_no_closing_sign_and_breaks_between_han_letters():
    lines = list(broken("春江花月夜（日本古謡）、ガッツポーズ" * 5, FACE, 12, 100))
    assert len(lines) > 5
    assert not [line for line in lines if line[0] in "）、ッー"]
    assert not [line for line in lines if line.endswith("（")]


def test_marks_stay_with_their_letter():
    assert list(clusters("e\u0301👩‍🎤ab")) == ["e\u0301", "👩‍🎤", "a", "b"]


def test_ten_thousand_letters_are_laid_out(tmp_path):
    long = make_plan(term="Ä" * 10_000, ensemble="春" * 10_000)
    pages = PdfReader(PlanPdf().write(long, tmp_path / "plan.pdf")).pages
    assert 1 <= len(pages) < 20
    guide = make_guide(title="ש" * 10_000, part="Ä" * 10_000, ensemble="air " * 2500)
    assert len(PdfReader(GuidePdf().write([guide], tmp_path / "guide.pdf")).pages) == 1
