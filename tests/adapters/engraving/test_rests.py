"""Empty bars in a row become one multiple rest of the right length, and landmarks part them."""

import pytest
import verovio
from lxml import etree

from planner.adapters.engraving.rests import gather_rests
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

BAR = note() * 4
MEI = "{http://www.music-encoding.org/ns/mei}"
LETTER = direction("<rehearsal>B</rehearsal>")
DOUBLE = '<barline location="right"><bar-style>light-light</bar-style></barline>'
REPEAT = (
    '<barline location="right"><bar-style>light-heavy</bar-style><repeat direction="backward"/></barline>'
)


def as_mei(text: str) -> str:
    toolkit = verovio.toolkit()
    toolkit.setOptions({"xmlIdSeed": 1})
    assert toolkit.loadData(text)
    return toolkit.getMEI()


def gathered(*bars: str) -> list[tuple[str, int]]:
    """Printed number and length of each multiple rest."""
    root = etree.fromstring(gather_rests(as_mei(one_part(*bars))).encode())
    found = []
    for measure in root.iter(f"{MEI}measure"):
        found += [(measure.get("n"), int(rest.get("num"))) for rest in measure.iter(f"{MEI}multiRest")]
    return found


@pytest.mark.parametrize(
    ("bars", "expected"),
    [
        ((BAR, *[rests()] * 3, BAR, rests(), BAR, *[rests()] * 2), [("2", 3), ("8", 2)]),
        ((rests(), BAR, rests()), []),
        ((rests(), rests(), LETTER + rests(), rests()), [("1", 2), ("3", 2)]),
        ((rests(), rests() + DOUBLE, rests(), rests()), [("1", 2), ("3", 2)]),
        ((rests(), rests() + REPEAT, rests(), BAR), [("1", 2)]),
        (
            (rests(), rests(), ATTRIBUTES.replace("<fifths>2", "<fifths>1") + rests(), rests()),
            [("1", 2), ("3", 2)],
        ),
        ((BAR, BAR), []),
    ],
    ids=["runs", "single bars stay", "letter", "double bar", "repeat", "key change", "no rests"],
)
def test_runs_are_gathered_and_landmarks_part_them(bars, expected):
    assert gathered(*bars) == expected


def test_bars_in_all_stay_the_same():
    bars = (BAR, *[rests()] * 5, BAR, rests(), rests() + DOUBLE, *[rests()] * 4)
    mei = as_mei(one_part(*bars))
    after = etree.fromstring(gather_rests(mei).encode())
    long = [int(rest.get("num")) for rest in after.iter(f"{MEI}multiRest")]
    assert len(list(after.iter(f"{MEI}measure"))) + sum(long) - len(long) == len(bars)


def test_a_line_that_counts_bars_keeps_them():
    swell = direction('<wedge type="crescendo"/>')
    bars = (swell + rests(), rests(), rests() + direction('<wedge type="stop"/>'), BAR)
    assert gathered(*bars) == []


def test_music_without_runs_is_left_as_it_is():
    mei = as_mei(one_part(BAR, rests(), BAR))
    assert gather_rests(mei) is mei


def test_the_double_bar_at_the_end_of_a_run_is_kept():
    root = etree.fromstring(gather_rests(as_mei(one_part(rests(), rests() + DOUBLE, BAR))).encode())
    assert root.find(f".//{MEI}measure").get("right") == "dbl"


def test_a_clef_for_the_next_bar_goes_with_the_rest():
    bass = "<attributes><clef><sign>F</sign><line>4</line></clef></attributes>"
    root = etree.fromstring(gather_rests(as_mei(one_part(rests(), rests(), bass + BAR))).encode())
    (layer,) = [layer for layer in root.iter(f"{MEI}layer") if layer.find(f"{MEI}multiRest") is not None]
    assert [element.tag.removeprefix(MEI) for element in layer] == ["multiRest", "clef"]


def test_a_part_shows_them_and_a_full_score_does_not(tmp_path):
    engraver = Draughtsman()
    parts = (part(ATTRIBUTES + rests(), rests(), BAR), part(ATTRIBUTES + BAR, BAR, BAR, id_="P2"))
    path = written(tmp_path, score(*parts))
    alone = engraver.draw(path, part=0, measure=0, end_measure=2, width_mm=180)
    together = engraver.draw(path, part=None, measure=0, end_measure=2, width_mm=180)
    assert alone.count('class="multiRest"') == 1
    assert together.count('class="multiRest"') == 0
    assert together.count('class="mRest"') == 2
