"""What follows from what was entered of a piece on paper, and that nothing else does."""

from dataclasses import replace
from datetime import date

from planner.core.difficulty import Dimension
from planner.core.profile import UNCOUNTED
from planner.services.library.on_paper import blank_on_paper
from planner.study.on_paper import key_fifths, profile_on_paper
from tests.checks import some

BLANK = replace(blank_on_paper(date(2026, 9, 3)), title="Galop")


def test_nothing_entered_says_nothing():
    profile = profile_on_paper(BLANK)
    assert (profile.parts, profile.meters, profile.keys, profile.home_key, profile.level) == (
        (),
        (),
        (),
        "",
        None,
    )
    assert (profile.contributions, profile.facts, profile.measures, profile.playing_seconds) == (
        (),
        (),
        0,
        0.0,
    )
    assert profile.is_on_paper


def test_parts_have_the_instrument_of_their_name_and_no_notes_that_nobody_counted():
    profile = profile_on_paper(replace(BLANK, parts=("Clarinet 2", "Kazoo", "Horn in F, 1st")))
    assert [part.instrument for part in profile.parts] == ["clarinet-bflat", "", "horn-f"]
    for part in some(profile.parts):
        assert (part.notes, part.written_range, part.level, part.spots, part.plays) == (
            UNCOUNTED,
            None,
            None,
            (),
            True,
        )
    named = profile_on_paper(replace(BLANK, parts=("Kazoo",)), {"Kazoo": "flute"})
    assert named.parts[0].instrument == "flute"


def test_keys_and_meters_ask_what_the_page_of_each_part_shows():
    parts = ("Flute", "Clarinet", "Alto Saxophone", "Snare Drum")
    profile = profile_on_paper(
        replace(BLANK, keys=("Eb major",), time_signatures=("4/4", "7/8"), parts=parts)
    )
    signs = {
        part.name: [m.number for c in part.contributions if c.name == Dimension.KEY for m in c.evidence]
        for part in profile.parts
    }
    assert signs == {"Flute": [-3], "Clarinet": [-1], "Alto Saxophone": [0], "Snare Drum": []}
    hardest = {
        c.evidence[0].terms for part in profile.parts for c in part.contributions if c.name == Dimension.METER
    }
    assert hardest == {("7/8",)}


def test_signatures_of_keys():
    assert [key_fifths(key) for key in ("C major", "A minor", "Cb major", "F# major", "D# minor")] == [
        0,
        0,
        -7,
        6,
        6,
    ]
