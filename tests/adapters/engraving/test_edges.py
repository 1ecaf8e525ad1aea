"""What goes over the edges of an excerpt, or would run into each other, is drawn as in a printed part."""

import pytest
from lxml import etree

from tests.adapters.engraving.musicxml import direction, note, one_part, rests, written
from tests.drawing import Draughtsman, clean_root_of
from tests.engraved import Drawing, faults, left_out

BAR = note() * 4
SHARP_TIED = (
    "<note><pitch><step>G</step><alter>1</alter><octave>4</octave></pitch><duration>{length}</duration>"
    '<tie type="{kind}"/><type>{value}</type><notations><tied type="{kind}"/></notations></note>'
)
GROWS, ENDS = direction('<wedge type="crescendo"/>'), direction('<wedge type="stop"/>')
LOUD = '<direction placement="below"><direction-type><dynamics><f/></dynamics></direction-type></direction>'


def slur(kind: str) -> str:
    return f'<notations><slur type="{kind}" number="1"/></notations>'


def tied(kind: str) -> str:
    return SHARP_TIED.format(kind=kind, length=2, value="quarter")


def ending(kind: str, side: str) -> str:
    return f'<barline location="{side}"><ending number="1" type="{kind}"/></barline>'


@pytest.fixture(scope="module")
def engraver():
    return Draughtsman()


@pytest.fixture
def excerpt(engraver, tmp_path):
    """Draws some bars of a part of these bars, with nothing a musician would take exception to."""

    def draw(*bars: str, first: int, last: int, width_mm: float = 165.0) -> Drawing:
        text = one_part(*bars)
        svg = engraver.draw(
            written(tmp_path, text), measure=first, end_measure=last, width_mm=width_mm, staff_mm=6.2,
            lines=1, tinted=(first, last),
        )  # fmt: skip
        assert not list(faults(svg, width_mm, range(first, last + 1)))
        passage = clean_root_of(text).findall("part/measure")[first : last + 1]
        assert not list(left_out(passage, svg))
        return Drawing(svg)

    return draw


def only(drawing: Drawing, name: str):
    (found,) = drawing.groups(name)
    return found.box


def test_a_hairpin_that_goes_on_reaches_the_end_of_the_excerpt(excerpt):
    drawing = excerpt(BAR, note() * 2 + GROWS + note() * 2, BAR, BAR + ENDS, first=1, last=2)
    end = max(ink.box[2] for ink in drawing.ink if ink.within("barLine"))
    assert only(drawing, "hairpin")[2] > end - 2 * 180


def test_a_hairpin_that_began_before_comes_in_at_the_left_open(excerpt):
    drawing = excerpt(GROWS + BAR, BAR, note() * 2 + ENDS + note() * 2, first=1, last=2)
    heads = [ink.box for ink in drawing.ink if ink.within("notehead")]
    assert only(drawing, "hairpin")[0] < heads[0][0]
    assert only(drawing, "hairpin")[2] > heads[4][2]


def test_a_hairpin_over_the_whole_excerpt_is_drawn_from_edge_to_edge(excerpt):
    left, _, right, _ = only(excerpt(GROWS + BAR, BAR, BAR + ENDS, first=1, last=1), "hairpin")
    assert right - left > 4 * 180


def test_ties_and_slurs_over_both_edges_are_drawn(excerpt):
    bars = (
        note() * 2 + note(more=slur("start")) + tied("start"),
        tied("stop") + note(more=slur("stop")) + note(more=slur("start")) + tied("start"),
        tied("stop") + note(more=slur("stop")) + note() * 2,
    )
    drawing = excerpt(*bars, first=1, last=1)
    assert (len(drawing.groups("tie")), len(drawing.groups("slur"))) == (2, 2)
    assert len([ink for ink in drawing.ink if ink.within("notehead")]) == 4, "the bars beside stay unseen"


def test_a_note_tied_from_before_has_its_sign(excerpt):
    drawing = excerpt(note() * 3 + tied("start"), tied("stop") + note() * 3, first=1, last=1)
    (sign,) = [ink for ink in drawing.ink if ink.within("accid")]
    head = next(ink.box for ink in drawing.ink if ink.within("notehead"))
    assert sign.box[3] < head[1], "above, where the tie leaves it room"


def test_an_ending_begun_before_has_its_number_and_one_that_goes_on_stays_open(excerpt):
    bars = (BAR, ending("start", "left") + BAR, BAR, BAR + ending("stop", "right"), BAR)
    drawing = excerpt(*bars, first=2, last=2)
    assert "1" in {ink.text for ink in drawing.ink if ink.within("voltaBracket", "ending")}


def test_a_hairpin_ends_at_a_dynamic_within_it_and_goes_on_behind(excerpt):
    drawing = excerpt(GROWS + note() * 2 + LOUD + note() * 2, BAR + ENDS, first=0, last=1)
    first, second = sorted(group.box for group in drawing.groups("hairpin"))
    (dynamic,) = drawing.groups("dynam")
    assert first[2] <= dynamic.box[0] < dynamic.box[2] <= second[0]


def test_hairpins_that_the_file_lets_overlap_follow_each_other(excerpt):
    falls = direction('<wedge type="diminuendo" number="2"/>')
    drawing = excerpt(
        GROWS + note() + falls + note() + ENDS + note() * 2 + direction('<wedge type="stop" number="2"/>'),
        first=0, last=0,
    )  # fmt: skip
    assert len(drawing.groups("hairpin")) == 2


def test_a_hairpin_that_nothing_ends_ends_with_its_bar(excerpt):
    drawing = excerpt(GROWS + BAR, BAR, BAR, first=0, last=2)
    lines = sorted(ink.box[0] for ink in drawing.ink if ink.within("barLine"))
    assert only(drawing, "hairpin")[2] <= lines[0]


def test_dashes_end_at_the_next_dynamic(excerpt):
    cresc = (
        '<direction placement="below"><direction-type><words>cresc.</words></direction-type><direction-type>'
    )
    bars = (cresc + '<dashes type="start"/></direction-type></direction>' + BAR, LOUD + BAR, BAR)
    drawing = excerpt(*bars, BAR + direction('<dashes type="stop"/>'), first=0, last=2)
    dashes = [ink.box for ink in drawing.ink if ink.within("dir", "dynam") and ink.shape == "rect"]
    assert max(box[2] for box in dashes) < min(
        group.box[0] for group in drawing.groups("dynam") if not group.text
    )


def test_words_longer_than_the_line_stand_on_several(excerpt):
    words = "With ever increasing ecstasy and fire, yet never hurried, to the end of the verse"
    drawing = excerpt(
        note() * 3 + direction(f"<words>{words}</words>") + note(), first=0, last=0, width_mm=90.0
    )
    lines = [ink.text for ink in drawing.ink if ink.within("dir")]
    assert " ".join(lines) == words
    assert len(lines) > 1


def test_an_editors_note_is_no_direction(excerpt):
    remark = "The manuscript ends at this point; another arrangement gives some idea of how it finishes. " * 2
    drawing = excerpt(direction(f"<words>{remark}</words>") + BAR, first=0, last=0, width_mm=90.0)
    assert not [ink for ink in drawing.ink if ink.within("dir")]


def test_text_has_one_size_and_the_staff_the_usual_height(excerpt):
    small = direction('<words font-size="5" font-family="Arial">dolce</words>') + direction(
        "<words>cantabile</words>"
    )
    drawing = excerpt(small + BAR, first=0, last=0)
    first, second = (ink.box for ink in drawing.ink if ink.within("dir"))
    assert first[3] - first[1] == pytest.approx(second[3] - second[1], abs=90)


def test_words_of_a_tempo_are_printed_once(excerpt):
    lento = direction("<words>Lento</words>", '<sound tempo="50"/>') + direction("<words>Lento</words>")
    drawing = excerpt(lento + BAR, first=0, last=0)
    assert [ink.text for ink in drawing.ink if ink.within("tempo", "dir")] == ["Lento"]


def test_the_rest_of_a_pickup_has_its_own_value_and_clears_the_bar_line(excerpt):
    pickup = '<note><rest measure="yes"/><duration>2</duration></note>'
    drawing = excerpt(pickup, rests(), BAR, first=0, last=2)
    assert drawing.groups("rest")
    assert len([ink for ink in drawing.ink if ink.within("mRest")]) == 1


def test_rests_over_a_letter_are_parted_and_words_before_them_stay_whole(excerpt):
    letter = direction("<rehearsal>B</rehearsal>")
    slow = direction('<words font-weight="bold">Slower, and with much freedom</words>', '<sound tempo="50"/>')
    drawing = excerpt(BAR, slow + rests(), rests(), letter + rests(), rests(), BAR, first=0, last=5)
    assert [ink.text for ink in drawing.ink if ink.within("multiRestNum", "reh")].count("B") == 1
    assert len(drawing.groups("multiRest")) == 2


@pytest.mark.parametrize(
    ("words", "room"),
    [("Allegro (", 0.0), ("3 + 2", 180.0)],
)
def test_a_note_in_words_keeps_its_distance(excerpt, words, room):
    music = (
        f"<direction><direction-type><words>{words}</words></direction-type><direction-type><metronome>"
        "<beat-unit>quarter</beat-unit><per-minute>90</per-minute></metronome></direction-type>"
        '<sound tempo="90"/>'
        "</direction>"
    )
    drawing = excerpt(music + BAR, first=0, last=0)
    before, sign = [ink.box for ink in drawing.ink if ink.within("tempo")][:2]
    assert room - 60 <= sign[0] - before[2] <= room + 160


def test_the_same_excerpt_is_the_same_bytes(engraver, tmp_path):
    path = written(tmp_path, one_part(GROWS + note() * 3 + tied("start"), tied("stop") + note() * 3 + ENDS))
    first, second = (engraver.draw(path, measure=1, end_measure=1, width_mm=90.0, lines=1) for _ in range(2))
    assert first == second


def test_faults_are_found_in_a_drawing_that_has_them():
    words = '<g class="measure" id="m0"><g class="dir" id="a"><text x="100" y="300" font-size="0px">'
    words += '<tspan font-size="405px">dolce</tspan></text></g>'
    hairpin = (
        '<g class="hairpin" id="b"><polyline points="900,300 300,250 900,200" stroke-width="18"/></g></g>'
    )
    tint = '<rect x="0" y="0" width="500" height="500" style="stroke:none"/>'
    svg = (
        '<svg xmlns="http://www.w3.org/2000/svg"><svg class="definition-scale" viewBox="0 0 800 400">'
        f'<g class="page-margin" transform="translate(0, 0)">{words}{hairpin}{tint}</g></svg></svg>'
    )
    found = {each.partition(":")[0] for each in faults(svg, 90.0, range(2))}
    assert found == {"bar missing", "off the drawing", "painted over", "words over a hairpin"}
    note_tied = etree.fromstring(f"<measure>{tied('start')}</measure>")
    assert list(left_out([note_tied], svg)) == ["ties left out: 1"]
