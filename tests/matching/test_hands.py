"""Drums and sticks: what must be retuned or laid down, and how long there is for it."""

from dataclasses import replace

import pytest

from planner.matching.part_check import Severity
from planner.matching.playability import check_part
from planner.study.difficulty.evidence import gather
from planner.study.notes.columns import columns_of
from tests.builders import make_part, make_score
from tests.study.difficulty.levels_help import facts_for


def checks_of(part, bpm):
    score = make_score(part)
    columns, facts = columns_of(score), facts_for(score, bpm)
    evidence = gather(columns, facts)
    return {check.kind: check for check in check_part(evidence.parts[0], facts, 3.0)}


def timpani(music, bpm=60.0):
    return checks_of(make_part(music, instrument="timpani", clef=("F", 4)), bpm).get("timpani retuning")


def sticks(bars, bpm=60.0):
    """A percussion line whose notes stand for instruments: s(nare), t(riangle), c(ymbals), or ? for none."""
    names = {"s": "Snare Drum", "t": "Triangle", "c": "Cymbals", "?": ""}
    part = make_part(
        " | ".join(" ".join("r" if note == "r" else "C5" for note in bar.split()) for bar in bars),
        instrument="percussion",
        clef=("percussion", 2),
    )
    letters = [note for bar in bars for note in bar.split()]
    notes = tuple(
        note if letter == "r" else replace(note, pitch=None, unpitched=note.pitch, percussion=names[letter])
        for note, letter in zip(part.notes, letters, strict=True)
    )
    return checks_of(replace(part, notes=notes), bpm).get("percussion changes")


@pytest.mark.parametrize(
    ("music", "times", "bars", "seconds", "worst", "severity"),
    [
        # G3 ends on the fourth beat; F#3 is due three beats, or four, later.
        ("G2 C3 D3 G3 | C3 r r F#3", 1, (1,), 3.0, 1, Severity.WARNING),
        ("G2 C3 D3 G3 | C3 r r r | F#3*4", 1, (2,), 4.0, 2, Severity.NOTE),
        ("G2 C3 D3 G3 | r r r r | F#3*4 | r G3*3", 2, (2, 3), 1.0, 3, Severity.WARNING),
        ("G2 C3 D3 G3 | F#3*4 | r r r r | G3*4", 2, (1, 3), 0.0, 1, Severity.WARNING),
    ],
)
def test_the_time_to_retune_runs_from_the_last_note_of_the_old_pitch(
    music, times, bars, seconds, worst, severity
):
    found = timpani(music, bpm=60.0)
    assert (found.measures, found.severity) == (bars, severity)
    assert [found.number(name) for name in ("times", "seconds", "worst")] == [times, seconds, worst]


def test_a_change_of_sticks_is_counted_where_it_comes_too_quickly():
    """At 60 in the minute a beat of rest is one second; a second and a half is enough."""
    found = sticks(["s s s s", "t r s r", "r t r r", "s s ? t"])
    assert (found.number("times"), found.measures, found.number("seconds")) == (2, (1,), 0.0)
    assert (found.number("worst"), found.terms) == (1, ("Snare Drum", "Triangle"))


def test_the_quickest_change_of_sticks_is_the_one_named():
    found = sticks(["s r t r", "r r c t", "t r r r"])
    assert (found.number("times"), found.measures, found.number("seconds")) == (2, (0, 1), 0.0)
    assert (found.number("worst"), found.terms) == (1, ("Cymbals", "Triangle"))


@pytest.mark.parametrize(("bpm", "is_quick"), [(80.0, False), (80.5, True)])
def test_a_second_and_a_half_is_time_enough_to_change_sticks(bpm, is_quick):
    """Two beats of rest last exactly 1.5 seconds at 80 in the minute."""
    assert (sticks(["s r r t"], bpm) is not None) == is_quick


@pytest.mark.parametrize(
    ("music", "fix"),
    [
        ("G2 C3 D3 G3 | C3 r r r | F#3*4", "write changes"),  # four beats are time enough
        ("G2 C3 D3 G3 | C3 r r F#3", "add drum"),  # a second small drum has F♯3 from the start
        ("G3 F#3 F3 E3 | G3 F#3 F3 E3", "leave strokes"),  # four pitches for the two small drums, or three
    ],
)
def test_what_helps_with_retunings_is_tried(music, fix):
    assert timpani(music, bpm=60.0).fix == fix


def test_one_player_is_not_told_to_share_a_line():
    part = make_part("C5 C5 C5 C5", instrument="percussion", clef=("percussion", 2))
    names = ("Snare Drum", "Triangle", "Snare Drum", "Triangle")
    notes = tuple(
        replace(note, pitch=None, unpitched=note.pitch, percussion=name)
        for note, name in zip(part.notes, names, strict=True)
    )
    score = make_score(replace(part, notes=notes))
    columns, facts = columns_of(score), facts_for(score, 100.0)
    (each,) = gather(columns, facts).parts
    fixes = [check_part(each, facts, 3.0, players=players)[0].fix for players in (1, 2)]
    assert fixes == ["one of two", "two players"]
