"""Words on the page and what they mean, in four languages."""

from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from planner.core.glossary.english import ENGLISH, TECHNICAL_ENGLISH
from planner.core.glossary.french import FRENCH
from planner.core.glossary.german import GERMAN
from planner.core.glossary.italian import ITALIAN

DEGREES: dict[str, str] = {
    "molto": "very much", "assai": "very", "poco a poco": "little by little", "un poco": "a little",
    "un poco a poco": "little by little", "a poco a poco": "little by little", "un po": "a little",
    "un pochettino": "just a little", "pochettino": "just a little", "pochiss": "just a little",
    "pochissimo": "just a little", "poco": "a little", "più": "more", "meno": "less", "ancora": "even",
    "ma non troppo": "but not too much", "non troppo": "not too much", "non tanto": "not so much",
    "ma non tanto": "but not too much", "ma non molto": "but not too much",
    "quasi": "almost like", "sempre": "always", "sempre più": "more and more", "ben": "well",
    "al fine": "to the end",
    "sino al fine": "to the end", "fino al fine": "to the end", "sin al fine": "to the end",
    "subito": "suddenly",
    "très": "very", "bien": "well", "peu à peu": "little by little", "un peu": "a little", "encore": "even",
    "moins": "less", "plus": "more", "de plus en plus": "more and more", "toujours": "always",
    "jusqu'à la fin": "to the end", "pas trop": "not too", "sans": "without", "assez": "rather",
    "subitement": "suddenly",
    "sehr": "very", "recht": "very", "äusserst": "very", "etwas": "somewhat", "nicht zu": "not too",
    "doch nicht zu": "not too", "nicht zu sehr": "not too", "nach und nach": "little by little",
    "allmählich": "little by little", "ziemlich": "rather", "immer": "always", "noch": "even",
    "nicht": "not", "ein wenig": "a little", "plötzlich": "suddenly", "bis zum ende": "to the end",
    "bis zum schluss": "to the end", "stets": "always", "non": "not", "senza": "without", "ohne": "without",
    "very": "very", "a little": "a little", "somewhat": "somewhat", "rather": "rather", "not too": "not too",
    "gradually": "little by little", "little by little": "little by little", "suddenly": "suddenly",
    "poco a poco sempre più": "more and more", "much": "very much", "a bit": "a little", "quite": "rather",
}  # fmt: skip
"""Words that only say how much, with their meaning; they go with the term they stand beside. From memory."""


class TermKind(StrEnum):
    """What a word on the page is about."""

    TEMPO = "tempo"
    TEMPO_CHANGE = "tempo change"
    DYNAMICS = "dynamics"
    CHARACTER = "character"
    ARTICULATION = "articulation"
    TECHNIQUE = "technique"


@dataclass(frozen=True, slots=True)
class Term:
    """A word on the page.

    Attributes:
        text: As the glossary spells it.
        kind: What it is about.
        meaning: In plain words.
        language: ``it``, ``fr``, ``de`` or ``en``.
        is_plain: Whether it is an everyday English word, which says itself what it means.
    """

    text: str
    kind: TermKind
    meaning: str
    language: str
    is_plain: bool = False


@cache
def glossary() -> dict[str, Term]:
    """Every term by its text; where two languages share a word, the Italian one stands.

    Example:
        >>> glossary()["dolce"].meaning
        'sweet and gentle'
    """
    terms: dict[str, Term] = {}
    for language, table in (("en", ENGLISH), ("de", GERMAN), ("fr", FRENCH), ("it", ITALIAN)):
        for text, (kind, meaning) in table.items():
            is_plain = language == "en" and text not in TECHNICAL_ENGLISH
            terms[text] = Term(text, TermKind(kind), meaning, language, is_plain)
    return terms
