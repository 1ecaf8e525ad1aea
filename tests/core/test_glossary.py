"""The glossary of words on the page."""

import csv
import re
from pathlib import Path

import pytest

from planner.core.glossary.english import ENGLISH, TECHNICAL_ENGLISH
from planner.core.glossary.meaning import meaning, says_again, with_degrees
from planner.core.glossary.reading import terms_in
from planner.core.glossary.terms import DEGREES, glossary
from planner.core.profile import TermUse
from tests.checks import some


def test_it_has_at_least_150_terms_in_four_languages():
    assert len(glossary()) >= 150
    assert {term.language for term in glossary().values()} == {"it", "fr", "de", "en"}


def test_every_term_is_lower_case_with_a_plain_meaning():
    for text, term in some(glossary().items()):
        assert text == text.casefold()
        assert re.fullmatch(r"[a-z][^.;]+", term.meaning), term


def test_degree_words_are_lower_case_with_a_plain_meaning():
    for text, plain in some(DEGREES.items()):
        assert text == text.casefold()
        assert re.fullmatch(r"[a-z ]+", plain), text


def test_where_two_languages_share_a_word_the_italian_one_stands():
    assert (glossary()["grave"].language, glossary()["grave"].meaning) == ("it", "very slow and heavy")


@pytest.mark.parametrize("language", ["it", "fr", "de", "en"])
def test_common_terms_are_understood(language):
    """Source of the list: from memory; what is left over are single words without a meaning of their own."""
    with (Path(__file__).parent / "common_terms.csv").open(encoding="utf-8", newline="") as file:
        terms = [row["term"] for row in csv.DictReader(file) if row["language"] == language]
    assert len(terms) >= 150
    left = [term for term in terms if not terms_in(term)]
    assert len(left) <= 6, left


def test_english_of_the_trade_is_in_the_glossary():
    assert set(ENGLISH) >= TECHNICAL_ENGLISH


# Source: dictionaries of musical terms, from memory.
@pytest.mark.parametrize(
    ("text", "phrase"),
    [
        ("schneller più allegro", "faster"),
        ("Allegro moderato", "moderately quick"),
        ("sans ralentir", "without slowing down"),
        ("Appassionato con moto", "with passion, moving along"),
        ("Leidenschaftlich bewegt", "moving along with passion"),
        ("Sans lenteur", "without dragging"),
        ("Allegro ma non troppo", "quick, but not too quick"),
        ("Andante, ma non troppo lento", "at a walking pace, not too slow"),
        ("poco a poco cresc. al fine", "getting louder little by little to the end"),
        ("più dolce", "sweeter and gentler"),
        ("un peu plus vite", "a little faster"),
        ("etwas langsamer", "a little slower"),
        ("immer schneller", "getting faster and faster"),
        ("nicht schleppen", "do not drag"),
        ("cédez un peu", "getting a little slower"),
        ("dolce, molto espressivo", "sweet and gentle, with great expression"),
        ("Poco meno mosso", "a little slower"),
        ("sempre pizz.", "plucked all the time"),
        ("a Tempo. Moins vite", "back to the tempo before, slower"),
        ("Mit Ausdruck, nicht zu schnell ( ca. 84)", "with expression, not too fast"),
        ("subito meno mosso", "suddenly slower"),
        ("sempre più appassionato", "with more and more passion"),
        ("senza rit.", "without slowing down"),
        ("Adagio (With free declamation)", "slow and calm"),
    ],
)
def test_words_are_explained_in_one_english_phrase(text, phrase):
    assert meaning(terms_in(text)) == phrase


@pytest.mark.parametrize(
    "text",
    [
        "Molto andante", "Adagio allegro", "Mit wechselnder Empfindung", "più cantabile (but no slower)",
        "il basso espressivo", "molto", "Verse 2", "quasi sempre", "Swaying, not fast",
        "con sord., poi senza sord., poi arco, poi pizz., poi tutti",
    ],
)  # fmt: skip
def test_what_makes_no_english_phrase_is_left_unexplained(text):
    assert terms_in(text) == ()


_CLUMSY = re.compile(
    r"\b(?:more|less|most) (?!tender\b|clever\b)\w+er\b|\b(\w+) \1\b|getting not"
    r"|\b(?:very|rather|too) (?:getting|with|at|in|like|as|very|fairly|more|less)\b"
    r"|\ba little (?:at|in|like|as)\b"
    r"|with (?:always|very|more more)|, all the time$"
)


def test_no_degree_makes_clumsy_english_of_any_term():
    plain = {term.meaning: text for text, term in glossary().items() if not term.is_plain}
    found = {
        with_degrees(TermUse(text, degrees))
        for text in some(plain.values())
        for degree in DEGREES
        for degrees in ((degree,), ("un poco", degree))
    }
    allowed = {"getting slower and slower", "getting faster and faster"}
    assert len(found) > 1000
    assert [each for each in sorted(found) if _CLUMSY.search(each) and each not in allowed] == []


def test_a_second_language_in_the_same_bar_says_it_again():
    assert says_again(terms_in("più tranquillo"), terms_in("Etwas ruhiger"))
    assert not says_again(terms_in("più tranquillo"), terms_in("dolce"))
    assert not says_again(terms_in("rit."), terms_in("a tempo"))
