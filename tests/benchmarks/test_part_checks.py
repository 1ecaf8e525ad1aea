"""Checks of parts on scores by others: how often they speak, and whether what they advise holds."""

from dataclasses import replace

import numpy as np
import pytest

from planner.matching.part_check import CheckKind, Fix
from planner.matching.playability import check_part
from planner.study.basics import basic_facts
from planner.study.difficulty.evidence import gather
from planner.study.lines.timpani import DRUM_RANGES, Stroke, retunings
from planner.study.notes.columns import columns_of
from tests.benchmarks.part_checks import checked, count, reference_scores, sample_scores
from tests.checks import some

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def scores():
    return list(reference_scores(3))


@pytest.fixture(scope="module")
def spoken(scores):
    return count(scores)


def test_breath_speaks_of_some_parts_and_of_few_at_a_level_that_plays_them(spoken):
    """Orchestral music is beyond level 2; songs are for trained singers."""
    for family in ("woodwind", "voice"):
        shares = [spoken.share(family, CheckKind.BREATH, level) for level in (1.0, 2.0, 4.0)]
        assert 0 < shares[0] <= 0.6
        assert shares[0] >= shares[1] >= shares[2]
        assert shares[2] <= 0.3


@pytest.mark.parametrize(
    ("kind", "family"),
    [
        (CheckKind.CLARINET_BREAK, "clarinet"), (CheckKind.STRING_CROSSINGS, "strings"),
        (CheckKind.PARTIALS, "brass"), (CheckKind.POSITIONS, "strings"),
    ],
)  # fmt: skip
def test_no_motion_is_told_of_nearly_every_part_nor_of_none(spoken, kind, family):
    """At level 4, which orchestral parts ask for; a beginner would meet nearly all of them."""
    assert spoken.share(family, kind, 1.0) > 0
    assert spoken.share(family, kind, 4.0) <= 0.6


def test_valves_and_slides_speak_of_some_parts_of_the_sample_library():
    """Natural trumpets, and few trombones, play in the orchestral movements: band parts are asked."""
    found = count(sample_scores(at_most=8))
    assert 0 < found.share("brass", CheckKind.VALVE_CHANGES, 1.0) < 0.5
    assert 0 < found.share("trombone", CheckKind.SLIDE_MOVES, 1.0) < 0.5


def test_a_better_section_is_never_told_of_more_bars_without_a_breath(scores):
    compared = 0
    for score in some(scores):
        columns = columns_of(score)
        facts = basic_facts(columns)
        for each in filter(None, gather(columns, facts).parts):
            bars = [
                {
                    bar
                    for check in check_part(each, facts, level)
                    if check.kind == "breath"
                    for bar in check.measures
                }
                for level in (1.0, 2.0, 4.0)
            ]
            assert bars[0] >= bars[1] >= bars[2]
            compared += bool(bars[0])
    assert compared > 3


def test_a_breath_mark_at_every_note_takes_every_bar_away_but_those_of_one_long_note(scores):
    def all_marked(part):
        return replace(part, notes=tuple(replace(n, articulations=("breath-mark",)) for n in part.notes))

    found = 0
    for score in some(scores):
        marked = replace(score, parts=tuple(map(all_marked, score.parts)))
        for (_, _, before), (each, facts, after) in zip(
            checked(score, 1.0), checked(marked, 1.0), strict=True
        ):
            found += any(check.kind == "breath" for check in before)
            line = each.lines[0]
            longest = ((line.end - line.onset) / 10080 * 60 / np.array(facts.quarter_bpm)[line.measure]).max()
            if longest < 3.0:
                assert not any(check.kind == "breath" for check in after)
    assert found > 3


def test_what_is_moved_an_octave_lies_in_comfort_note_for_note(scores):
    """Worked out from the notes of the page, without the lines that the advice was tried on."""
    tried = 0
    for score in some(scores):
        for level in (1.0, 2.5):
            for each, _, checks in checked(score, level):
                part, instrument = each.part.part, each.instrument
                shift = part.transposition.semitones - instrument.transposition.semitones
                low, high = instrument.comfortable(level) or (0.0, 127.0)
                for check in checks:
                    octave = {Fix.OCTAVE_LOWER: -12, Fix.OCTAVE_HIGHER: 12}.get(check.fix)
                    heads = [
                        float(n.pitch.midi) + shift
                        for n in part.notes
                        if n.pitch and n.is_struck and n.measure in check.measures
                    ]
                    if octave and part.staves == 1 and "range" in check.kind:
                        tried += 1
                        assert all(low <= pitch + octave <= high for pitch in some(heads))
    assert tried > 5


def test_nobody_is_named_as_help_who_is_out_of_comfort_there(scores):
    tried = 0
    for score in some(scores):
        parts = {part.name: part for part in score.parts}
        for each, _, checks in checked(score, 1.5):
            for check in checks:
                if check.fix is not Fix.OTHER_SECTION:
                    continue
                helper = parts[check.helper]
                theirs = {
                    (n.measure, n.onset_quarters) for n in helper.notes if n.is_struck and n.pitch is not None
                }
                mine = [each.part.part.notes[at] for at in each.lines[0].note.tolist()]
                bars = {m for m in check.measures if any(place[0] == m for place in theirs)}
                assert bars == set(check.measures)
                assert {(n.measure, n.onset_quarters) for n in mine} & theirs
                tried += 1
    assert tried > 0


def test_another_drum_never_asks_for_more_changes(scores):
    tried = 0
    for score in some(scores):
        for each, _, _ in checked(score, 3.0):
            if each.instrument.id == "timpani":
                tops = each.lines[0].top
                strokes = [
                    Stroke((int(top),), float(at), float(at)) for at, top in enumerate(tops[~np.isnan(tops)])
                ]
                needed = [len(retunings(strokes, DRUM_RANGES[:drums])) for drums in (3, 4)]
                five = len(retunings(strokes, (*DRUM_RANGES, (36, 60))))
                assert five <= needed[1]
                tried += 1
    assert tried > 0
