import numpy as np
import pytest

from planner.study.notes.columns import columns_of
from planner.study.notes.sonority import LOF_LOW, sonority_of
from planner.study.tonal.heard import CHORD_VIEWS, KEY_VIEWS, heard_of, starts_of
from tests.builders import make_part, make_score


def view(name, music, views=CHORD_VIEWS):
    """One view of some music as names of notes with their shares, slice by slice."""
    heard = heard_of(columns_of(make_score(make_part(music))))
    rows = heard.chord if views is CHORD_VIEWS else heard.key
    start, width = starts_of(views)[name], dict(views)[name]
    rows = rows[:, start : start + width]
    return rows / np.maximum(rows.sum(axis=1, keepdims=True), 1e-9)


def place(lof):
    return lof - LOF_LOW


def test_a_broken_chord_is_heard_whole_in_its_bar():
    bars = view("notes_of_bar", "C3 E3 G3 E3 | D3*4")
    assert [bars[0, place(lof)] for lof in (0, 4, 1)] == pytest.approx([0.25, 0.5, 0.25])
    assert bars[3] == pytest.approx(bars[0])
    assert bars[4, place(2)] == pytest.approx(1.0)


def test_the_bass_of_a_bar_is_the_one_it_begins_with():
    basses = view("bass_of_bar", "C3 E3 G3 E3 | D3*4")
    assert [basses[at].argmax() - place(0) for at in range(5)] == [0, 0, 0, 0, 2]


def test_what_is_ahead_and_behind_are_different_views():
    ahead, behind = (view(name, "C4*4 | C4*4 | G4*4 | G4*4", KEY_VIEWS) for name in ("ahead", "behind"))
    assert (ahead[2, place(1)], behind[2, place(0)]) == pytest.approx((1.0, 1.0))
    assert ahead[1, place(0)] == pytest.approx(0.5)


def test_views_lie_side_by_side_and_each_slice_has_a_row():
    columns = columns_of(make_score(make_part("C4 D4 r*2 | r*4 | E4*4")))
    heard = heard_of(columns)
    assert len(heard.chord) == len(heard.key) == len(sonority_of(columns)) == len(heard.quarters)
    assert heard.chord.shape[1] == sum(width for _, width in CHORD_VIEWS)
    assert starts_of(KEY_VIEWS)["behind"] == dict(KEY_VIEWS)["ahead"]
