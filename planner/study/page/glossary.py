"""What the words on the page mean."""

import re
from dataclasses import dataclass
from functools import cache

from planner.study.page.glossary_italian import ITALIAN
from planner.study.page.glossary_other import ENGLISH, FRENCH, GERMAN

_DEGREES: dict[str, str] = {
    "molto": "very much", "assai": "very", "poco a poco": "little by little", "un poco": "a little",
    "un pochettino": "just a little", "poco": "a little", "più": "more", "meno": "less",
    "ma non troppo": "but not too much", "non troppo": "not too much", "non tanto": "not so much",
    "quasi": "almost like", "sempre": "always", "très": "very", "peu à peu": "little by little",
    "un peu": "a little", "moins": "less", "plus": "more", "sehr": "very", "etwas": "somewhat",
    "nicht zu": "not too", "nach und nach": "little by little", "ziemlich": "rather", "immer": "always",
    "nicht": "not", "ein wenig": "a little", "assez": "rather", "sans": "without", "non": "not",
}  # fmt: skip
"""Words that only say how much; told together with the term they stand beside."""


_ONLY_IN_SHORT = frozenset(
    {"swing", "straight", "open", "play", "mute", "cue", "march", "warm", "broad", "kurz", "wild"}
)
_SHORT = 3
"""Everyday words count as terms only in a text of at most this many words. House choice."""


@dataclass(frozen=True, slots=True)
class Term:
    """A word on the page.

    Attributes:
        text: As the glossary spells it.
        kind: ``tempo``, ``tempo change``, ``dynamics``, ``character``, ``articulation`` or ``technique``.
        meaning: In plain words.
        language: ``it``, ``fr``, ``de`` or ``en``.
    """

    text: str
    kind: str
    meaning: str
    language: str


@cache
def glossary() -> dict[str, Term]:
    """Every term by its text; where two languages share a word, the Italian one stands."""
    terms: dict[str, Term] = {}
    for language, table in (("en", ENGLISH), ("de", GERMAN), ("fr", FRENCH), ("it", ITALIAN)):
        for text, (kind, meaning) in table.items():
            terms[text] = Term(text, kind, meaning, language)
    return terms


@cache
def _finder() -> re.Pattern[str]:
    words = sorted((*glossary(), *_DEGREES), key=lambda text: (-len(text), text))
    return re.compile(r"(?<!\w)(" + "|".join(map(re.escape, words)) + r")(?!\w)")


@cache
def terms_in(text: str) -> tuple[Term, ...]:
    """The terms in a text in order, each with the degree words beside it in its meaning.

    Example:
        >>> [(t.text, t.meaning) for t in terms_in("Poco a poco cresc. molto")]
        [('cresc', 'getting louder, little by little, very much')]
        >>> terms_in("Verse 2")
        ()
    """
    found: list[Term] = []
    waiting: list[str] = []
    for match in _finder().finditer(text.casefold().replace("’", "'")):
        word = match.group(1)
        term = glossary().get(word)
        if word in _ONLY_IN_SHORT and len(text.split()) > _SHORT:
            continue
        if word in _DEGREES and not (term and len(text.split()) == 1):
            if found:
                found[-1] = _with_degree(found[-1], _DEGREES[word])
            else:
                waiting.append(_DEGREES[word])
        elif term is not None:
            for degree in waiting:
                term = _with_degree(term, degree)
            waiting = []
            found.append(term)
    return tuple(found)


def _with_degree(term: Term, degree: str) -> Term:
    return Term(term.text, term.kind, f"{term.meaning}, {degree}", term.language)
