"""The glossary of words on the page."""

import re

from planner.core.glossary.terms import DEGREES, glossary
from tests.checks import some


def test_it_has_at_least_150_terms_in_four_languages():
    assert len(glossary()) >= 150
    assert {term.language for term in glossary().values()} == {"it", "fr", "de", "en"}


def test_every_term_is_lower_case_with_a_plain_meaning():
    for text, term in some(glossary().items()):
        assert text == text.casefold()
        assert re.fullmatch(r"[a-z][^.;]+", term.meaning), term


def test_degree_words_are_lower_case_with_a_plain_meaning():
    for text, meaning in some(DEGREES.items()):
        assert text == text.casefold()
        assert re.fullmatch(r"[a-z ]+", meaning), text


def test_where_two_languages_share_a_word_the_italian_one_stands():
    assert (glossary()["grave"].language, glossary()["grave"].meaning) == ("it", "very slow and heavy")
