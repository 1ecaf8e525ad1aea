"""Technique by instrument, against published difficulties and plain cases."""

from dataclasses import replace

import numpy as np
import pytest

from planner.core.pitch import Pitch, Transposition
from planner.study.difficulty.evidence import gather
from planner.study.lines.technique import HARD_VALVE_COST, valve_costs, valves_for, written_for
from planner.study.lines.technique_tables import VALVE_COST
from planner.study.notes.columns import columns_of
from tests.builders import make_part, make_score
from tests.study.difficulty.levels_help import facts_for


def midi(*names):
    return [int(Pitch.parse(name).midi) for name in names]


# Huron, talk at the Ohio State University 2001, page 13: sums of its table over written scales up.
@pytest.mark.parametrize(
    ("scale", "cost"),
    [
        ("C4 D4 E4 F4 G4 A4 B4 C5", 15.8),
        ("D4 E4 F#4 G4 A4 B4 C#5 D5", 17.1),
        ("E4 F#4 G#4 A4 B4 C#5 D#5 E5", 21.9),
    ],
)
def test_valve_costs_of_scales_are_those_of_the_published_table(scale, cost):
    costs = valve_costs("trumpet-bflat", np.array(midi(*scale.split())))
    assert costs.sum() == pytest.approx(cost, abs=0.01)


def test_fingerings_are_the_standard_ones():
    """Source: any fingering chart for the trumpet."""
    expected = {
        "F#3": "123",
        "C4": "0",
        "C#4": "123",
        "D4": "13",
        "Bb4": "1",
        "A4": "12",
        "F#5": "2",
        "C6": "0",
    }
    assert {name: valves_for(midi(name)[0]) for name in expected} == expected


def test_notes_outside_the_chart_have_no_fingering():
    assert valves_for(30) == ""
    assert valves_for(110) == ""


def test_a_hard_valve_change_is_in_the_hardest_quarter_of_the_published_table():
    costs = [cost for row, line in enumerate(VALVE_COST) for at, cost in enumerate(line) if at != row]
    assert sum(cost >= HARD_VALVE_COST for cost in costs) / len(costs) == 0.25


def test_a_horn_that_changes_its_crook_is_read_by_what_sounds():
    """Written C5 sounds F4 in F and E♭4 in E♭: B♭4 for a horn in F. A clarinet changes the instrument."""
    f, e_flat = Transposition(-4, -7), Transposition(-5, -9)
    horn = replace(make_part("C5*4 | C5*4", instrument="horn-f"), transpositions=((0, f), (1, e_flat)))
    b_flat, a = Transposition(-1, -2), Transposition(-2, -3)
    clarinet = replace(
        make_part("C5*4 | C5*4", name="Clarinet", instrument="clarinet-bflat"),
        transpositions=((0, b_flat), (1, a)),
    )
    score = make_score(horn, clarinet)
    parts = gather(columns_of(score), facts_for(score)).parts
    assert [written_for(each, each.lines[0]).tolist() for each in parts] == [
        midi("C5", "Bb4"),
        midi("C5", "C5"),
    ]
