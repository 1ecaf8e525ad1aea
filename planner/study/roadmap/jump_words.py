"""What the words of a jump ask for, in English, Italian, French and German spelling.

Source: the terms in common use on printed parts, from memory.
"""

import re

_WITHOUT = re.compile(
    r"senza (?:rep|ritorn)|(?:no|without) rep|ohne wiederh|sans (?:rep|rép)|o\. ?w\.", re.IGNORECASE
)
_WITH = re.compile(r"con (?:rep|ritorn)|with rep|mit wiederh|avec (?:rep|rép)", re.IGNORECASE)
_CODA = re.compile(r"\bcoda\b|\bkopf\b|[⊕𝄌]", re.IGNORECASE)
_FINE = re.compile(r"\bfine\b|\bfin\b|\bende\b|\bschlu(?:ss|ß)\b|\bend\b", re.IGNORECASE)

_SECTION = re.compile(
    r"\b(?:men?uett?o?|minuet|scherzo|march|marcia|marsch|marche|polonaise|waltz|walzer|valse)\b"
    r"|\b[ms]\. ?d\. ?c",
    re.IGNORECASE,
)
_TRIO = re.compile(r"\btrio\b", re.IGNORECASE)


def names_section(text: str) -> bool:
    """Whether jump words name the section to play again, such as a minuet.

    Example:
        >>> names_section("Menuetto da capo"), names_section("M.D.C."), names_section("D.C.")
        (True, True, False)
    """
    return _SECTION.search(text) is not None


def opens_trio(text: str) -> bool:
    """Whether words open a trio.

    Example:
        >>> opens_trio("Trio. Vivace."), opens_trio("Allegro")
        (True, False)
    """
    return _TRIO.search(text) is not None


def wants_repeats(text: str) -> bool | None:
    """Whether jump words ask for the repeats again; None when they do not say.

    Example:
        >>> wants_repeats("D.C. senza replica"), wants_repeats("D.C. with repeats"), wants_repeats("D.C.")
        (False, True, None)
    """
    if _WITHOUT.search(text):
        return False
    return True if _WITH.search(text) else None


def leads_to(text: str) -> str:
    """Where jump words send the player in the end: ``fine``, ``coda``, or empty when they do not say.

    Example:
        >>> [leads_to(words) for words in ("D.C. al Fine", "Vom Zeichen bis Ende", "D.S. al Coda", "D.C.")]
        ['fine', 'fine', 'coda', '']
    """
    if _CODA.search(text):
        return "coda"
    return "fine" if _FINE.search(text) else ""
