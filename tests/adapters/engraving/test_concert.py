"""Parts of a concert-pitch score are drawn as their players read them."""

from pathlib import Path

import pytest
from lxml import etree

from planner.adapters.engraving.concert import interval_name, player_interval
from planner.adapters.scores.reader import read_score
from tests.drawing import Draughtsman, clean_root

SCORE = Path(__file__).parents[2] / "scores" / "concert_score.musicxml"
MEI = "{http://www.music-encoding.org/ns/mei}"


@pytest.mark.parametrize(
    ("steps", "semitones", "name"),
    [
        (0, 0, ""), (1, 2, "M2"), (5, 9, "M6"), (4, 7, "P5"), (-3, -5, "-P4"), (8, 14, "M9"), (12, 21, "M13"),
        (2, 3, "m3"), (3, 6, "A4"), (4, 6, "d5"), (0, 1, "A1"), (7, 12, "P8"), (6, 9, "d7"),
    ],
)  # fmt: skip
def test_intervals_have_their_usual_names(steps, semitones, name):
    assert interval_name(steps, semitones) == name


def test_only_transposing_parts_of_a_concert_score_are_moved():
    root = clean_root(SCORE)
    assert [player_interval(root, part, 0) for part in root.findall("part")] == ["M6", "", ""]
    root.remove(root.find("defaults"))
    assert [player_interval(root, part, 0) for part in root.findall("part")] == ["", "", ""]


@pytest.mark.parametrize("part", [0, 1, 2])
def test_the_drawn_pitches_are_those_the_study_speaks_of(part):
    engraver = Draughtsman()
    svg = engraver.draw(SCORE, part=part, measure=0, end_measure=0, width_mm=120)
    mei = etree.fromstring(engraver._toolkit.getMEI().encode())
    drawn = [(n.get("pname").upper(), int(n.get("oct"))) for n in mei.iter(f"{MEI}note")]
    notes = read_score(SCORE).parts[part].notes
    assert drawn == [(n.pitch.step, n.pitch.octave) for n in notes]
    signs = sum(svg.count(f'"#{code}-') for code in ("E260", "E262"))
    assert signs == abs(read_score(SCORE).parts[part].keys[0].fifths)
