"""Words on the page and what they mean, in four languages."""

from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from planner.core.glossary.french_german_english import ENGLISH, FRENCH, GERMAN
from planner.core.glossary.italian import ITALIAN

DEGREES: dict[str, str] = {
    "molto": "very much", "assai": "very", "poco a poco": "little by little", "un poco": "a little",
    "un pochettino": "just a little", "poco": "a little", "più": "more", "meno": "less",
    "ma non troppo": "but not too much", "non troppo": "not too much", "non tanto": "not so much",
    "quasi": "almost like", "sempre": "always", "très": "very", "peu à peu": "little by little",
    "un peu": "a little", "moins": "less", "plus": "more", "sehr": "very", "etwas": "somewhat",
    "nicht zu": "not too", "nach und nach": "little by little", "ziemlich": "rather", "immer": "always",
    "nicht": "not", "ein wenig": "a little", "assez": "rather", "sans": "without", "non": "not",
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
    """

    text: str
    kind: TermKind
    meaning: str
    language: str


@cache
def glossary() -> dict[str, Term]:
    """Every term by its text; where two languages share a word, the Italian one stands.

    Example:
        >>> glossary()["dolce"].meaning
        'sweetly, gently'
    """
    terms: dict[str, Term] = {}
    for language, table in (("en", ENGLISH), ("de", GERMAN), ("fr", FRENCH), ("it", ITALIAN)):
        for text, (kind, meaning) in table.items():
            terms[text] = Term(text, TermKind(kind), meaning, language)
    return terms
