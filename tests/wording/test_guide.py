"""The words of a guide beside the study's sentences."""

import pytest

from planner.core.instruments import INSTRUMENTS
from planner.core.profile import Tempo
from planner.wording.guide import (
    Caution,
    caution_text,
    first_tempo,
    metronome,
    not_drawn,
    opening_caption,
    spot_caption,
)


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


def test_captions_name_the_printed_bars():
    numbers = ("0", "1", "2a", "3")
    assert opening_caption(numbers, 2) == "The opening, bar 1 with the pickup and the bar after 1"
    assert opening_caption(numbers, 0) == "The opening, the pickup"
    assert (
        spot_caption(numbers, 2, 3, ("wide leap", "run"))
        == "A hard spot, the bar after 1 to bar 3: wide leap, run"
    )
    assert not_drawn("The opening, the pickup").endswith(
        "the pickup (could not be drawn from the score file)"
    )


def test_every_family_of_the_table_has_a_caution_of_its_own():
    families = {instrument.family for instrument in INSTRUMENTS}
    assert families <= {caution.value for caution in Caution}
    assert len({caution_text(caution) for caution in Caution}) == len(Caution)
    assert "director and local rules" in caution_text(Caution.STOP)
