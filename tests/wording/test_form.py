"""Form in words."""

import pytest

from planner.core.fact import Fact, FactKind, named
from planner.core.profile import CODA, INTRODUCTION, OPENING, FormSection, Phrase
from planner.wording.study.sentences import sentence_of, statements_of
from tests.fakes import make_profile

TWENTY = tuple(str(number) for number in range(1, 21))


def phrases_of(*lengths):
    starts = [sum(lengths[:at]) for at in range(len(lengths))]
    return tuple(Phrase(start, start + bars - 1) for start, bars in zip(starts, lengths, strict=True))


def test_sections_are_named_with_their_bars():
    form = (FormSection("A", 0, 7), FormSection("A′", 8, 15), FormSection(CODA, 16, 16))
    profile = make_profile(form=form, measure_numbers=TWENTY)
    sentence = sentence_of(Fact(FactKind.SECTIONS, numbers=named(shown=3)), profile)
    assert sentence == "Sections: A (bars 1–8), A′ (bars 9–16), coda (bar 17)."


def test_sections_have_the_names_of_the_page_and_say_what_they_bring_again():
    form = (
        FormSection(INTRODUCTION, 0, 3), FormSection("A", 4, 7, "A"), FormSection("A", 8, 9, "B"),
        FormSection("C", 10, 11, "C"), FormSection("C", 12, 13), FormSection("A′", 14, 15, "D"),
        FormSection("D 2", 16, 17), FormSection(CODA, 18, 19, "E"),
    )  # fmt: skip
    profile = make_profile(form=form, measure_numbers=TWENTY)
    sentence = sentence_of(Fact(FactKind.SECTIONS, numbers=named(shown=8)), profile)
    assert sentence == (
        "Sections: introduction (bars 1–4), A (bars 5–8), B (bars 9–10, A again), C (bars 11–12), "
        "C again (bars 13–14), D (bars 15–16, A varied), a new tune (bars 17–18), E, the coda (bars 19–20)."
    )


def test_an_opening_without_a_name_and_a_trio_are_called_so():
    form = (
        FormSection(OPENING, 0, 7), FormSection("Trio", 8, 11, "Trio"), FormSection("Trio", 12, 15),
        FormSection(OPENING, 16, 19, "C"),
    )  # fmt: skip
    profile = make_profile(form=form, measure_numbers=TWENTY)
    sentence = sentence_of(Fact(FactKind.SECTIONS, numbers=named(shown=4)), profile)
    assert sentence == (
        "Sections: opening (bars 1–8), Trio (bars 9–12), Trio again (bars 13–16), "
        "C (bars 17–20, the opening again)."
    )


def test_sections_left_out_are_owned_up_to_and_an_upbeat_is_no_bar():
    form = (FormSection("A", 0, 4), FormSection("B", 5, 8))
    profile = make_profile(form=form, measure_numbers=("0", *TWENTY), uncounted=(0,))
    sentence = sentence_of(Fact(FactKind.SECTIONS, numbers=named(shown=1)), profile)
    assert sentence == "Sections: A (bars 1–4 with the pickup) and so on."


def test_the_return_of_the_opening_is_given_by_its_first_bars():
    profile = make_profile(measure_numbers=TWENTY)
    once = Fact(FactKind.OPENING_RETURNS, places=((12, 15),))
    assert sentence_of(once, profile) == "The opening melody returns in bar 13."
    twice = Fact(FactKind.OPENING_RETURNS, places=((8, 11), (16, 19)))
    assert sentence_of(twice, profile) == "The opening melody returns in bars 9 and 17."


def test_a_statement_of_the_return_has_a_first_bar_and_no_last():
    [found] = statements_of(make_profile(facts=(Fact(FactKind.OPENING_RETURNS, places=((12, 15),)),)))
    assert (found.topic, found.measure, found.end_measure) == ("form", 12, None)


@pytest.mark.parametrize(
    ("lengths", "usual", "alike", "sentence"),
    [
        ((4, 4, 4, 4), 4, 4, "All four phrases have four bars."),
        ((4, 6, 4), 4, 2, "Phrases of four, six and four bars."),
        ((4,) * 8 + (6,), 4, 8, "8 of the 9 phrases have four bars."),
    ],
)
def test_phrases_are_alike_or_given_one_by_one_or_summed_up(lengths, usual, alike, sentence):
    each = tuple(("length", float(bars)) for bars in lengths)
    fact = Fact(FactKind.PHRASES, numbers=(*named(phrases=len(lengths), usual=usual, alike=alike), *each))
    assert sentence_of(fact, make_profile(phrases=phrases_of(*lengths))) == sentence
