"""The tune in words."""

import pytest

from planner.core.fact import Fact, FactKind, named
from planner.core.profile import MelodySpan
from planner.wording.study.sentences import sentence_of
from planner.wording.study_json import study_to_dict
from tests.fakes import make_profile

NUMBERS = tuple(str(number) for number in range(1, 41))
FLUTE = ("Flute 1",)


@pytest.mark.parametrize(
    ("fact", "sentence"),
    [
        (
            Fact(FactKind.HAS_TUNE, "Oboe", ((4, 11), (20, 27))),
            "You have the tune in bars 5–12 and 21–28.",
        ),
        (
            Fact(FactKind.HAS_TUNE, "Oboe", ((4, 11), (20, 27)), numbers=named(more=2)),
            "You have the tune in bars 5–12 and 21–28, and two more places.",
        ),
        (
            Fact(FactKind.HAS_TUNE, "Oboe", terms=("throughout",)),
            "You have the tune throughout.",
        ),
        (
            Fact(FactKind.DOUBLES_TUNE, "Oboe", ((4, 11),), FLUTE),
            "You double Flute 1 on the tune in bars 5–12.",
        ),
        (
            Fact(FactKind.DOUBLES_TUNE, "Oboe", ((4, 11),), FLUTE, numbers=named(octaves=-1)),
            "You double Flute 1 on the tune, an octave lower, in bars 5–12.",
        ),
        (
            Fact(FactKind.ACCOMPANIES, "Oboe", ((12, 19),), FLUTE),
            "Bars 13–20: Flute 1 has the tune; you accompany.",
        ),
        (
            Fact(FactKind.ACCOMPANIES, "Oboe", ((12, 19), (24, 27)), FLUTE, numbers=named(more=1)),
            "Bars 13–20 and 25–28, and one more place: Flute 1 has the tune; you accompany.",
        ),
        (
            Fact(FactKind.ACCOMPANIES, "Oboe", parts=FLUTE, terms=("throughout",)),
            "Flute 1 has the tune throughout; you accompany.",
        ),
        (
            Fact(FactKind.ANSWERS, "Oboe", ((8, 9), (6, 7)), FLUTE, numbers=named(steps=-4, notes=8)),
            "Bars 9–10: you answer Flute 1 (bars 7–8), a fifth lower.",
        ),
        (
            Fact(FactKind.ANSWERS, "Oboe", ((8, 8), (6, 6)), FLUTE, numbers=named(steps=0, notes=8)),
            "Bar 9: you answer Flute 1 (bar 7), at the same pitch.",
        ),
        (
            Fact(FactKind.ANSWERS, "Oboe", ((8, 9), (6, 7)), FLUTE, numbers=named(steps=11, notes=8)),
            "Bars 9–10: you answer Flute 1 (bars 7–8), an octave and a fifth higher.",
        ),
        (
            Fact(FactKind.ANSWERS, "Oboe", ((8, 9), (6, 7)), FLUTE, numbers=named(steps=-14, notes=8)),
            "Bars 9–10: you answer Flute 1 (bars 7–8), two octaves lower.",
        ),
    ],
)
def test_the_tune_in_words(fact, sentence):
    assert sentence_of(fact, make_profile(measure_numbers=NUMBERS)) == sentence


def test_who_has_the_tune_is_in_the_json():
    spans = (MelodySpan(0, 0.0, "Flute"), MelodySpan(3, 2.5, "Oboe"))
    assert study_to_dict(make_profile(melody=spans))["melody"] == (
        {"measure": 0, "offset_quarters": 0.0, "part": "Flute"},
        {"measure": 3, "offset_quarters": 2.5, "part": "Oboe"},
    )
