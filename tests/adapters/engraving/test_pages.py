"""Where pages begin: every bar stands on one, rests stay whole, large scores are as easy as small ones."""

import re
from itertools import pairwise

import pytest

from planner.errors import ScoreReadError
from tests.adapters.engraving.musicxml import ATTRIBUTES, note, one_part, part, rests, score, written
from tests.drawing import Draughtsman
from tests.reference import reference_data

BAR = note() * 4


@pytest.fixture(scope="module")
def engraver():
    return Draughtsman()


def starts(engraver, path, part=0, width_mm=190.0, staff_mm=6.0):
    return engraver.page_starts(engraver.clean(path), part=part, width_mm=width_mm, staff_mm=staff_mm)


def lines(engraver, path, first, last, part=0, staff_mm=6.0):
    svg, _ = engraver.engrave(
        engraver.clean(path), part=part, measure=first, end_measure=last, width_mm=190.0, staff_mm=staff_mm
    )
    return svg.split('class="system"')[1:]


def test_every_bar_stands_on_one_page_and_pages_are_equally_full(engraver, tmp_path):
    path = written(tmp_path, one_part(*[BAR] * 200))
    found = starts(engraver, path)
    assert found[0] == 0
    lengths = [b - a for a, b in pairwise((*found, 200))]
    assert len(found) >= 2
    assert max(lengths) - min(lengths[:-1] or lengths) <= 1
    assert lengths[-1] >= 0.5 * max(lengths)


def test_a_page_of_a_part_has_some_lines_and_not_many(engraver, tmp_path):
    path = written(tmp_path, one_part(*[BAR] * 200))
    first, second = starts(engraver, path)[:2]
    assert 4 <= len(lines(engraver, path, first, second - 1)) <= 9


def test_a_short_piece_is_one_page(engraver, tmp_path):
    assert starts(engraver, written(tmp_path, one_part(BAR, BAR))) == (0,)


def test_empty_bars_of_a_part_are_one_rest_and_never_parted(engraver, tmp_path):
    music = ([BAR] * 3 + [rests()] * 30) * 20
    path = written(tmp_path, one_part(*music))
    found = starts(engraver, path)
    assert len(found) > 1
    assert all(at % 33 <= 3 for at in found)


def test_a_score_of_forty_parts_has_pages_of_one_line(engraver, tmp_path):
    many = [part(ATTRIBUTES + BAR, *[BAR] * 4, id_=f"P{at + 1}") for at in range(40)]
    path = written(tmp_path, score(*many, names=tuple(f"Player {at + 1}" for at in range(40))))
    found = starts(engraver, path, part=None, staff_mm=10.0)
    assert len(found) > 1
    drawn = lines(engraver, path, found[0], found[1] - 1, part=None, staff_mm=10.0)
    assert len(drawn) == 1
    assert drawn[0].count('class="staff"') == 40 * (found[1] - found[0])


def test_several_parts_are_drawn_together_in_score_order(engraver, tmp_path):
    parts = [part(ATTRIBUTES + note() * (at + 1), id_=f"P{at + 1}") for at in range(4)]
    path = written(tmp_path, score(*parts, names=("Flute", "Oboe", "Horn", "Tuba")))
    svg = engraver.draw(path, part=(3, 1), end_measure=0)
    names = re.findall(r">(Flute|Oboe|Horn|Tuba)<", svg)
    assert names == ["Oboe", "Tuba"]
    assert svg.count('class="notehead"') == 2 + 4
    with pytest.raises(ScoreReadError):
        engraver.draw(path, part=(1, 9), end_measure=0)
    with pytest.raises(ScoreReadError):
        engraver.draw(path, part=(), end_measure=0)


def test_a_bar_with_more_text_than_a_line_holds_is_not_squeezed(engraver, tmp_path):
    """The drawing is wider in its own units, so that it is smaller on the page and no syllable collides."""
    word = '<lyric number="1"><syllabic>single</syllabic><text>straightforwardness</text></lyric>'
    path = written(tmp_path, one_part(note(more=word) * 4, BAR))
    narrow = {"width_mm": 92.0, "staff_mm": 6.0}
    wide, usual = (
        float(re.search(r'viewBox="0 0 ([\d.]+)', svg)[1])
        for svg in re.findall(
            r"<svg class=\"definition-scale\"[^>]*>",
            "".join(engraver.draw(path, measure=at, end_measure=at, **narrow) for at in (0, 1)),
        )
    )
    assert wide > 1.3 * usual


def ids(svg):
    return [int(found) for found in re.findall(r'<g id="m(\d+)" class="measure"', svg)]


@pytest.mark.parametrize(
    ("name", "first", "last"),
    [
        ("lomse/08-repeat-barlines-three-volta-long.xml", 1, 4),
        ("lomse/58-repeat-dal-segno-al-coda.xml", 1, 4),
        ("partitura/test_unfold_complex.xml", 3, 7),
        ("partitura/test_unfold_dacapo.xml", 0, 2),
    ],
)
def test_the_bars_drawn_are_those_asked_for_across_repeats_and_endings(engraver, name, first, last):
    path = reference_data() / "repeats" / name
    assert ids(engraver.draw(path, measure=first, end_measure=last)) == list(range(first, last + 1))


def test_the_bars_drawn_are_those_asked_for_after_a_pickup(engraver, tmp_path):
    pickup = part(ATTRIBUTES + note(), BAR, BAR, BAR, number=0)
    path = written(tmp_path, score(pickup.replace('number="0"', 'number="0" implicit="yes"')))
    svg = engraver.draw(path, measure=2, end_measure=3)
    assert ids(svg) == [2, 3]
    assert re.search(r'class="mNum[^"]*".*?<tspan[^>]*>2<', svg, re.DOTALL), "its number as printed"


def test_a_bar_within_a_rest_is_tinted_with_the_rest(engraver, tmp_path):
    path = written(tmp_path, one_part(BAR, *[rests()] * 12, BAR, BAR))
    svg, _ = engraver.engrave(
        engraver.clean(path), part=0, measure=0, end_measure=14, width_mm=190.0, tinted=(7, 7)
    )
    tinted = re.findall(r'<rect [^>]*id="tint-(\d+)"', svg)
    assert tinted == ["1"]


def test_how_long_each_bar_is(engraver, tmp_path):
    path = written(tmp_path, one_part(note(), BAR, note() * 3, BAR))
    assert engraver.bar_lengths(engraver.clean(path)) == (1, 4, 3, 4)
