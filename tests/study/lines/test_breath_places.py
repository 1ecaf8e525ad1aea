"""Where a line leaves time to breathe: rests, marks, slurs, long notes, words."""

from dataclasses import replace

import pytest

from planner.study.lines.breath_places import stretches
from planner.study.notes.columns import columns_of
from tests.builders import make_part, make_score

EIGHTHS = "C5*1/2 D5*1/2 E5*1/2 F5*1/2"


def marked(part, at, **changes):
    """A part with one of its notes changed, counted from 0, rests included."""
    notes = list(part.notes)
    notes[at] = replace(notes[at], **changes)
    return replace(part, notes=tuple(notes))


def slurred(part, *spans):
    for first, last in spans:
        part = marked(part, first, slurs_started=1)
        part = marked(part, last, slurs_stopped=1)
    return part


def sung(part, *syllables):
    lyrics = iter(syllables)
    return replace(part, notes=tuple(n if n.is_rest else replace(n, lyric=next(lyrics)) for n in part.notes))


def seconds(part, bpm=100.0):
    columns = columns_of(make_score(part))
    found = stretches(columns.parts[0], (bpm,) * len(columns.score.measures))
    return [round(each.seconds, 2) for each in found]


def test_a_rest_over_a_quarter_of_a_second_refills():
    """Huron & Berec 2009, Empirical Musicology Review 4(3); the eighth before it is cut by two thirds."""
    assert seconds(make_part(f"{EIGHTHS} r*1/2 {EIGHTHS}")) == [1.2, 1.2]
    slurs = [(0, 3), (5, 8)]
    assert seconds(slurred(make_part(f"{EIGHTHS} r*1/2 {EIGHTHS}"), *slurs)) == [1.2, 1.2]
    assert len(seconds(make_part("C5*1/8 r*1/8 D5*1/8"), bpm=60.0)) == 1
    assert len(seconds(make_part("C5*1/4 r*1/4 D5*1/4"), bpm=60.0)) == 2


@pytest.mark.parametrize(("bpm", "places"), [(150.0, 4), (165.0, 1)])
def test_a_tongued_note_can_be_cut_short_if_two_thirds_of_it_are_a_breath(bpm, places):
    """A third of a quarter sounds: 0.27 seconds are left at 150 in the minute, 0.24 at 165."""
    assert len(seconds(make_part("C5 D5 E5 F5"), bpm=bpm)) == places


def test_no_breath_under_a_slur_and_one_at_its_end():
    assert seconds(slurred(make_part("C5 D5 E5 F5"), (0, 3)), bpm=60.0) == [4.0]
    assert seconds(slurred(make_part("C5 D5 E5 F5"), (0, 1), (2, 3)), bpm=60.0) == [2.0, 2.0]


def test_a_slur_that_never_ends_or_begins_is_passed_over():
    assert len(seconds(marked(make_part("C5 D5 E5 F5"), 0, slurs_started=1), bpm=60.0)) == 4
    assert len(seconds(marked(make_part("C5 D5 E5 F5"), 3, slurs_stopped=1), bpm=60.0)) == 4


def test_marks_are_places_even_within_a_slur():
    line = slurred(make_part("C5*1/2 D5*1/2 E5*1/2 F5*1/2"), (0, 3))
    assert len(seconds(line)) == 1
    for mark in ({"articulations": ("breath-mark",)}, {"articulations": ("caesura",)}, {"has_fermata": True}):
        assert seconds(marked(line, 1, **mark)) == [0.6, 0.6], mark


def test_a_tie_leaves_no_place():
    assert seconds(make_part("C5*4~ | C5*4"), bpm=60.0) == [8.0]
    assert seconds(make_part("C5*4 | C5*4"), bpm=60.0) == [4.0, 4.0]


def test_singers_breathe_between_words_and_not_within():
    part = make_part("C5 D5 E5 F5", name="Soprano", instrument="soprano")
    assert seconds(sung(part, "Glo-", "ri-", "a", "now"), bpm=60.0) == [3.0, 1.0]
    assert seconds(sung(part, "Praise", "to", "the", "Lord"), bpm=60.0) == [1.0] * 4


def test_the_last_syllable_may_have_several_notes():
    part = make_part("C5 D5 E5 F5", name="Soprano", instrument="soprano")
    assert seconds(slurred(sung(part, "A-", "men,", "", "we"), (1, 2)), bpm=60.0) == [3.0, 1.0]


def test_of_two_players_on_a_staff_the_first_is_followed():
    """While the second holds a note, the first rests and breathes."""
    upper = make_part("C5 D5 r r | E5*4")
    lower = tuple(replace(note, voice="2") for note in make_part("C4*4~ | C4*4").notes)
    both = replace(
        upper, notes=tuple(sorted((*upper.notes, *lower), key=lambda n: (n.measure, n.onset_quarters)))
    )
    assert seconds(slurred(upper, (0, 1)), bpm=60.0) == [2.0, 4.0]
    assert seconds(slurred(both, (0, 2)), bpm=60.0) == [2.0, 4.0]


def test_bars_are_those_in_which_a_stretch_begins_and_ends_ties_included():
    columns = columns_of(make_score(make_part("C5*4 | r*4 | D5*4~ | D5*4~ | D5*4")))
    found = stretches(columns.parts[0], (60.0,) * 5)
    assert [(each.measure, each.end_measure) for each in found] == [(0, 0), (2, 4)]


def test_a_part_that_never_plays_has_none():
    assert seconds(make_part("r r r r")) == []


def test_a_staccato_dot_leaves_more_room():
    """Eighths at 85 are 0.35 seconds: two thirds of it are no breath, three quarters are one."""
    part = make_part(EIGHTHS)
    dotted = replace(part, notes=tuple(replace(n, articulations=("staccato",)) for n in part.notes))
    assert len(seconds(part, bpm=85.0)) == 1
    assert len(seconds(dotted, bpm=85.0)) == 4
