"""What a percussionist sets up, a singer's first note, and the left hand of a bowed part."""

from dataclasses import replace

import pytest

from planner.core.fact import FactKind
from planner.core.pitch import Pitch
from planner.core.profile import KeySpan
from planner.study.lines.first_notes import first_note_facts
from planner.study.lines.hand_position import position_facts
from planner.study.lines.set_up import set_up_facts
from tests.builders import make_part, make_score


def set_up(part, order=None, bpm=60.0):
    score = make_score(part)
    bars = len(score.measures)
    return list(set_up_facts(score, tuple(range(bars)) if order is None else order, (bpm,) * bars))


def timpani(music):
    return make_part(music, name="Timpani", instrument="timpani")


def test_drums_are_tuned_to_all_that_four_of_them_hold():
    [fact] = set_up(timpani("F2 Bb2 C3 Bb2 | Eb3 C3 F2 r"))
    assert (fact.kind, fact.notes, fact.places) == (FactKind.DRUMS_TUNED, ("F2", "Bb2", "C3", "Eb3"), ())
    assert fact.number("opening") == 4


def test_a_change_of_pitch_is_told_with_its_bar_and_the_seconds_for_it():
    [fact] = set_up(timpani("F2 C3 D3 G3 | r*4 | r*4 | F2 E3 E3 r"))
    assert fact.notes[4:] in (("D3", "E3"), ("G3", "E3"), ("C3", "E3"))
    assert fact.places == ((3, 3),)
    assert fact.each("seconds")[0] in (9, 10, 11), "beats between at 60"


def test_where_bars_are_played_again_a_change_has_its_time():
    music = "F2 C3 D3 G3 | r*4 | r*4 | F2 E3 E3 r"
    [fact] = set_up(timpani(music), (0, 1, 2, 3, 0, 1, 2, 3))
    assert fact.places == ((3, 3), (0, 0), (3, 3))
    assert fact.each("time") == (1, 2, 2)
    there, back, again = fact.notes[5::2]
    assert (there, again) == ("E3", "E3")
    assert back in ("D3", "G3", "C3")
    [fact] = set_up(timpani("F2 C3 D3 G3"), (0, 0))
    assert fact.each("time") == (), "nothing changes: repeats do no harm"
    [fact] = set_up(timpani(music), (0, 0, 1, 2, 3))
    assert fact.each("time") == (), "the bar of the change is played once"


def test_a_note_that_no_drum_has_leaves_the_tuning_open():
    assert set_up(timpani("F2 C3 C5 r")) == []


def percussion(names):
    part = make_part(" | ".join(["C5"] * len(names)), instrument="snare-drum", name="Percussion")
    notes = [
        replace(note, pitch=None, unpitched=Pitch.parse("C5"), percussion=name)
        for note, name in zip((n for n in part.notes if n.pitch), names, strict=True)
    ]
    return replace(part, notes=tuple(notes))


def test_instruments_are_listed_in_the_order_in_which_they_come_in():
    [fact] = set_up(percussion(("Snare Drum", "Triangle", "Snare Drum")))
    assert (fact.kind, fact.terms, fact.places) == (
        FactKind.STRUCK, ("Snare Drum", "Triangle"), ((0, 0), (1, 1)),
    )  # fmt: skip


@pytest.mark.parametrize("names", [("Snare Drum", ""), ("Snare Drum", "38"), ("Snare Drum", "Snare Drum")])
def test_nothing_is_listed_where_a_stroke_has_no_name_or_all_have_one(names):
    assert set_up(percussion(names)) == []


def first_notes(*parts):
    score = make_score(*parts)
    return list(first_note_facts(score, tuple(range(len(score.measures))), (KeySpan(0, "D major"),)))


def singer(music):
    return make_part(music, name="Alto", instrument="alto")


def heard_by(*parts):
    """Who the alto has the note from, where in the sound, how many octaves or how many steps away."""
    [fact] = [fact for fact in first_notes(singer("r*4 | A4*4"), *parts) if fact.part == "Alto"]
    return fact.parts, fact.terms, sum(fact.each("octaves")), sum(fact.each("steps"))


def piano(music):
    return make_part(music, name="Piano", instrument="piano")


def test_a_first_note_has_its_place_in_the_key_and_who_has_it_just_before():
    [fact] = first_notes(singer("r*4 | A4*4"), piano("r*3 A4 | D4*4"))
    assert (fact.places, fact.notes, fact.parts, fact.terms) == (((1, 1),), ("A4",), ("Piano",), ())
    assert (fact.keys, fact.number("degree")) == (("D major",), 5)


@pytest.mark.parametrize(
    ("before", "line", "octaves"),
    [
        ("D4+F#4+A4*4", ("top",), 0), ("A4+D5+F#5*4", ("bass",), 0), ("D4+F#4+A5*4", ("top",), 1),
        ("A3+D4+F#4*4", ("bass",), -1), ("r*3 A3", (), -1),
    ],
)  # fmt: skip
def test_a_note_is_heard_above_or_below_all_others_or_alone(before, line, octaves):
    assert heard_by(piano(f"{before} | D4*4")) == (("Piano",), line, octaves, 0)


@pytest.mark.parametrize(
    "before",
    ["A4 r*3", "A4*1/4 r*3 r*3/4", "r*3 D4*1/2 G4*1/4 A4*1/4", "B4*2 r*2"],
    ids=["long before", "at the beginning", "in a run", "another, long before"],
)
def test_nobody_is_named_from_whom_a_note_is_not_plainly_heard(before):
    assert heard_by(piano(f"{before} | D4*4")) == ((), (), 0, 0)


@pytest.mark.parametrize(
    ("before", "steps"),
    [("D4+A4+D5*4", -3), ("A4*3 D4", 4), ("A2+D4+F#4*4", 2), ("r*2 B3*2", 0)],
    ids=["in the middle", "then another", "two octaves away", "a seventh away"],
)
def test_a_note_near_the_top_one_struck_last_is_found_from_it(before, steps):
    assert heard_by(piano(f"{before} | D4*4")) == (("Piano",) if steps else (), (), 0, steps)


@pytest.mark.parametrize("held", ["B4*4", "A4*4", "C5*4"])
def test_a_top_note_held_under_others_struck_after_it_is_not_named(held):
    """The ear may follow the last stroke instead: nobody can say which of the two is the top."""
    moving = make_part("r*2 F#4 G4 | r*4", name="Flute", instrument="flute")
    assert heard_by(piano(f"{held} | D4*4"), moving) == ((), (), 0, 0)


def test_who_has_the_very_note_goes_before_who_has_it_in_another_octave():
    low = make_part("r*3 A3 | r*4", name="Bass", instrument="bass")
    same = make_part("r*3 A4 | r*4", name="Flute", instrument="flute")
    assert heard_by(low, same) == (("Flute",), ("top",), 0, 0)


@pytest.mark.parametrize("first", ["G#4*4", "A4+C5*4"])
def test_nothing_is_told_of_a_note_outside_the_scale_or_of_two_at_once(first):
    early = make_part("A4 r*3 | r*4 | r*4", name="Flute", instrument="flute")
    assert first_notes(singer(f"r*4 | r*4 | {first}"), early) == []


@pytest.mark.parametrize(
    ("instrument", "top", "position"),
    [("violin", "D6", 3), ("violin", "F6", 4), ("violin", "C6", 0), ("viola", "G5", 3), ("cello", "D4", 0),
     ("cello", "G4", 3), ("violin", "E7", 7), ("double-bass", "D4", 0), ("flute", "D6", 0)],
)  # fmt: skip
def test_a_high_note_needs_a_position(instrument, top, position):
    """Source of the positions: common practice of teaching; a stretched fourth finger is allowed."""
    found = list(position_facts(make_score(make_part(f"{top} r*3", instrument=instrument))))
    assert [fact.number("position") for fact in found] == ([position] if position else [])


def test_a_harmonic_lies_elsewhere():
    part = make_part("A4 D6 A4 r", instrument="violin")
    marked = replace(part, notes=tuple(replace(n, technical=("harmonic",)) for n in part.notes))
    assert list(position_facts(make_score(marked))) == []
