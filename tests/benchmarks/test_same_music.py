"""The floors of finding the same music in two files."""

import pytest

from tests.benchmarks import same_music

pytestmark = pytest.mark.slow


def test_chorales_are_told_apart_and_copies_found():
    missed = [row for row in same_music.rows() if not row.holds]
    assert not missed, missed


def test_a_wrong_title_would_be_seen():
    passion, freude, ach = "O Haupt voll Blut und Wunden", "Jesu, meine Freude", "Ach Gott und Herr"
    assert same_music.is_one_tune(frozenset({"Befiehl du deine Wege"}), frozenset({passion}))
    assert not same_music.is_one_tune(frozenset({freude}), frozenset({ach}))
