"""Fingerprints as text and back."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.core.fingerprint import Fingerprint, fingerprint_of

TURNS = st.lists(st.integers(0, 2**32 - 1), max_size=40, unique=True).map(sorted).map(tuple)


@given(st.builds(Fingerprint, TURNS, TURNS, TURNS))
def test_text_gives_the_turns_back(fingerprint):
    assert fingerprint_of(fingerprint.to_text()) == fingerprint


@pytest.mark.parametrize("text", ["nonsense", "c%02", Fingerprint((1,), (), ()).to_text()[:-5]])
def test_what_is_no_fingerprint_is_refused(text):
    with pytest.raises(ValueError, match=r"fingerprint|base85|bad"):
        fingerprint_of(text)
