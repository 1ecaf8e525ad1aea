"""The metronome marks of sheets."""

import pytest

from planner.core.profile import Tempo
from planner.wording.guide import first_tempo, metronome


@pytest.mark.parametrize(
    ("tempo", "text"),
    [
        (Tempo(96.0, "quarter", 80), "♩ = 80"),
        (Tempo(96.0, "dotted quarter", 80, first_reading=72), "♩. = 72"),
        (Tempo(None, "half", 60), "\N{MUSICAL SYMBOL HALF NOTE} = 60"),
        (Tempo(None, "breve", 60), "breve = 60"),
        (Tempo(None, "quarter", 0), ""),
    ],
)
def test_the_tempo_of_the_first_reading_is_given_in_beats(tempo, text):
    assert first_tempo(tempo) == text


def test_a_row_of_the_plan_without_a_tempo_has_no_mark():
    assert metronome("eighth", None) == ""
