"""Divided strings, two winds on one staff, and small notes that are another part's."""

from dataclasses import replace
from fractions import Fraction

import pytest

from planner.core.fact import FactKind
from planner.core.score import RoadmapMark, Words
from planner.study.lines.cues import cue_facts
from planner.study.lines.divided import sharing_facts
from tests.builders import make_part, make_score


def shared(music, *words, marks=(), **part):
    own = make_part(music, **part)
    texts = tuple(Words(measure, Fraction(onset), text) for measure, onset, text in words)
    return list(sharing_facts(make_score(replace(own, words=texts), marks=marks)))


VIOLA = {"name": "Viola", "instrument": "viola"}
DIVIDED = "C4*4 | C4+E4*4 | D4+F4*4 | C4*4"


def test_strings_are_divided_from_one_word_to_the_other():
    [fact] = shared(DIVIDED, (1, 0, "div."), (3, 0, "unis."), **VIOLA)
    assert (fact.kind, fact.places) == (FactKind.DIVIDED, ((1, 2),))
    assert shared(DIVIDED, (1, 0, "geteilt"), (3, 0, "zusammen"), **VIOLA)[0].places == ((1, 2),)


@pytest.mark.parametrize(
    "words",
    [
        ((1, 0, "div."),),
        ((3, 0, "unis."),),
        ((1, 0, "div. a 3"), (3, 0, "unis.")),
        ((0, 0, "div."), (1, 0, "unis.")),
        ((1, 0, "diversion"), (3, 0, "unis.")),
    ],
)
def test_strings_are_not_divided_where_a_word_lacks_or_the_notes_are_single(words):
    assert shared(DIVIDED, *words, **VIOLA) == []


HORNS = {"name": "Horns in F", "instrument": "horn-f"}
WINDS = "C5*4 | r*4 | C5*4 | C5*4 | C5*4"


def test_who_of_two_winds_plays():
    [fact] = shared(WINDS, (0, 0, "a 2"), (1, 0, "1."), (3, 0, "zu 2"), (4, 0, "II solo"), **HORNS)
    assert fact.kind is FactKind.PLAYERS
    assert fact.terms == ("both", "first", "both", "second")
    assert fact.places == ((0, 0), (2, 2), (3, 3), (4, 4))


def test_nothing_is_told_of_winds_where_the_page_leaves_a_doubt():
    words = ((0, 0, "a 2"), (1, 0, "1."))
    assert shared(WINDS, *words, **HORNS)
    assert shared(WINDS, *words, name="Horn 1", instrument="horn-f") == [], "one player"
    assert shared(WINDS, (1, 0, "1."), (3, 0, "2."), **HORNS) == [], "both never play together"
    assert shared(WINDS, (0, 0, "a 2"), **HORNS) == [], "nobody plays alone"
    marks = (RoadmapMark("ending-start", 1, numbers=(1,)),)
    assert shared(WINDS, *words, marks=marks, **HORNS) == [], "the number of an ending"
    assert shared(WINDS, (0, 0, "a 2"), (1, 0, "I."), **HORNS) == [], "a movement, perhaps"
    assert shared(WINDS, (0, 0, "a 2"), (1, 0, "1"), **HORNS) == [], "a count, perhaps"
    assert shared("C5*2 D5*2 | C5*4", (0, 0, "a 2"), (0, 2, "1."), **HORNS) == [], "two in one bar"


def cued(music="C5*4 | E5 F5 G5 A5 | C5*4", other="r*4 | E5 F5 G5 A5 | r*4", words=()):
    part = make_part(music, name="Flute", instrument="flute")
    notes = tuple(replace(note, is_cue=note.measure == 1 and not note.is_rest) for note in part.notes)
    texts = tuple(Words(measure, Fraction(0), text) for measure, text in words)
    oboe = make_part(other, name="Oboe", instrument="oboe")
    return list(cue_facts(make_score(replace(part, notes=notes, words=texts), oboe)))


def test_a_cue_is_known_by_whose_notes_it_has():
    [fact] = cued()
    assert (fact.kind, fact.places, fact.terms) == (FactKind.CUES, ((1, 1),), ("Oboe",))
    assert cued(other="r*4 | E4 F4 G4 A4 | r*4")[0].terms == ("Oboe",), "in another octave"


@pytest.mark.parametrize(
    ("text", "owner"),
    [("Cue", ""), ("(Tpt. 1)", "Tpt. 1"), ("Clarinet cue", "Clarinet"), ("Cue: Horn in F", "Horn in F")],
)
def test_a_cue_is_known_by_what_is_printed_over_it(text, owner):
    [fact] = cued(other="C4*4 | C4*4 | C4*4", words=((1, text),))
    assert fact.terms == (owner,)


@pytest.mark.parametrize("text", ["dolce", "Flute", "solo", "A", "cue if needed: play"])
def test_other_words_over_small_notes_make_no_cue(text):
    assert cued(other="C4*4 | C4*4 | C4*4", words=((1, text),)) == []


def test_small_notes_are_no_cue_where_nobody_else_has_them_or_they_may_be_played():
    assert cued(other="r*4 | E5 F5 G5 B5 | r*4") == []
    assert cued(music="C5*4 | E5*2 F5*2 | C5*4", other="r*4 | E5*2 F5*2 | r*4") == [], "two notes by chance"
    assert cued(words=((1, "play if no oboe"),)) == []
    part = make_part("E5 F5 G5 A5", name="Flute")
    mixed = replace(part, notes=(replace(part.notes[0], is_cue=True), *part.notes[1:]))
    assert list(cue_facts(make_score(mixed, make_part("E5 F5 G5 A5", name="Oboe")))) == [], "own notes beside"
