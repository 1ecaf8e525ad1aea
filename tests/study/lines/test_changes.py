"""Mutes, bow, beaters and instruments that change on the way: what, where, and the seconds for it."""

from dataclasses import replace
from fractions import Fraction

import pytest

from planner.core.fact import FactKind
from planner.core.glossary.changes import Change, changes_in, taken_up
from planner.core.pitch import Transposition
from planner.core.score import RoadmapMark, Words
from planner.study.lines.changes import change_facts
from tests.builders import make_part, make_score

TRUMPET = {"instrument": "trumpet-bflat", "name": "Trumpet", "transposition": Transposition(-1, -2)}


def found(music, *words, order=None, marks=(), **part):
    own = make_part(music, **(part or TRUMPET))
    texts = tuple(Words(measure, Fraction(onset), text) for measure, onset, text in words)
    score = make_score(replace(own, words=texts), marks=marks)
    bars = len(score.measures)
    return list(change_facts(score, tuple(range(bars)) if order is None else order, (60.0,) * bars))


def test_a_mute_is_put_in_during_the_rest_before_its_first_note():
    [fact] = found("C5*4 | r*4 | r*2 C5*2", (2, 2, "Straight Mute"))
    assert (fact.kind, fact.terms, fact.places) == (FactKind.CHANGES, ("straight mute",), ((2, 2),))
    assert (fact.number("opening"), fact.each("seconds")) == (0, (6,)), "six quarters at 60"


def test_words_in_the_rest_hold_from_the_next_note():
    [fact] = found("C5*4 | r*4 | C5*4 | C5*4", (1, 0, "con sord."), (3, 0, "senza sord."))
    assert fact.terms == ("mute", "open")
    assert fact.places == ((2, 2), (3, 3))
    assert fact.each("seconds") == (4, 0)


def test_what_is_ready_before_the_first_note_has_no_seconds():
    [fact] = found("r*4 | C5*4", (0, 0, "cup mute"))
    assert (fact.terms, fact.number("opening"), fact.each("seconds")) == (("cup mute",), 1, ())


def test_the_shortest_silence_counts_where_the_bar_comes_again():
    marks = (RoadmapMark("repeat-end", 2),)
    music = "r*2 C5*2 | C5*2 r*2 | r*4"
    words = ((1, 0, "mute"),)
    assert found(music, *words, order=(0, 1, 2, 0, 1, 2), marks=marks)[0].each("seconds") == (0,)
    [fact] = found("C5*2 r*2 | C5 r*3", (0, 0, "open"), (1, 0, "mute"), order=(0, 1, 1))
    assert fact.each("seconds") == (2,), "two quarters the first time, three the second"


@pytest.mark.parametrize(
    "words",
    [
        ((1, 0, "mute ad lib."),),
        ((1, 0, "if possible with mute"),),
        ((1, 0, "open"),),
        ((0, 0, "mute"), (1, 0, "con sord.")),
        ((3, 0, "mute"),),
    ],
)
def test_doubtful_or_needless_words_change_nothing(words):
    facts = found("C5*4 | r*2 C5*2 | C5*4 | r*4", *words)
    assert [fact.terms[int(fact.number("opening")) :] for fact in facts] in ([], [()])


def test_notes_struck_together_are_one_attack():
    [fact] = found("C4*4 | r*2 C4+E4*2", (1, 0, "pizz."), name="Viola", instrument="viola")
    assert fact.each("seconds") == (2,)


def test_after_a_fermata_or_a_movement_nobody_knows_the_seconds():
    assert found("C5*4 | r*2 C5*2", (1, 0, "mute"))
    part = make_part("C5*4 | r*2 C5*2", **TRUMPET)
    held = replace(part.notes[0], has_fermata=True)
    part = replace(part, notes=(held, *part.notes[1:]), words=(Words(1, Fraction(0), "mute"),))
    score = make_score(part)
    assert list(change_facts(score, (0, 1), (60.0, 60.0))) == []
    part = replace(part, notes=(replace(held, has_fermata=False), *part.notes[1:]))
    first, second = make_score(part).measures
    score = replace(make_score(part), measures=(replace(first, right_bar="light-heavy"), second))
    assert list(change_facts(score, (0, 1), (60.0, 60.0))) == []
    assert list(change_facts(score, (0, 1, 1), (60.0, 60.0))), "the movement itself is played again"


def test_only_quick_changes_between_bow_and_finger_are_named():
    music = "C5*4 | C5*3 r | C5*4 | r*4 | C5*4"
    words = ((1, 0, "pizz."), (2, 0, "arco"), (4, 0, "pizz."))
    [fact] = found(music, *words, name="Violin", instrument="violin")
    assert (fact.terms, fact.each("seconds")) == (("pluck", "bow"), (0, 1))


def test_an_instrument_is_taken_up_in_the_rest():
    music = "C5*4 | r*4 | r*4 | C5*4"
    [fact] = found(music, (1, 0, "To Piccolo"), name="Flute", instrument="flute")
    assert (fact.terms, fact.places, fact.each("seconds")) == (("take:piccolo",), ((3, 3),), (8,))
    assert found("C5*4 | r*4 | C5*4", (0, 0, "To Piccolo"), name="Flute", instrument="flute") == []
    assert found(music, (1, 0, "To Coda"), name="Flute", instrument="flute") == []
    assert found(music, (1, 0, "to violin"), name="Flute", instrument="flute") == []
    assert found(music, (1, 0, "Piccolo"), name="Flute", instrument="flute") == []


def test_sticks_and_snares():
    music = "C5*4 | r*4 | C5*4"
    drum = {"name": "Snare Drum", "instrument": "snare-drum"}
    [fact] = found(music, (2, 0, "with brushes"), **drum)
    assert (fact.terms, fact.each("seconds")) == (("brushes",), (4,))
    assert found(music, (2, 0, "with brushes"), name="Cymbals", instrument="cymbals") == [], "from what?"
    assert found(music, (2, 0, "snares off"), **drum)[0].terms == ("snares off",)
    assert found(music, (2, 0, "con sord."), name="Piano", instrument="piano") == []


@pytest.mark.parametrize(
    ("text", "change"),
    [("con sordino", Change.MUTE), ("Mit Dämpfer", Change.MUTE), ("avec sourdines", Change.MUTE),
     ("(st. mute)", Change.STRAIGHT_MUTE),
     ("To cup mute", Change.CUP_MUTE), ("Senza Sord.", Change.OPEN), ("Dämpfer weg", Change.OPEN),
     ("ôtez les sourdines", Change.OPEN), ("[arco]", Change.BOW), ("pizzicato", Change.PLUCK),
     ("bacchette di spugna", Change.SOFT_MALLETS), ("w/ sticks", Change.STICKS)],
)  # fmt: skip
def test_words_of_four_languages(text, change):
    assert changes_in(text) == (change,)


@pytest.mark.parametrize("text", ["", "arcobaleno", "pizz. or arco", "open the bell", "V.S."])
def test_other_words_are_none(text):
    assert changes_in(text) == ()


def test_words_that_have_an_instrument_taken_up():
    assert taken_up("muta in Corno inglese") == "corno inglese"
    assert taken_up("(take Flugelhorn)") == "flugelhorn"
    assert taken_up("prenez la petite flûte") == "petite flûte"
    assert taken_up("to the end") in ("end", "")
