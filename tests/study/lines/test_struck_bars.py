"""What a percussionist counts: equal bars, rolls, and the way from one instrument to the next."""

from dataclasses import replace

import pytest

from planner.core.fact import FactKind
from planner.core.pitch import Pitch
from planner.core.score import RoadmapMark
from planner.study.lines.struck_bars import struck_bar_facts
from tests.builders import make_part, make_score


def percussion(music, names=None, instrument="snare-drum", ornament=""):
    """A part of unpitched strokes; ``names`` by bar."""
    part = make_part(music, instrument=instrument, name="Percussion")
    notes = tuple(
        note
        if note.is_rest
        else replace(
            note,
            pitch=None,
            unpitched=note.pitch or Pitch.parse("C5"),
            percussion=names[note.measure] if names else "Snare Drum",
            ornaments=(ornament,) if ornament and note.measure == 0 else (),
        )
        for note in part.notes
    )
    return replace(part, notes=notes)


def found(part, kind, order=None):
    score = make_score(part)
    bars = len(score.measures)
    order = tuple(range(bars)) if order is None else order
    return [fact for fact in struck_bar_facts(score, order, (60.0,) * bars) if fact.kind is kind]


BEAT = "C5 r C5 C5"


def test_equal_bars_are_counted_the_longest_run_first():
    music = " | ".join(["C5*4", *[BEAT] * 4, "r*4", *["C5*2 C5*2"] * 6, "C5*4"])
    [fact] = found(percussion(music), FactKind.SAME_BARS)
    assert fact.places == ((6, 11), (1, 4))


@pytest.mark.parametrize(
    "bars",
    [[BEAT] * 3, ["r*4"] * 8, [BEAT, "C5*4"] * 4, ["C5 r C5 C5", "E5 r E5 E5"] * 3],
    ids=["three", "rests", "in turn", "lines in turn"],
)
def test_no_run_where_bars_are_few_empty_or_unlike(bars):
    assert found(percussion(" | ".join(bars)), FactKind.SAME_BARS) == []


def test_pitched_parts_are_not_counted():
    assert (
        found(make_part(" | ".join([BEAT] * 8), name="Bells", instrument="glockenspiel"), FactKind.SAME_BARS)
        == []
    )


@pytest.mark.parametrize(
    ("ornament", "bars"),
    [("tremolo-4", [(0, 0)]), ("tremolo-3", []), ("trill-mark", [(0, 0)]), ("tremolo-1", [])],
)
def test_a_roll_has_three_strokes_or_a_trill(ornament, bars):
    facts = found(percussion("C5*4 | C5*4", ornament=ornament), FactKind.ROLLS)
    assert [place for fact in facts for place in fact.places] == bars


def test_the_way_from_one_instrument_to_the_next():
    part = percussion("C5*4 | r*4 | C5*4 | C5*4", ["Snare Drum", "", "Triangle", "Triangle"])
    [fact] = found(part, FactKind.SWITCHES)
    assert (fact.terms, fact.places) == (("Snare Drum", "Triangle"), ((2, 2),))
    assert fact.each("seconds") == (4,)


@pytest.mark.parametrize(
    ("music", "names", "instrument"),
    [
        ("C5*4 | C5*4", ["Snare Drum", "Triangle"], "snare-drum"),
        ("C5*4 | r*4 | C5*4", ["Snare Drum", "", ""], "snare-drum"),
        ("C5*4 | r*4 | C5*4", ["Snare Drum", "", "Triangle"], "drum-set"),
        ("C5*4 | " + "r*4 | " * 3 + "C5*4", ["Snare Drum", "", "", "", "Triangle"], "snare-drum"),
    ],
    ids=["no time: in reach", "no name", "a set", "time enough"],
)
def test_no_way_where_all_is_in_reach_or_unnamed_or_time_enough(music, names, instrument):
    assert found(percussion(music, names, instrument), FactKind.SWITCHES) == []


def test_three_strokes_are_a_roll_where_nobody_could_count_them():
    score = make_score(percussion("C5*4 | C5*4", ornament="tremolo-3"))
    quick = [fact for fact in struck_bar_facts(score, (0, 1), (96.0, 96.0)) if fact.kind is FactKind.ROLLS]
    assert [fact.places for fact in quick] == [((0, 0),)]


def test_a_row_of_bars_ends_where_the_road_leaves_it():
    part = percussion(" | ".join([BEAT] * 9))
    score = replace(make_score(part), marks=(RoadmapMark("repeat-end", 4),))
    facts = struck_bar_facts(score, tuple(range(9)), (60.0,) * 9)
    assert [fact.places for fact in facts if fact.kind is FactKind.SAME_BARS] == [((0, 4), (5, 8))]


def test_a_trill_on_bells_is_no_roll():
    bells = make_part("C5*4", name="Bells", instrument="glockenspiel")
    trilled = replace(bells, notes=tuple(replace(note, ornaments=("trill-mark",)) for note in bells.notes))
    assert found(trilled, FactKind.ROLLS) == []
    assert found(replace(trilled, instrument="timpani"), FactKind.ROLLS)


def test_bars_with_other_accents_are_other_bars():
    part = percussion(" | ".join([BEAT] * 5))
    accented = tuple(
        replace(note, articulations=("accent",)) if note.measure == 2 else note for note in part.notes
    )
    assert found(part, FactKind.SAME_BARS)
    assert found(replace(part, notes=accented), FactKind.SAME_BARS) == []
