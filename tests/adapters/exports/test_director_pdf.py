"""The director's printed sheet: what it says, that it fits two pages whatever it holds, and steady bytes."""

from dataclasses import replace

import pypdfium2
import pytest
from pypdf import PdfReader

from planner.adapters.exports.director_pdf import DirectorPdf
from planner.adapters.exports.map_drawing import map_lines
from planner.services.sheets.director.views import (
    AnswerLine,
    CueLine,
    DirectorSheet,
    MapBlock,
    MapMark,
    MapSwell,
    PlaceLine,
    ScoreMap,
    ScriptStep,
    SectionLine,
    TuneRow,
)
from tests.adapters.exports.test_plan_exports import letters_of, overlapping
from tests.adapters.exports.views import DAY
from tests.checks import some

SIZES = {"a4": (595.28, 841.89), "letter": (612.0, 792.0)}


def make_map(measures=48, **changes):
    """A map with something in every row."""
    shown = ScoreMap(
        measures=measures,
        numbers=tuple(str(at + 1) for at in range(measures)),
        sections=(MapBlock(0, 15, "Introduction", "Intro"), MapBlock(16, measures - 1, "D (A again)", "D")),
        keys=(MapBlock(0, 19, "D minor", "D min."), MapBlock(20, measures - 1, "F major", "F maj.")),
        key_row="Concert key",
        tempos=(MapMark(0, "Driving ♩ = 126"), MapMark(12, "poco rit."), MapMark(20, "a tempo")),
        fermatas=(measures - 1,),
        dynamics=(MapMark(0, "mf"), MapMark(16, "p–mp"), MapMark(30, "f")),
        swells=(MapSwell(26, 29, True), MapSwell(40, 41, False)),
        roadmap=(MapMark(4, "‖:"), MapMark(11, ":‖", is_after=True)),
        tune=(TuneRow("Flute", ((0, 11),)), TuneRow("Clarinet 1", ((12, measures - 1),))),
        places=((4, 4), (20, 23)),
    )
    return replace(shown, **changes)


def make_section(number=0, **changes):
    line = SectionLine(
        f"Clarinet {number} (4)", "", "3.3, 2.4", "63", "35–84", "out of reach",
        f"Bar {number + 1}: leap of an octave up from D4 to D5.", f"Bar {number + 1}: wide leap.",
    )  # fmt: skip
    return replace(line, **changes)


def make_sheet(**changes):
    """The sheet of a small band piece."""
    sheet = DirectorSheet(
        title="New Britain",
        credit="Trad., arr. A. Weir",
        ensemble="Riverside Band",
        on=DAY,
        position=0,
        facts=(("Meter", "3/4"), ("Bars", "48")),
        roadmap="1–12, back to 5, on to the end at 48",
        tempos=("First reading ♩ = 72.", "Marked at the beginning: ♩ = 96."),
        featured="Oboe, with the tune in bars 5–12.",
        map=make_map(),
        script=(
            ScriptStep("0:00", "Meter", "What is the meter?", "3/4: three beats a bar.", begins=True),
            ScriptStep("0:40", "Key", "Name your key signature.", "The home key is D minor."),
            ScriptStep("3:20", "First reading", "♩ = 72, without stopping.", begins=True),
        ),
        sections=tuple(make_section(n) for n in range(3)),
        places=(PlaceLine("1. Bar 5", "Wide leaps in Flute and Oboe", "Hold the note before it."),),
        cues=(CueLine("Bar 13", "Flute after 12 bars of rest"), CueLine("Bar 21", "Tuba alone")),
        help=("Out of reach at sight: Clarinet 1.", "Nobody reads Oboe 2."),
        answers=(AnswerLine("What is your highest note?", "Flute: D6. Oboe: A5."),),
        caution="Rest often.",
        made_on=DAY,
        library_version="0.1.0",
    )
    return replace(sheet, **changes)


def pages_of(path):
    return [" ".join(page.extract_text().split()) for page in PdfReader(path).pages]


def test_the_sheet_says_all_of_its_view(tmp_path):
    sheet = make_sheet()
    text = " ".join(pages_of(DirectorPdf().write(sheet, tmp_path / "a.pdf")))
    wanted = [
        "Director’s sheet", sheet.title, sheet.credit, sheet.ensemble, "Thursday, September 3, 2026",
        sheet.roadmap, *sheet.tempos, sheet.featured, sheet.caution, *sheet.help, "Notes",
        *(each for step in sheet.script for each in (step.at, step.name, step.ask, step.answer)),
        *(each for s in sheet.sections for each in (s.name, s.levels, "63 (35–84)", s.verdict, s.find)),
        *(each for place in sheet.places for each in (place.where, place.why, place.how)),
        *(each for cue in sheet.cues for each in (cue.bar, cue.text)),
        *(each for line in sheet.answers for each in (line.question, line.answer)),
        "Intro", "D (A again)", "D minor", "F major", "Driving ♩ = 126", "poco rit.", "a tempo", "mf", "p–mp",
        "‖:", ":‖", "Flute", "Clarinet 1", "Concert key",
    ]  # fmt: skip
    assert [words for words in wanted if words not in text] == []


def test_title_language_and_bookmark(tmp_path):
    reader = PdfReader(DirectorPdf().write(make_sheet(), tmp_path / "a.pdf"))
    assert reader.metadata.title == "New Britain: director’s sheet"
    assert [entry.title for entry in reader.outline] == ["Director’s sheet: New Britain"]


def test_every_font_is_inside_the_file(tmp_path):
    reader = PdfReader(DirectorPdf().write(make_sheet(), tmp_path / "a.pdf"))
    for page in some(reader.pages):
        for font in some(page["/Resources"]["/Font"].values()):
            descriptor = font.get_object().get("/FontDescriptor")
            assert descriptor is None or "/FontFile2" in descriptor.get_object()


def test_the_same_sheet_gives_the_same_bytes(tmp_path):
    first = DirectorPdf().write(make_sheet(), tmp_path / "a.pdf").read_bytes()
    assert DirectorPdf().write(make_sheet(), tmp_path / "b.pdf").read_bytes() == first


MANY = tuple(make_section(n, part="Mallets (Xylophone)", find="leap and run " * 9) for n in range(40))
LONG_STEPS = tuple(ScriptStep("0:00", "Accidentals", "Where? " * 12, "In bar 7. " * 18) for _ in range(12))
ANSWERS = tuple(
    AnswerLine(f"Bars {n}–{n + 8} repeat earlier bars note for note. Which ones?",
               f"Mallets (Xylophone) {n}: B♭ first in bar 25, F♮ first in bar 25 and C♮ first in bar 27.")
    for n in range(80)
)  # fmt: skip
TUNES = tuple(TuneRow(f"Part {n} with a long name indeed", ((n, 300 + n),)) for n in range(6))


AWKWARD = pytest.mark.parametrize(
    "changes",
    [
        {"title": "W" * 200, "credit": "Q" * 300, "ensemble": "M" * 120},
        {"title": "Suite of Songs and Dances " * 8, "sections": MANY},
        {"map": make_map(312, tune=TUNES, tempos=tuple(MapMark(at, "molto ritardando") for at in range(60)),
                         sections=tuple(MapBlock(at, at, f"Name {at}", "") for at in range(312)))},
        {"map": ScoreMap(1, ("",)), "script": (), "sections": (), "places": (), "cues": (), "help": (),
         "featured": "", "facts": ()},
        {"script": LONG_STEPS, "roadmap": "back to 5, second ending from 13, " * 9},
        {"title": "Скерцо さくら 阿里郎 아리랑 שלום مرحبا", "credit": "Dvořák Ψάλτης",
         "sections": (make_section(name="クラリネット (4)", find="ไทย देवनागरी"),)},
    ],
    ids=["long names", "forty sections", "three hundred bars", "nothing", "long script",
         "scripts"],
)  # fmt: skip


@AWKWARD
def test_awkward_sheets_keep_to_two_letter_pages(tmp_path, changes):
    check_boxes(tmp_path, changes, "letter")


@pytest.mark.slow
@AWKWARD
def test_awkward_sheets_keep_to_two_a4_pages(tmp_path, changes):
    check_boxes(tmp_path, changes, "a4")


def check_boxes(tmp_path, changes, paper):
    """Two pages at most, every letter between the margins, none on another; what is on them."""
    path = DirectorPdf(paper).write(make_sheet(**changes), tmp_path / "a.pdf")
    width, height = SIZES[paper]
    with pypdfium2.PdfDocument(path) as printed:
        assert len(printed) <= 2
        letters = [letters_of(page) for page in printed]
    for boxes in some(letters):
        outside = [
            box for box in boxes if not (box[0] > 46 and box[2] < width - 46 and 20 < box[1] < height - 40)
        ]
        assert outside == []
        assert overlapping(boxes) == []
    return " ".join(pages_of(path))


def test_there_is_room_for_notes_on_the_last_page(tmp_path):
    for sections in (3, 17, 40):
        path = DirectorPdf().write(make_sheet(sections=MANY[:sections]), tmp_path / "a.pdf")
        with pypdfium2.PdfDocument(path) as printed:
            page = printed[len(printed) - 1]
            bottom = min(box[1] for box in letters_of(page) if box[1] > 50)
        assert bottom > 45 + 3 * 21, sections


def test_no_answer_is_left_out_and_no_section_while_small_letters_bring_them_in(tmp_path):
    sheet = make_sheet(sections=MANY[:22], answers=ANSWERS[:24])
    text = " ".join(pages_of(DirectorPdf("letter").write(sheet, tmp_path / "a.pdf")))
    assert [each.question for each in sheet.answers if each.question not in text] == []
    assert [each.name for each in sheet.sections if each.name not in text] == []
    assert "more sections" not in text
    crowded = check_boxes(tmp_path, {"sections": MANY[:8], "answers": ANSWERS}, "letter")
    assert "more questions of single parts: check those in the part itself" in crowded
    assert "more sections: see the match of the piece" in crowded


def test_a_map_breaks_where_a_section_begins_near_its_even_share():
    sections = (MapBlock(0, 54, "A"), MapBlock(55, 99, "B"))
    assert map_lines(ScoreMap(100, (), sections=sections)) == [(0, 54), (55, 99)]
    assert map_lines(ScoreMap(100, ())) == [(0, 49), (50, 99)]
    assert [last for _, last in map_lines(ScoreMap(301, ()))][-1] == 300


def test_a_key_is_written_whole_or_not_at_all(tmp_path):
    keys = tuple(MapBlock(at, at + 1, "B♭ minor", "B♭ min.") for at in range(0, 48, 2))
    text = " ".join(pages_of(DirectorPdf().write(make_sheet(map=make_map(keys=keys)), tmp_path / "a.pdf")))
    assert "B♭" not in text
