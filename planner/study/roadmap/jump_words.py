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

_SECTIONS = {
    "minuet": re.compile(r"\b(?:men?uett?o?|men\.|minuett?o?|min\.|m\.?(?= ?d\. ?c))", re.IGNORECASE),
    "scherzo": re.compile(r"\b(?:scherzo|sch\.|s\.?(?= ?d\. ?c))", re.IGNORECASE),
    "march": re.compile(r"\b(?:march|marcia|marsch|marche)\b", re.IGNORECASE),
    "polonaise": re.compile(r"\b(?:polonaise|polacca|polonez)\b", re.IGNORECASE),
    "waltz": re.compile(r"\b(?:waltz|walzer|valse|valzer)\b", re.IGNORECASE),
    "gavotte": re.compile(r"\bgavott[ae]\b", re.IGNORECASE),
    "bourree": re.compile(r"\bbourr[ée]e\b", re.IGNORECASE),
}
"""Dances and marches that are played again after a trio, by the words that name them."""
_TRIO = re.compile(r"\btrio\b", re.IGNORECASE)
_AL_SEGNO = re.compile(
    r"\b(?:al|sin'? ?al|fino al) (?:segno\b|𝄋)|\bbis zum zeichen\b|\bto the sign\b", re.IGNORECASE
)
_ENDLESS = re.compile(r"\b(?:senza|without|ohne|sans) (?:fine?|end|ende|schlu(?:ss|ß))\b", re.IGNORECASE)
_SECOND_SIGN = re.compile(r"\bd\.? ?s\.? ?s\b|𝄋 ?𝄋|\bsegno segno\b|\bdouble sign\b", re.IGNORECASE)
_FINE_ITSELF = re.compile(r"\bfine\b", re.IGNORECASE)


def section_named(text: str) -> str:
    """Which section jump words or a heading name, such as a minuet; empty for none.

    Example:
        >>> section_named("Menuetto da capo"), section_named("M.D.C."), section_named("D.C.")
        ('minuet', 'minuet', '')
    """
    if opens_trio(text):
        return ""
    return next((name for name, words in _SECTIONS.items() if words.search(text)), "")


def opens_trio(text: str) -> bool:
    """Whether words open a trio.

    Example:
        >>> opens_trio("Trio. Vivace."), opens_trio("Allegro")
        (True, False)
    """
    return _TRIO.search(text) is not None


def stops_at_sign(text: str) -> bool:
    """Whether a D.C. is played as far as a sign.

    Example:
        >>> stops_at_sign("D.C. al segno e poi la Coda"), stops_at_sign("D.C. al Fine")
        (True, False)
    """
    return _AL_SEGNO.search(text) is not None


def is_endless(text: str) -> bool:
    """Whether jump words say that there is no end.

    Example:
        >>> is_endless("D.C. al segno senza fine"), is_endless("D.C. al Fine")
        (True, False)
    """
    return _ENDLESS.search(text) is not None


def names_second_sign(text: str) -> bool:
    """Whether a D.S. goes to the second of two signs.

    Example:
        >>> names_second_sign("D.S.S. al Coda"), names_second_sign("D.S. al Coda")
        (True, False)
    """
    return _SECOND_SIGN.search(text) is not None


def names_fine(text: str) -> bool:
    """Whether jump words name a Fine that has to stand on the page ("bis zum Schluss" does not).

    Example:
        >>> names_fine("D.C. al Fine"), names_fine("D.C. senza fine"), names_fine("bis zum Schluss")
        (True, False, False)
    """
    return _FINE_ITSELF.search(_ENDLESS.sub("", text)) is not None


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
    return "fine" if _FINE.search(_ENDLESS.sub("", text)) else ""
