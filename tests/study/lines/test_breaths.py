"""Where a singer or wind player breathes."""

from dataclasses import replace

from planner.core.fact import FactKind
from planner.core.profile import Phrase
from planner.study.lines.breaths import breath_facts
from planner.study.notes.columns import columns_of
from tests.builders import make_part, make_score

EIGHTHS = "C5*1/2 D5*1/2 E5*1/2 F5*1/2 G5*1/2 F5*1/2 E5*1/2 D5*1/2"
BUSY = " | ".join([EIGHTHS] * 3)


def found(music, phrases=(), bpm=60.0, **kinds):
    score = make_score(make_part(music, **kinds))
    return list(breath_facts(columns_of(score), phrases, (bpm,) * len(score.measures)))


def test_a_rest_between_long_stretches_is_a_place_to_breathe():
    [fact] = found(f"{BUSY} | C5*3 r | {BUSY}")
    assert (fact.kind, fact.places, fact.terms) == (FactKind.BREATHS, ((3, 3),), ("rest",))


def test_rests_between_short_figures_are_none():
    assert found("C5*1/2 r*1/2 C5*1/2 r*1/2 C5*1/2 r*1/2 C5*1/2 r*1/2 | C5*2 r*2") == []


def test_a_long_note_at_the_end_of_a_phrase_is_one_where_no_rest_follows():
    music = f"{EIGHTHS} | C5*4 | {EIGHTHS} | C5*4"
    [fact] = found(music, (Phrase(0, 1), Phrase(2, 3)))
    assert (fact.places, fact.terms) == (((1, 1),), ("long-note",))
    assert found(music) == []


def test_a_slur_over_the_bar_line_leaves_no_breath():
    part = make_part(f"{EIGHTHS} | C5*4 | {EIGHTHS} | C5*4")
    notes = [
        replace(note, slurs_started=int(note.measure == 1), slurs_stopped=int(at == 9))
        for at, note in enumerate(part.notes)
    ]
    score = make_score(replace(part, notes=tuple(notes)))
    assert list(breath_facts(columns_of(score), (Phrase(0, 1), Phrase(2, 3)), (60.0,) * 4)) == []


def test_strings_need_no_breath():
    assert found(f"{BUSY} | C5*3 r | {BUSY}", name="Violin", instrument="violin") == []


def test_unnamed_parts_are_a_choir_only_where_nobody_plays_an_instrument():
    music = f"{BUSY} | C5*3 r | {BUSY}"
    unnamed = make_part(music, name="I", instrument="")
    alone = columns_of(make_score(unnamed))
    beside = columns_of(make_score(unnamed, make_part(music, name="Violin", instrument="violin")))
    assert len(list(breath_facts(alone, (), (60.0,) * 7))) == 1
    assert list(breath_facts(beside, (), (60.0,) * 7)) == []


def test_the_upbeat_of_the_next_phrase_may_follow_the_long_note():
    music = f"{EIGHTHS} | C5*3 D5 | {EIGHTHS} | C5*4"
    [fact] = found(music, (Phrase(0, 1), Phrase(2, 3)))
    assert (fact.places, fact.terms) == (((1, 1),), ("long-note",))
    assert found(f"{EIGHTHS} | C5*2 D5*2 | {EIGHTHS} | {EIGHTHS}", (Phrase(0, 1),))[0].places == ((1, 1),)


def test_notes_as_long_as_the_long_one_are_no_upbeat():
    upbeat = "D5*1/2 E5*1/2 F5*1/2 G5*1/2"
    assert found(f"{EIGHTHS} | C5*2 {upbeat} | {EIGHTHS} | {EIGHTHS}", (Phrase(0, 1),)) == []
    [fact] = found(f"{EIGHTHS} | C5*5/2 {upbeat[7:]} | {EIGHTHS} | {EIGHTHS}", (Phrase(0, 1),))
    assert fact.places == ((1, 1),)


def test_nobody_breathes_shortly_before_a_rest_or_the_end():
    assert found(f"{EIGHTHS} | C5*4 | C5*4", (Phrase(0, 1),)) == []
    assert found(f"{EIGHTHS} | C5*4 | C5*2 r*2", (Phrase(0, 1),)) == []
    assert found(f"{EIGHTHS} | C5*4 | C5*4 | C5*4", (Phrase(0, 1),))[0].places == ((1, 1),)
    assert found(f"{EIGHTHS} | C5*3 D5", (Phrase(0, 1),)) == []
    assert found(f"{EIGHTHS} | C5*3 D5 | r*4 | r*4", (Phrase(0, 1),)) == []
