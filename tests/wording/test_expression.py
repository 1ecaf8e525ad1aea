"""Articulation, style, fermatas and the words on the page, in words."""

from dataclasses import replace

import pytest

from planner.core.fact import Fact, FactKind, named
from planner.core.glossary.meaning import meaning
from planner.core.glossary.terms import TermKind
from planner.core.profile import Articulation, Expression, TermUse
from planner.wording.study.sentences import sentence_of, statements_of
from planner.wording.study_json import study_to_dict
from tests.fakes import make_profile

NUMBERS = tuple(str(number) for number in range(1, 13))


def profile_with(*articulations, **changes):
    profile = make_profile(measure_numbers=NUMBERS, **changes)
    return replace(profile, parts=(replace(profile.parts[0], articulations=articulations),))


def test_articulations_have_trade_names():
    found = profile_with(Articulation("staccato", 4, 0), Articulation("strong-accent", 1, 1))
    fact = Fact(FactKind.ARTICULATIONS, "Flute")
    assert sentence_of(fact, found) == "Articulation: staccatos from bar 1 and a marcato accent in bar 2."


def test_the_four_usual_kinds_of_articulation_are_named():
    names = ("staccato", "accent", "tenuto", "spiccato", "strong-accent")
    found = profile_with(*(Articulation(name, count, 0) for count, name in enumerate(names, 2)))
    sentence = sentence_of(Fact(FactKind.ARTICULATIONS, "Flute"), found)
    assert sentence == (
        "Articulation: accents from bar 1, tenutos from bar 1, spiccatos from bar 1 "
        "and marcato accents from bar 1."
    )


def test_an_articulation_without_a_trade_word_keeps_its_own():
    fact = Fact(FactKind.ARTICULATIONS, "Flute")
    found = profile_with(Articulation("soft-accent", 2, 0))
    assert sentence_of(fact, found) == "Articulation: soft accent marks from bar 1."


def test_styles_are_named_once_with_all_their_bars():
    fact = Fact(
        FactKind.STYLE,
        "Flute",
        places=((0, 3), (4, 7), (8, 11)),
        terms=("slurred", "staccato", "slurred"),
    )
    expected = "Mostly slurred in bars 1–4 and 9–12; staccato in bars 5–8."
    assert sentence_of(fact, profile_with()) == expected


WORDS = (
    Expression(1, "dolce", TermKind.CHARACTER, (TermUse("dolce"),)),
    Expression(2, "con sord.", TermKind.TECHNIQUE, (TermUse("con sord"),)),
)


def test_words_have_their_bar_and_meaning():
    fact = Fact(
        FactKind.WORDS,
        "Flute",
        places=((1, 1), (2, 2)),
        terms=("dolce", "con sord."),
        numbers=named(more=0),
    )
    profile = profile_with(expression=WORDS)
    expected = "Words: “dolce” in bar 2: sweet and gentle; “con sord.” in bar 3: with the mute"
    assert sentence_of(fact, profile) == f"{expected}."
    assert sentence_of(replace(fact, numbers=named(more=3)), profile) == f"{expected}; and 3 more."


@pytest.mark.parametrize(
    ("terms", "words"),
    [
        ((TermUse("rit", ("molto",)),), "getting much slower"),
        ((TermUse("cresc", ("poco a poco", "molto")),), "getting much louder little by little"),
        ((TermUse("allegro"), TermUse("con brio")), "quick and bright, with energy"),
        ((TermUse("brightly"), TermUse("bright")), "bright and quick"),
        ((TermUse("rallentando"), TermUse("rit")), "getting slower"),
    ],
)
def test_the_meaning_of_words_leaves_out_what_is_said_already(terms, words):
    assert meaning(terms) == words


def test_the_json_says_what_every_word_means():
    data = study_to_dict(profile_with(expression=WORDS))
    assert [(each["text"], each["kind"], each["meaning"]) for each in data["expression"]] == [
        ("dolce", "character", "sweet and gentle"),
        ("con sord.", "technique", "with the mute"),
    ]


def test_fermatas_are_listed_and_come_after_the_words():
    words = Fact(FactKind.WORDS, places=((2, 2),), terms=("con sord.",), numbers=named(more=0))
    fermatas = Fact(FactKind.FERMATAS, places=((0, 0), (7, 7)))
    found = statements_of(profile_with(expression=WORDS, facts=(words, fermatas)))
    assert [said.sentence for said in found] == [
        "Words: “con sord.” in bar 3: with the mute.",
        "Fermata in bars 1 and 8.",
    ]
    assert [said.measure for said in found] == [None, None]
