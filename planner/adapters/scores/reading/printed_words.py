"""What printed words mean to a player: the roadmap, the tempo, a swell, or something else.

Words are judged only where the file has no ``sound`` attribute that settles it.
Source: common practice in Italian, English, French and German editions.
"""

import re
from typing import Literal

from planner.core.score import MarkKind

Swell = Literal["crescendo", "diminuendo"]

_ROADMAP: tuple[tuple[MarkKind, re.Pattern[str]], ...] = (
    ("dal-segno", re.compile(
        r"(?<![a-z])d\s*\.?\s*s\s*\.?(?![a-z'’])|\bd[ae]l\s+segno\b|\b(?:from|to)\s+the\s+sign\b|\bvom\s+zeichen\b"
        r"|\bab\s+dem\s+zeichen\b|\b(?:au|du|depuis\s+le)\s+signe\b"
    )),
    ("da-capo", re.compile(
        r"(?<![a-z])d\s*\.?\s*c\s*\.?(?![a-z'’])|\bda\s+capo\b|\bfrom\s+the\s+(?:beginning|top)\b|\bv[oo]m\s+anfang\b"
        r"|\bvon\s+anfang\b|\b(?:au|du|depuis\s+le)\s+(?:début|commencement)\b"
    )),
    ("to-coda", re.compile(
        r"^(?:to|al|alla|zur|à\s+la|a\s+la|vers\s+la|aller\s+à\s+la)\s+(?:the\s+)?(?:coda|kopf)\b|^to\s*[⊕𝄌]"
    )),
    ("fine", re.compile(r"^(?:il\s+)?(?:fine|fin|ende|schluss|schluß|the\s+end|end)\s*[.!:]?$"
        r"|^fine\b(?=\s*[(,])"
    )),
    ("coda", re.compile(r"^[⊕𝄌]?\s*(?:coda|kopf)\s*[.:]?$")),
    ("segno", re.compile(r"^[𝄋%]?\s*(?:segno|zeichen|signe)\s*[.:]?$|^𝄋$")),
)  # fmt: skip

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


def roadmap_kind(text: str) -> MarkKind | None:
    """The roadmap mark that words stand for, or None.

    Example:
        >>> [roadmap_kind(t) for t in ("D.C. al Fine", "Dal Segno", "To Coda", "FINE", "dolce")]
        ['da-capo', 'dal-segno', 'to-coda', 'fine', None]
    """
    lowered = text.casefold().strip().replace("ß", "ss")
    for kind, pattern in _ROADMAP:
        if pattern.search(lowered):
            return kind
    return None


def is_tempo(text: str) -> bool:
    """Whether words speak of speed.

    Example:
        >>> is_tempo("Allegro con brio"), is_tempo("poco rit."), is_tempo("dolce")
        (True, True, False)
    """
    return _TEMPO.search(text) is not None


def swell_kind(text: str) -> Swell | None:
    """Whether words ask for a swell, and which.

    Example:
        >>> swell_kind("poco a poco cresc."), swell_kind("dim. molto"), swell_kind("pizz.")
        ('crescendo', 'diminuendo', None)
    """
    if _CRESCENDO.search(text):
        return "crescendo"
    return "diminuendo" if _DIMINUENDO.search(text) else None
