"""A cut passage stands by itself: what is in force at its start is printed, and nothing dangles."""

import pytest
from lxml import etree

from planner.adapters.engraving import excerpt
from planner.adapters.engraving.excerpt import cut
from tests.adapters.engraving.musicxml import ATTRIBUTES, direction, note, one_part, part, rests, score
from tests.drawing import clean_root_of

BAR = note() * 4
BASS_CLEF = "<attributes><clef><sign>F</sign><line>4</line></clef></attributes>"


def cut_tree(text: str, measure: int, end_measure: int, parts=(0,)):
    root = clean_root_of(text)
    before = etree.tostring(root)
    out = etree.fromstring(cut(root, parts, measure, end_measure))
    assert etree.tostring(root) == before, "the score itself was changed"
    return out


def test_it_keeps_the_bars_asked_for_with_their_printed_numbers():
    out = cut_tree(one_part(*[BAR] * 6, number=10), 2, 4)
    assert [m.get("number") for m in out.iter("measure")] == ["12", "13", "14"]


def test_the_attributes_in_force_open_the_first_bar():
    change = (
        "<attributes><key><cancel>2</cancel><fifths>-3</fifths></key>"
        "<time><beats>3</beats><beat-type>4</beat-type></time></attributes>"
    )
    out = cut_tree(one_part(BAR, BASS_CLEF + BAR, change + note() * 3, note() * 3), 3, 3)
    attributes = out.find("part/measure")[0]
    assert attributes.tag == "attributes"
    assert attributes.findtext("divisions") == "2"
    assert attributes.findtext("key/fifths") == "-3"
    assert attributes.find("key/cancel") is None, "a cancelled key would print naturals again"
    assert attributes.findtext("time/beats") == "3"
    assert attributes.findtext("clef/sign") == "F"
    assert [e.tag for e in attributes] == ["divisions", "key", "time", "clef"], "the order MusicXML wants"


def test_a_clef_that_changes_inside_a_bar_before_the_passage_is_in_force():
    out = cut_tree(one_part(note() * 2 + BASS_CLEF + note() * 2, BAR), 1, 1)
    assert out.findtext("part/measure/attributes/clef/sign") == "F"


def test_a_clef_that_changes_inside_the_first_bar_does_not_open_it():
    out = cut_tree(one_part(BAR, note() * 2 + BASS_CLEF + note() * 2), 1, 1)
    signs = [clef.findtext("sign") for clef in out.iter("clef")]
    assert signs == ["G", "F"]


def test_transposition_and_written_pitches_stay_as_the_player_sees_them():
    transposed = ATTRIBUTES.replace(
        "</attributes>",
        "<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose></attributes>",
    )
    out = cut_tree(score(part(transposed + BAR, note("A") * 4)), 1, 1)
    assert out.findtext("part/measure/attributes/transpose/chromatic") == "-2"
    assert {p.findtext("step") for p in out.iter("pitch")} == {"A"}


def test_clefs_of_two_staves_are_carried_apart():
    grand = (
        "<attributes><divisions>2</divisions><staves>2</staves>"
        "<clef number='1'><sign>G</sign><line>2</line></clef>"
        "<clef number='2'><sign>F</sign><line>4</line></clef></attributes>"
    )
    change = "<attributes><clef number='2'><sign>G</sign><line>2</line></clef></attributes>"
    out = cut_tree(score(part(grand + BAR, change + BAR, BAR)), 2, 2)
    clefs = [(c.get("number"), c.findtext("sign")) for c in out.iter("clef")]
    assert clefs == [("1", "G"), ("2", "G")]


def test_an_octave_line_begun_before_is_opened_again():
    up = direction('<octave-shift type="down" size="8" number="1"/>')
    out = cut_tree(one_part(up + BAR, BAR, BAR), 1, 2)
    shifts = [s.get("type") for s in out.iter("octave-shift")]
    assert shifts == ["down", "stop"]


def test_an_octave_line_that_has_ended_is_not():
    up = direction('<octave-shift type="down" size="8"/>')
    out = cut_tree(one_part(up + BAR + direction('<octave-shift type="stop" size="8"/>'), BAR), 1, 1)
    assert not list(out.iter("octave-shift"))


def test_a_hairpin_that_goes_on_is_closed_and_one_that_began_before_is_dropped():
    bars = (direction('<wedge type="crescendo"/>') + BAR, direction('<wedge type="stop"/>') + BAR, BAR)
    assert [w.get("type") for w in cut_tree(one_part(*bars), 0, 0).iter("wedge")] == ["crescendo", "stop"]
    later = cut_tree(one_part(*bars), 1, 2)
    assert not list(later.iter("wedge"))
    assert not list(later.iter("direction")), "an empty direction would be an invalid file"


def test_slurs_that_lost_an_end_are_dropped_and_whole_ones_stay():
    def slur(kind):
        return f'<notations><slur type="{kind}" number="1"/></notations>'

    bars = (
        note(more=slur("start")) + note(more=slur("stop")) + note() + note(more=slur("start")),
        note(more=slur("stop")) + note() * 3,
    )
    assert [s.get("type") for s in cut_tree(one_part(*bars), 0, 0).iter("slur")] == ["start", "stop"]
    assert not list(cut_tree(one_part(*bars), 1, 1).iter("slur"))


def test_a_printed_multiple_rest_is_taken_off():
    printed = "<attributes><measure-style><multiple-rest>3</multiple-rest></measure-style></attributes>"
    bars = (BAR, printed + rests(), rests(), rests(), BAR)
    assert not list(cut_tree(one_part(*bars), 0, 2).iter("multiple-rest"))


def test_page_layout_and_credits_are_left_behind():
    text = one_part('<print new-page="yes"/>' + BAR).replace(
        "<part-list>", "<credit page='1'><credit-words>A</credit-words></credit><part-list>"
    )
    out = cut_tree(text, 0, 0)
    assert not list(out.iter("credit"))
    assert not list(out.iter("print"))


def test_a_part_is_counted_in_the_order_of_the_part_list():
    first, second = part(ATTRIBUTES + note("A") * 4, id_="P1"), part(ATTRIBUTES + note("B") * 4, id_="P2")
    text = score(first, second, names=("Oboe", "Flute"), listed=(1, 0))
    assert cut_tree(text, 0, 0).findtext(".//step") == "B"


def test_forgetting_what_is_in_force_would_be_noticed(monkeypatch):
    monkeypatch.setattr(excerpt._State, "pass_over", lambda self, measure: None)
    with pytest.raises(AssertionError):
        test_the_attributes_in_force_open_the_first_bar()


def test_a_few_parts_have_the_landmarks_of_the_whole_score_once():
    letter, tempo = (
        direction("<rehearsal>A</rehearsal>"),
        direction("<words>Lento</words>", '<sound tempo="50"/>'),
    )
    top, middle, low = (
        part(ATTRIBUTES + marks + BAR, BAR, id_=f"P{at + 1}")
        for at, marks in enumerate((letter + tempo, "", ""))
    )
    whole = score(top, middle, low, names=("Flute", "Horn", "Tuba"))
    for parts in ((0, 1, 2), (1, 2), (2,)):
        first, *others = cut_tree(whole, 0, 1, parts).findall("part")
        assert [mark.text for mark in first.iter("rehearsal", "words")] == ["A", "Lento"]
        assert not any(other.findall(".//direction") for other in others)


def test_a_tempo_on_every_staff_is_printed_once_and_what_each_part_needs_stays():
    lento = direction("<words>Lento</words>", '<sound tempo="50"/>')
    dolce = direction("<words>dolce</words>")
    parts = [part(ATTRIBUTES + lento + dolce + BAR, lento + BAR, id_=f"P{at + 1}") for at in range(2)]
    first, second = cut_tree(score(*parts, names=("Flute", "Horn")), 0, 1, (0, 1)).findall("part")
    assert [mark.text for mark in first.iter("words")] == ["Lento", "dolce", "Lento"]
    assert [mark.text for mark in second.iter("words")] == ["dolce"]


def test_a_tempo_on_both_staves_of_a_keyboard_is_printed_once():
    lento = [
        direction("<words>Lento</words>", f"<staff>{staff}</staff>" + '<sound tempo="50"/>')
        for staff in (1, 2)
    ]
    grand = ATTRIBUTES.replace(
        "<clef>", "<staves>2</staves><clef number='2'><sign>F</sign><line>4</line></clef><clef number='1'>"
    )
    bar = note(more="<staff>1</staff>") * 4 + "<backup><duration>8</duration></backup>"
    bar += note("C", 3, "<staff>2</staff>").replace("</duration>", "</duration><voice>2</voice>") * 4
    (only,) = cut_tree(score(part(grand + "".join(lento) + bar)), 0, 0).findall("part")
    assert [mark.text for mark in only.iter("words")] == ["Lento"]


def test_a_tempo_twice_at_one_place_is_printed_once_and_at_two_places_twice():
    lento = direction("<words>Lento</words>", '<sound tempo="50"/>')
    (only,) = cut_tree(one_part(lento + lento + note() * 2 + lento + note() * 2), 0, 0).findall("part")
    assert [mark.text for mark in only.iter("words")] == ["Lento", "Lento"]


def test_words_far_from_the_staff_come_beside_it_and_those_of_elsewhere_on_the_page_go():
    marks = [direction(f'<words default-y="{y}" relative-x="9">{y}</words>') for y in (-40, -150, -1647)]
    (only,) = cut_tree(one_part("".join(marks) + BAR), 0, 0).findall("part")
    assert [(mark.text, mark.get("default-y")) for mark in only.iter("words")] == [
        ("-40", "-40"), ("-150", None),
    ]  # fmt: skip
