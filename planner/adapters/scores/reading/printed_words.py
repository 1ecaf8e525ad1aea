"""What printed words mean to a player: the roadmap, the tempo, a swell, or something else.

Words are judged only where the file has no ``sound`` attribute that settles it.
Source: common practice in Italian, English, French and German editions.
"""

import re
from typing import Literal

from planner.core.score import MarkKind

Swell = Literal["crescendo", "diminuendo"]

_JUMP: tuple[tuple[MarkKind, re.Pattern[str]], ...] = (
    ("dal-segno", re.compile(
        r"(?<![a-z])d\s*\.\s*s(?:\s*\.\s*s)?\s*\.?(?![a-z'’])|^\W*d\s?s(?:\s?s)?\b(?!['’])|\bd[ae]l\s+(?:segno|𝄋)"
        r"|\b(?:from|to)\s+the\s+sign\b|\bvom\s+(?:zeichen\b|𝄋)|\bab\s+dem\s+zeichen\b"
        r"|\b(?:au|du|depuis\s+le)\s+(?:signe\b|𝄋)|\bd\s*\.\s*(?=𝄋)"
    )),
    ("da-capo", re.compile(
        r"(?<![a-z])d\s*\.\s*c\s*\.?(?![a-z'’])|^\W*d\s?c\b(?!['’])|\bda\s?capo\b|\bfrom\s+the\s+(?:beginning|top)\b"
        r"|\bv[oo]m\s+anfang\b|\bvon\s+(?:anfang|vorne?)\b|\b(?:au|du|depuis\s+le)\s+(?:début|commencement)\b"
    )),
)  # fmt: skip
"""Words that send the player back."""

_BEFORE_A_NAME = re.compile(
    r"\b(?:on|at|after|before|until|till?|in|during|for|each|every|when|upon|nach|beim?|vor|zum|im"
    r"|dopo|prima\s+del|nel|al|après|avant|au|lors\s+du|à\s+la|tac(?:et|e)|omit|skip)(?:\s+(?:il|the|le|dem))?\s*$"
)
"""What before "D.S." or "D.C." makes words speak of that time and not ask for it: "voice tacet on D.S."."""

_ONLY_THEN = re.compile(r"\btac(?:et|e)\b|^\W*(?:time\s+)?(?:only|nur|solo|seulement|tutti)\b|^\W*time\b")
"""What after it does the same: "D.S. only", "D.C. time only"."""

_NTH_TIME = (
    r"(?:(?:on\s+)?(?:the\s+)?(?:\d+(?:st|nd|rd|th)?\.?|first|second|third|last)\s+(?:time|x)s?\W*"
    r"(?:only\W*)?)?"
)
"""What may stand before "To Coda" or "Fine": "2nd time", "last time only"."""

_SIGNS: tuple[tuple[MarkKind, re.Pattern[str]], ...] = (
    ("to-coda", re.compile(
        rf"^{_NTH_TIME}(?:go\s+)?(?:to|al|alla|zur|à\s+la|a\s+la|vers\s+la|aller\s+à\s+la)\s+(?:the\s+)?(?:coda|kopf)\b"
        rf"|^{_NTH_TIME}to\s*[⊕𝄌]"
    )),
    ("fine", re.compile(
        rf"^{_NTH_TIME}(?:il\s+)?(?:fine|fin|ende|schluss|the\s+end|end)\s*[.!:]*$|^fine\b(?=\W*(?:\(|,|of\b|last\b|after\b|d\.|nach\b|dopo\b|à\s+la\b))"
    )),
    ("coda", re.compile(r"^[⊕𝄌]?\s*(?:coda|kopf)\s*[.:]?$|^[⊕𝄌]$")),
    ("segno", re.compile(r"^[𝄋%]?\s*(?:segno|zeichen|signe)\s*[.:]?$|^𝄋$")),
)  # fmt: skip
"""Words that stand for a place."""

_MARKUP = ((re.compile(r"<sym>segno\w*</sym>|[\ue047\ue04a\ue04b]", re.IGNORECASE), "𝄋"),
           (re.compile(r"<sym>coda\w*</sym>|[\ue048\ue049]", re.IGNORECASE), "𝄌"),
           (re.compile(r"<[^<>]{1,80}>"), ""))  # fmt: skip
"""Signs that notation programs put into words, as SMuFL 1.4 glyphs or by name, and their other markup."""

_TEMPO = re.compile(
    r"\b(?:grave|largo|larghetto|larghissimo|lento|lentamente|adagi(?:o|etto|ssimo)|andant(?:e|ino)|moderat(?:o|ely)"
    r"|allegr(?:o|etto|amente|issimo)|viv(?:ace|o|acissimo)|prest(?:o|issimo)|maestoso|a\s+tempo|tempo"
    r"|con\s+moto|rit|riten|ritard|ritardando|ritenuto|rall|rallent|rallentando|accel|accelerando|string|stringendo|allarg|allargando"
    r"|slentando|calando|smorz|smorzando|morendo|mosso|affrettando|sostenuto|alla\s+breve|l'istesso|doppio\s+movimento"
    r"|vite|lent|lentement|mod[ée]r[ée]|anim[ée]|mouv(?:ement|t)?|retenu|retenez|pressez|serrez|c[ée]dez|ralentir|rapide"
    r"|langsam(?:er)?|schnell(?:er)?|m[äa](?:ß|ss)ig|lebhaft(?:er)?|bewegt(?:er)?|rasch(?:er)?|geschwind|zeitma(?:ß|ss)|eilend"
    r"|zögernd|breit(?:er)?|gehend|flie(?:ß|ss)end|munter|frisch"
    r"|slow(?:ly|er)?|fast(?:er)?|quick(?:ly|er)?|lively|brisk(?:ly)?|moderate|steady|half[-\s]time|double[-\s]time)\b",
    re.IGNORECASE,
)
_CRESCENDO = re.compile(r"\bcresc(?:endo|\b)|\bzunehmend\b|\banschwellend\b|\baugmente[zr]\b", re.IGNORECASE)
_DIMINUENDO = re.compile(
    r"\b(?:dim|dimin|diminuendo|decresc|decrescendo|decr)\b|\babnehmend\b|\bdiminue[zr]\b", re.IGNORECASE
)


_COMPARING = re.compile(
    r"(?:(?:un|poco|pochissimo|ancora|sempre|molto|assai|quasi|un\s+peu|encore|etwas|noch|viel|a\s+little|a\s+bit|much"
    r"|still)\.?\s+)*(?:pi[ùu]|meno|plus|moins|mehr|weniger|more|less)\b\W*",
    re.IGNORECASE,
)
"""Words that make the dynamic after them a step from what was before."""


def is_comparing(text: str) -> bool:
    """Whether words change what the dynamic after them means: "più" before *f* asks for louder, not for *f*.

    Example:
        >>> [is_comparing(text) for text in ("poco più", "meno", "sempre", "più mosso")]
        [True, True, False, False]
    """
    return _COMPARING.fullmatch(text.strip()) is not None


def plain_words(text: str) -> str:
    """Words without markup, signs as characters.

    Example:
        >>> plain_words('D.S. <font face="ScoreText"></font>\ue047'), plain_words("<sym>coda</sym>")
        ('D.S. 𝄋', '𝄌')
    """
    for pattern, sign in _MARKUP:
        text = pattern.sub(sign, text)
    return " ".join(text.split())


def roadmap_kind(text: str) -> MarkKind | None:
    """The roadmap mark that words stand for, or None.

    Words that only say when something holds ("voice tacet on D.S.", "D.C. only") are no jump.

    Example:
        >>> [roadmap_kind(t) for t in ("D.C. al Fine", "Dal Segno", "To Coda", "[FINE]", "dolce")]
        ['da-capo', 'dal-segno', 'to-coda', 'fine', None]
        >>> [roadmap_kind(t) for t in ("Voice tacet on D.S.", "D.S. only", "Fine (after D.C.)")]
        [None, None, 'fine']
    """
    lowered = plain_words(text).casefold().strip(' []()“”"')
    for kind, pattern in _SIGNS:
        if pattern.search(lowered):
            return kind
    for kind, pattern in _JUMP:
        found = pattern.search(lowered)
        if found and not _BEFORE_A_NAME.search(lowered[: found.start()]):
            return None if _ONLY_THEN.search(lowered[found.end() :]) else kind
    return None


def is_tempo(text: str) -> bool:
    """Whether words speak of speed.

    Example:
        >>> is_tempo("Allegro con brio"), is_tempo("poco rit."), is_tempo("dolce")
        (True, True, False)
    """
    return _TEMPO.search(text) is not None


_ALSO_SOUND = re.compile(r"\b(?:calando|smorz|smorzando|morendo|sostenuto)\b", re.IGNORECASE)


def is_for_its_staff(text: str) -> bool:
    """Whether words tell the players of their own staff how to play, also where they speak of speed.

    Example:
        >>> is_for_its_staff("dolce"), is_for_its_staff("morendo"), is_for_its_staff("Allegro")
        (True, True, False)
    """
    return not is_tempo(text) or _ALSO_SOUND.search(text) is not None


def swell_kind(text: str) -> Swell | None:
    """Whether words ask for a swell, and which.

    Example:
        >>> swell_kind("poco a poco cresc."), swell_kind("dim. molto"), swell_kind("pizz.")
        ('crescendo', 'diminuendo', None)
    """
    if _CRESCENDO.search(text):
        return "crescendo"
    return "diminuendo" if _DIMINUENDO.search(text) else None
