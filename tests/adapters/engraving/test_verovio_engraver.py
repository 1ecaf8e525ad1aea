"""Engraved passages: the right heads, the right numbers, the same bytes; refusals by name."""

import re

import pytest
from lxml import etree

from planner.adapters.scores.reader import read_score
from planner.errors import ScoreReadError
from tests.adapters.engraving.musicxml import (
    ATTRIBUTES,
    direction,
    note,
    one_part,
    part,
    rests,
    score,
    written,
)
from tests.drawing import Draughtsman
from tests.reference import reference_data, sampled

BAR = note() * 4
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def engraver():
    return Draughtsman()


def draw(engraver, path, **changes):
    return engraver.draw(path, **changes)


def heads(svg: str) -> int:
    return len(re.findall(r'class="notehead"', svg))


def drawn_text(svg: str) -> list[str]:
    root = etree.fromstring(svg.encode())
    return [t for text in root.iter(f"{SVG}text") if (t := "".join(text.itertext()).strip())]


def test_every_head_of_the_passage_is_drawn_and_no_other(engraver, tmp_path):
    path = written(tmp_path, one_part(BAR, note() * 3, note() * 2, note()))
    assert heads(draw(engraver, path, measure=1, end_measure=2)) == 5


def test_the_printed_number_of_the_first_bar_is_shown(engraver, tmp_path):
    path = written(tmp_path, one_part(*[BAR] * 4, number=41))
    assert "43" in drawn_text(draw(engraver, path, measure=2, end_measure=3))


def test_the_drawing_is_the_same_every_time(engraver, tmp_path):
    path = written(tmp_path, one_part(*[BAR] * 8))
    first = draw(engraver, path)
    draw(engraver, path, measure=2, end_measure=5)
    assert draw(engraver, path) == first == draw(Draughtsman(), path)


MARK = direction("<metronome><beat-unit>quarter</beat-unit><per-minute>96</per-minute></metronome>")
LENTO = MARK.replace(
    "<direction-type>", "<direction-type><words>Lento</words></direction-type><direction-type>"
)


def test_a_metronome_mark_needs_no_music_font(engraver, tmp_path):
    svg = draw(engraver, written(tmp_path, one_part(MARK + BAR)), end_measure=0)
    root = etree.fromstring(svg.encode())
    assert not re.search("[\ue000-\uf8ff]", svg)
    assert root.find(f".//{SVG}defs/{SVG}g[@id='text-ECA5']/{SVG}path") is not None
    (sign,) = [use for use in root.iter(f"{SVG}use") if use.get("href") == "#text-ECA5"]
    assert sign.getparent().get("class") == "tempo"
    assert any("96" in text for text in drawn_text(svg))


@pytest.mark.parametrize("music", [LENTO + BAR, LENTO + rests()], ids=["notes", "rests"])
def test_words_sign_and_number_stand_one_after_the_other(engraver, tmp_path, music):
    svg = draw(engraver, written(tmp_path, one_part(music, rests(), BAR)), end_measure=2)
    (tempo,) = etree.fromstring(svg.encode()).iterfind(f".//{SVG}g[@class='tempo']")
    words, sign, number = tempo
    places = [
        float(words.get("x")),
        float(re.search(r"\((\d+)", sign.get("transform"))[1]),
        float(number.get("x")),
    ]
    size = 405
    assert places[1] - places[0] > 2.2 * size, "five bold letters and some room"
    assert 0.2 * size < places[2] - places[1] < 1.5 * size
    assert "".join(words.itertext()).startswith("Lento")


def test_the_full_score_has_every_part(engraver, tmp_path):
    parts = (part(ATTRIBUTES + BAR), part(ATTRIBUTES + note() * 3, id_="P2"))
    path = written(tmp_path, score(*parts, names=("Flute", "Horn")))
    svg = draw(engraver, path, part=None, end_measure=0)
    assert heads(svg) == 7
    assert {"Flute", "Horn"} <= set(drawn_text(svg))


def test_a_single_part_does_not_waste_room_on_its_name(engraver, tmp_path):
    assert "Clarinet" not in drawn_text(draw(engraver, written(tmp_path, one_part(BAR)), end_measure=0))


def test_a_passage_is_cut_to_the_lines_asked_for(engraver, tmp_path):
    path = written(tmp_path, one_part(*[BAR] * 40))
    svg, last = engraver.engrave(
        engraver.clean(path), part=0, measure=4, end_measure=39, lines=2, width_mm=120.0
    )
    assert svg.count('class="system"') == 2
    assert heads(svg) == 4 * (last - 4 + 1)
    assert 4 < last < 39


def test_tinted_bars_have_a_box_behind_them_and_no_others(engraver, tmp_path):
    path = written(tmp_path, one_part(*[BAR] * 6))
    svg, _ = engraver.engrave(
        engraver.clean(path), part=0, measure=1, end_measure=5, lines=2, width_mm=180.0, tinted=(2, 3)
    )
    (page,) = etree.fromstring(svg.encode()).iterfind(f".//{SVG}g[@class='page-margin']")
    boxes = {box.get("id"): box for box in page.iterfind(f"{SVG}rect")}
    assert list(boxes) == ["tint-2", "tint-3"]
    assert list(page)[:2] == list(boxes.values()), "beneath all music, also that of the bars before"
    left, right = (float(box.get("x")) for box in boxes.values())
    assert left + float(boxes["tint-2"].get("width")) == pytest.approx(right, abs=40)
    assert float(boxes["tint-2"].get("height")) == pytest.approx(720 + 2 * 180)


def test_a_short_passage_keeps_its_end(engraver, tmp_path):
    path = written(tmp_path, one_part(*[BAR] * 3))
    svg, last = engraver.engrave(
        engraver.clean(path), part=0, measure=0, end_measure=9, lines=2, width_mm=180.0
    )
    assert (last, heads(svg)) == (2, 12)


def test_the_first_bar_with_a_note_is_found(engraver, tmp_path):
    cue = note(more="").replace("<note>", "<note><cue/>")
    path = written(tmp_path, one_part(rests(), cue * 4, rests(), BAR))
    assert engraver.first_played(engraver.clean(path), part=0) == 3
    silent = written(tmp_path, one_part(rests(), rests()), "silent.musicxml")
    assert engraver.first_played(engraver.clean(silent), part=0) is None


def test_the_notes_with_which_a_part_begins_are_those_of_all_its_voices(engraver, tmp_path):
    sharp = note("G").replace("</step>", "</step><alter>1</alter>")
    below = "<backup><duration>8</duration></backup>" + note("E", more="<voice>2</voice>") * 4
    first, later = (note("A").replace("<type>", f'<tie type="{each}"/><type>') for each in ("start", "stop"))
    path = written(tmp_path, one_part(rests(), sharp * 3 + first + below, later + note("B", 3) * 3))
    clean = engraver.clean(path)
    assert engraver.first_notes(clean, part=0, measure=0) == ("G#4", "E4")
    assert engraver.first_notes(clean, part=0, measure=2) == ("B3",)
    assert engraver.first_notes(clean, part=0, measure=3) == ()
    with pytest.raises(ScoreReadError):
        engraver.first_notes(clean, part=1, measure=0)


def test_a_one_bar_piece_is_drawn(engraver, tmp_path):
    assert heads(draw(engraver, written(tmp_path, one_part(BAR)), end_measure=7)) == 4


def test_unpitched_parts_are_drawn(engraver, tmp_path):
    drum = (
        "<note><unpitched><display-step>E</display-step><display-octave>4</display-octave></unpitched>"
        "<duration>2</duration><type>quarter</type></note>"
    )
    clef = ATTRIBUTES.replace("<sign>G</sign><line>2</line>", "<sign>percussion</sign>")
    assert heads(draw(engraver, written(tmp_path, score(part(clef + drum * 4))), end_measure=0)) == 4


def test_a_grand_staff_is_drawn_with_both_staves(engraver, tmp_path):
    grand = ATTRIBUTES.replace(
        "<clef>", "<staves>2</staves><clef number='2'><sign>F</sign><line>4</line></clef><clef number='1'>"
    )
    bar = note(more="<staff>1</staff>") * 4 + "<backup><duration>8</duration></backup>"
    bar += note("C", 3, "<staff>2</staff>").replace("</duration>", "</duration><voice>2</voice>") * 4
    svg = draw(engraver, written(tmp_path, score(part(grand + bar))), end_measure=0)
    assert heads(svg) == 8
    assert svg.count('class="staff"') == 2


@pytest.mark.parametrize("hidden", [0, 1, 2, 3])
def test_a_hidden_note_under_a_beam_is_not_drawn_and_the_beam_goes_on(engraver, tmp_path, hidden):
    states = ["begin", "continue", "continue", "end"]
    eighths = [
        note(more=f'<beam number="1">{state}</beam>').replace("quarter", "eighth").replace(">2<", ">1<")
        for state in states
    ]
    eighths[hidden] = eighths[hidden].replace("<note>", '<note print-object="no">')
    svg = draw(engraver, written(tmp_path, one_part("".join(eighths) + note() * 2)), end_measure=0)
    assert heads(svg) == 5
    assert svg.count('class="beam"') == 1
    assert svg.count('class="flag"') == 0


def test_a_score_ordered_bar_by_bar_is_drawn(engraver, tmp_path):
    text = (
        '<score-timewise version="4.0"><part-list><score-part id="P1"><part-name>A</part-name></score-part>'
        f'</part-list><measure number="1"><part id="P1">{ATTRIBUTES}{BAR}</part></measure>'
        f'<measure number="2"><part id="P1">{note()}</part></measure></score-timewise>'
    )
    assert heads(draw(engraver, written(tmp_path, text))) == 5


def test_a_file_with_a_wrong_encoding_declaration_is_drawn(engraver, tmp_path):
    text = one_part(direction("<words>très doux</words>") + BAR)
    path = tmp_path / "latin.xml"
    path.write_bytes(text.encode("latin-1"))
    assert "très doux" in drawn_text(draw(engraver, path, end_measure=0))


def test_words_of_the_file_cannot_become_a_script(engraver, tmp_path):
    """The drawing is served to a browser; words in it stay words."""
    evil = "&lt;script&gt;alert(1)&lt;/script&gt;"
    words = direction(f"<words>{evil}</words>") + direction(f"<rehearsal>{evil}</rehearsal>") + LENTO
    lyric = note(more=f"<lyric><syllabic>single</syllabic><text>{evil}</text></lyric>")
    svg = draw(engraver, written(tmp_path, one_part(words + lyric * 4)), end_measure=0)
    root = etree.fromstring(svg.encode())
    tags = {etree.QName(element).localname for element in root.iter("*")}
    shapes = {"path", "use", "rect", "ellipse", "polygon", "polyline"}
    assert tags <= shapes | {"svg", "desc", "defs", "g", "style", "text", "tspan"}
    assert not [name for element in root.iter("*") for name in element.attrib if name.startswith("on")]
    assert any("<script>" in text for text in drawn_text(svg))


def test_a_changed_file_is_read_again(engraver, tmp_path):
    path = written(tmp_path, one_part(BAR))
    assert heads(draw(engraver, path, end_measure=0)) == 4
    written(tmp_path, one_part(note(), BAR))
    assert heads(draw(engraver, path)) == 5


@pytest.mark.parametrize("content", [None, b"", b"PK\x03\x04 and then nothing", b"<html/>"])
def test_a_clean_file_that_is_gone_or_damaged_is_refused(engraver, tmp_path, content):
    path = tmp_path / "piece.mxl"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(ScoreReadError, match=r"piece\.mxl"):
        engraver.engrave(path, part=0, measure=0, end_measure=3, width_mm=180.0)


@pytest.mark.parametrize("wrong", [{"part": 1}, {"part": -1}, {"measure": -1}, {"measure": 1}])
def test_a_part_or_passage_that_is_not_there_is_refused(engraver, tmp_path, wrong):
    path = written(tmp_path, one_part(BAR))
    with pytest.raises(ScoreReadError):
        draw(engraver, path, **wrong)


def struck_heads(score, part: int, first: int, last: int) -> int:
    """Heads that the page of a part shows from one measure to another, by the study's own reading.

    A note whose head the file asks to be left out (a unison that shares one, the end of a tied grace note)
    sounds, and has none.
    """
    inside = [note for note in score.parts[part].notes if first <= note.measure <= last]
    return sum(not note.is_rest and note.notehead != "none" for note in inside)


@pytest.mark.parametrize("name", ["Beethoven_Op.21_3", "Brahms_Op.45_1"])
def test_passages_of_real_orchestra_parts_have_every_head_the_study_counts(engraver, name):
    """All parts, a passage inside the piece: heads drawn against heads of the ``Score``."""
    path = reference_data() / "ensembles" / "orchestra" / f"{name}.mxl"
    score = read_score(path)
    for at in range(len(score.parts)):
        drawn = draw(engraver, path, part=at, measure=40, end_measure=47)
        assert heads(drawn) == struck_heads(score, at, 40, 47), score.parts[at].name


def reference_scores():
    suffixes = (".xml", ".mxl", ".musicxml")
    return sorted(path for path in reference_data().rglob("*") if path.suffix in suffixes)


@pytest.mark.slow
def test_passages_of_reference_scores_have_every_head_the_study_counts(engraver):
    """Beginning, middle and end of each part of scores that can be read; a lost head fails."""
    wrong, drawn, paths = [], 0, sampled(reference_scores(), 40)
    for path in paths:
        try:
            score = read_score(path)
        except ScoreReadError:
            continue
        count = len(score.measures)
        for at in range(len(score.parts)):
            for first in sorted({0, count // 2, max(0, count - 3)}):
                wanted = struck_heads(score, at, first, first + 3)
                found = heads(draw(engraver, path, part=at, measure=first, end_measure=first + 3))
                drawn += 1
                if found != wanted:
                    wrong.append((path.name, at, first, wanted, found))
    assert drawn > 5 * len(paths)
    assert wrong == []
