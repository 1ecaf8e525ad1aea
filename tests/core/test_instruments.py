"""The instrument table and the recogniser, against published tables and real part names."""

import pytest

from planner.core.instruments import INSTRUMENTS, get_instrument, recognise
from planner.core.pitch import Transposition


def test_ids_are_unique_and_at_least_sixty():
    ids = [instrument.id for instrument in INSTRUMENTS]
    assert len(ids) == len(set(ids)) >= 60


def test_an_unknown_id_is_refused():
    with pytest.raises(KeyError):
        get_instrument("kazoo-choir")


@pytest.mark.parametrize(
    ("name", "transposition", "expected"),
    [
        ("Clarinet in B♭ 2", Transposition(-1, -2), "clarinet-bflat"),
        ("Horn in D", Transposition(-6, -10), "horn-d"),
        ("Bb (basso) Horn 1", Transposition(-1, -2, -1), "horn-bflat-basso"),
        ("Euphonium T.C.", Transposition(-1, -2, -1), "euphonium-treble"),
        ("E-flat Clarinet", Transposition(2, 3), "clarinet-eflat"),
        ("Oboe  2", None, "oboe"),
    ],
)
def test_part_names_are_recognised(name, transposition, expected):
    assert recognise(name, transposition=transposition).instrument == expected
