"""Words on the page that the glossary knows."""

import pytest

from planner.core.glossary.reading import terms_in
from planner.core.glossary.terms import DEGREES, glossary
from planner.core.profile import TermUse


def test_every_term_is_found_where_it_stands_alone():
    assert {text: [use.term for use in terms_in(text)] for text in glossary()} == {
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
        ("Mässig bewegt", ["tempo"]),
        ("Chorus 2", []),
        ("Medium swing", ["tempo"]),
        ("Easy swing of the arm", []),
        ("", []),
    ],
)
def test_words_in_context(words, kinds):
    assert [glossary()[use.term].kind for use in terms_in(words)] == kinds


def test_degree_words_join_the_term_beside_them():
    assert terms_in("molto rit.") == (TermUse("rit", ("molto",)),)
    assert terms_in("rit. molto") == (TermUse("rit", ("molto",)),)
    assert terms_in("Poco a poco cresc. molto") == (TermUse("cresc", ("poco a poco", "molto")),)


def test_a_degree_word_alone_is_no_term():
    assert [text for text in DEGREES if text not in glossary() and terms_in(text)] == []
