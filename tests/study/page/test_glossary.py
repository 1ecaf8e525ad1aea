"""The glossary of words on the page."""

import re

import pytest

from planner.study.page.glossary import glossary, terms_in
from tests.checks import some

KINDS = {"tempo", "tempo change", "dynamics", "character", "articulation", "technique"}


def test_it_has_at_least_150_terms_in_four_languages():
    assert len(glossary()) >= 150
    assert {term.language for term in glossary().values()} == {"it", "fr", "de", "en"}


def test_every_term_is_lower_case_of_a_known_kind_with_a_plain_meaning():
    for text, term in some(glossary().items()):
        assert text == text.casefold()
        assert term.kind in KINDS
        assert re.fullmatch(r"[a-z][^.;]+", term.meaning), term


def test_every_term_is_found_where_it_stands_alone():
    assert {text: [term.text for term in terms_in(text)] for text in glossary()} == {
        text: [text] for text in glossary()
    }


# Source: common dictionaries of musical terms.
@pytest.mark.parametrize(
    ("words", "kinds"),
    [
        ("Allegro ma non troppo", ["tempo"]),
        ("Sehr lebhaft", ["tempo"]),
        ("poco a poco cresc.", ["dynamics"]),
        ("pizz.", ["technique"]),
        ("molto espressivo e legato", ["character", "articulation"]),
        ("Un peu retenu", ["tempo change"]),
        ("mit Dämpfer", ["technique"]),
        ("Mässig bewegt", ["tempo", "tempo"]),
        ("Chorus 2", []),
        ("Medium swing", ["tempo"]),
        ("Easy swing of the arm", []),
        ("", []),
    ],
)
def test_words_in_context(words, kinds):
    assert [term.kind for term in terms_in(words)] == kinds


def test_degree_words_join_the_term_beside_them():
    assert terms_in("molto rit.")[0].meaning == "getting slower, very much"
    assert terms_in("rit. molto")[0].meaning == "getting slower, very much"
