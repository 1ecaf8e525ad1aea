"""What words in the course of a piece do to its tempo: loosen it, bring it back, change it by a share."""

import re
from dataclasses import dataclass
from enum import Enum, auto

from planner.study.time.tempo_words import (
    GERMAN_STEMS,
    MOODS,
    base_at,
    is_attribute,
    range_of,
    side_of,
    tempo_text,
)


class ChangeKind(Enum):
    """What happens to the tempo."""

    LOOSE = auto()
    """It gives way or presses on for a while, or is free; what comes after is for the next word to say."""
    BACK = auto()
    """It is again what it was before it was loosened."""
    FIRST = auto()
    """It is that of the beginning."""
    SECOND = auto()
    """It is the second one of the piece."""
    SAME = auto()
    """The beat keeps its speed."""
    SHARE = auto()
    """It changes at once by a share."""


@dataclass(frozen=True, slots=True)
class TempoChange:
    """A change of tempo in words.

    Attributes:
        kind: What happens.
        share: What the tempo is multiplied by (with ``BACK`` and ``FIRST``: after it is brought back).
        is_loose_after: Whether the same words loosen it again.
        by_degrees: Whether it goes on changing (*sempre più lento*).
    """

    kind: ChangeKind
    share: float = 1.0
    is_loose_after: bool = False
    by_degrees: bool = False


FASTER, SLOWER = 1.2, 0.8
A_LITTLE_FASTER, A_LITTLE_SLOWER = 1.1, 0.9
MUCH_FASTER, MUCH_SLOWER = 1.4, 0.7
"""Shares of *più mosso* and *meno mosso*, with *un poco* and with *molto*. House choice."""

_LOOSE = (
    # Italian
    r"rit|ritar\w*|riten\w*|rall|ralent\w*|rallent\w*|allarg\w*|slarg\w*|slent\w*|lentando|calando|smorz\w*"
    r"|morendo|perdend\w*|mancando|accel\w*|(?<!\bg )(?<!\bd )(?<!\ba )(?<!\be )(?<!\bc )string|stringendo"
    r"|affrett\w*|animando|incalz\w*|stretta?ndo|trattenuto|tratten|colla parte|colla voce|col canto"
    r"|ad lib\w*|a piacere|senza misura|senza tempo|rubato|recit\w*|liberamente|senza rigore"
    # French
    r"|cedez|cedant|cede|retenez|retenu\w*|retenant|retard\w*|elargi\w*|pressez|pressant|serrez|serrant"
    r"|en animant|animez|hatez|hatant|avancez|suivez|a volonte|sans rigueur|librement|a l aise"
    # German
    r"|zuruckh\w*|zuruckgehalten|zogern\w*|nachlass\w*|nachgeb\w*|verbreiter\w*|verlangsam\w*|verzoger\w*"
    r"|anhaltend|beschleunig\w*|eilend|drangend|vorwarts|treibend|frei im vortrag|frei im zeitmass|rezit\w*"
    # English
    r"|slow(?:ing)? down|slowing|slacken\w*|broadening|hold(?:ing)? back|dying away|relax(?:ing)?|push on"
    r"|pushing on|pushing|hurry(?:ing)?|quicken\w*|speed(?:ing)? up|press(?:ing)? on|moving ahead|freely"
    r"|out of time|follow the (?:voice|singer|soloist)"
)
_FREE = (
    r"colla parte|colla voce|col canto|ad lib\w*|a piacere|senza misura|senza tempo|rubato|recit\w*"
    r"|liberamente|senza rigore|suivez|a volonte|sans rigueur|librement|a l aise|frei im (?:vortrag|zeitmass)"
    r"|rezit\w*|freely|out of time|follow the (?:voice|singer|soloist)"
)
"""Those of the loosening words that leave the time to somebody, and make it neither slower nor faster."""
_SLOWLY_BY_DEGREES = (
    r"immer|sempre|toujours|de plus en plus|poco a poco|a poco a poco|peu a peu|nach und nach|allmahlich"
    r"|little by little|gradually|by degrees|werdend|werden|getting|becoming|devenant|en devenant|and"
)
_BACK = (
    r"a tempo(?! d[ei]\b)|al tempo|tempo subito|in tempo(?! d[ei]\b)|im tempo|^tempo$|^tempo [a-z]+ando$"
    r"|im zeitmass|im (?:alten|gleichen|fruheren|vorigen) (?:tempo|zeitmass)"
    r"|wieder (?:im )?(?:tempo|zeitmass)"
    r"|zum (?:tempo|zeitmass)|im takt|^zeitmass$|au mou?v\w*(?! d[eu]\b)|^mou?v\w*$|reprenez le mou?v\w*"
    r"|mou?v\w* precedent|tempo prec\w*|en mesure|(?:in|in strict|back in) time(?! of)"
    r"|(?:back to|resume) tempo"
    r"|resume speed|a battuta|wie (?:vorher|zuvor|fruher|vorhin|oben)|come sopra"
    r"|comme (?:avant|precedemment|plus haut)|as before|tempo di prima"
)
_FIRST = (
    r"tempo (?:primo|i|io|imo|1|1o|1mo|1er|ier|iniziale|del principio|dell inizio)|(?:primo|1o|io|imo) tempo"
    r"|(?:erste[sn]?|i|1|1tes) (?:zeitmass|tempo)|zur ersten bewegung|haupt(?:zeitmass|tempo)"
    r"|anfangs(?:tempo|zeitmass)|wie (?:zu|am|im|vom) anfang\w*|wie anfangs"
    r"|ursprunglich\w* (?:tempo|zeitmass)|(?:1er|1r|1|i|ier|premier) (?:mou?v\w*|tempo)"
    r"|mou?v\w* (?:initial|primitif|1er|du debut|du commencement)"
    r"|tempo du (?:debut|commencement)|comme (?:au|le) (?:debut|commencement)"
    r"|(?:first|original|opening|initial) (?:tempo|speed)|tempo of the (?:beginning|opening)"
    r"|as (?:at|in) (?:the )?(?:first|beginning|opening|start)|come prima|come (?:in|al) principio"
    r"|come all inizio"
)
_SECOND = (
    r"tempo (?:secondo|ii|2|2o|2do)|(?:2e|2d|2nd|second|deuxieme) (?:mou?v\w*|tempo)"
    r"|(?:zweites|ii|2) (?:zeitmass|tempo)"
)
_SAME = (
    r"(?:l i|l ?|lo )?stesso (?:tempo|movimento)|istesso (?:tempo|movimento)|medesimo (?:tempo|movimento)"
    r"|(?:le )?meme (?:mou?v\w*|tempo)|(?:gleiches|dasselbe|selbes) (?:tempo|zeitmass)"
    r"|(?:the )?same (?:tempo|speed)"
)
_DOUBLE = r"doppio movimento|doppio tempo|double time|twice as fast|doppelt so schnell|deux fois plus vite"
_HALF = r"half time|half as fast|half tempo|halb so schnell|deux fois (?:plus lent|moins vite)"
_NOT = r"(?:non|nicht|pas|not|senza|sans|ohne|without|no|ne|but no|never|kein\w*)"

_MORE = frozenset({"piu", "plus", "more"})
_LESS = frozenset({"meno", "moins", "less", "weniger", "minder"})
_BETWEEN = frozenset(["un", "poco", "de", "di", "en", "ancora"])
_A_LITTLE = re.compile(
    r"\b(?:un )?(?:poco|pochiss\w*|pochett\w*|pochino|etwas|ein wenig|peu|a little|slightly|somewhat|a bit)\b"
)
_MUCH = re.compile(r"\b(?:molto|assai|viel|bedeutend|beaucoup|bien|much|a lot|sehr)\b")
_ENGLISH = {
    "slower": -1, "faster": 1, "quicker": 1, "livelier": 1, "brisker": 1, "brighter": 1, "broader": -1,
    "calmer": -1,
}  # fmt: skip
_COMPARATIVE = ("er", "ere", "eres", "eren", "erem")


def _finder(words: str) -> re.Pattern[str]:
    return re.compile(rf"\b(?:{words})\b" if not words.startswith("^") else words)


_FIND = {
    kind: _finder(words)
    for kind, words in (
        (ChangeKind.FIRST, _FIRST),
        (ChangeKind.SECOND, _SECOND),
        (ChangeKind.SAME, _SAME),
        (ChangeKind.BACK, _BACK),
        (ChangeKind.LOOSE, _LOOSE),
    )
}
_BY_DEGREES, _TWICE, _HALVED = _finder(_SLOWLY_BY_DEGREES), _finder(_DOUBLE), _finder(_HALF)
_FREELY = _finder(_FREE)
_FORBIDDEN = re.compile(rf"\b{_NOT} (?:\w+ )?(?:{_LOOSE})\b")
_REPEATED = re.compile(r"\b(\w+er) and \1\b")


def tempo_change(text: str) -> TempoChange | None:
    """What a text does to the tempo in force; None when nothing, or when it sets one of its own.

    Example:
        >>> [tempo_change(each) for each in ("a tempo", "sans ralentir", "un poco più mosso")]
        [TempoChange(kind=<ChangeKind.BACK: 2>, share=1.0, is_loose_after=False, by_degrees=False), None, \
TempoChange(kind=<ChangeKind.SHARE: 6>, share=1.1, is_loose_after=False, by_degrees=False)]
    """
    words = tempo_text(text)
    if not words:
        return None
    words = _FORBIDDEN.sub(" ", words)
    share = _share(words)
    gradual = share != 1.0 and bool(_BY_DEGREES.search(words) or _REPEATED.search(words))
    loose = _last(ChangeKind.LOOSE, words)
    for kind in (ChangeKind.FIRST, ChangeKind.SECOND, ChangeKind.SAME, ChangeKind.BACK):
        at = _last(kind, words)
        if at >= 0:
            return TempoChange(kind, 1.0 if gradual else share, loose > at)
    if loose >= 0 or gradual:
        return TempoChange(ChangeKind.LOOSE, by_degrees=gradual)
    return TempoChange(ChangeKind.SHARE, share) if share != 1.0 else None


def moves_tempo(text: str) -> bool:
    """Whether a text asks for another speed than the one in force, or for one that changes.

    Example:
        >>> [moves_tempo(each) for each in ("rall.", "Etwas ruhiger", "sans ralentir", "colla voce")]
        [True, True, False, False]
    """
    change = tempo_change(_FREELY.sub(" ", tempo_text(text)))
    return change is not None and change.kind is not ChangeKind.SAME


def _last(kind: ChangeKind, words: str) -> int:
    """Where the last words of a kind begin; -1 without them."""
    return max((found.start() for found in _FIND[kind].finditer(words)), default=-1)


def _share(words: str) -> float:
    """What comparing words multiply the tempo by; 1 without them or where they are denied."""
    if _TWICE.search(words):
        return 2.0
    if _HALVED.search(words):
        return 0.5
    side = _compared(words.split())
    if side == 0:
        return 1.0
    if _A_LITTLE.search(words):
        return A_LITTLE_FASTER if side > 0 else A_LITTLE_SLOWER
    if _MUCH.search(words):
        return MUCH_FASTER if side > 0 else MUCH_SLOWER
    return FASTER if side > 0 else SLOWER


def _compared(words: list[str]) -> int:
    """1 where a text asks for faster than before, -1 for slower, 0 for neither."""
    for at, word in enumerate(words):
        if at and _is_denied(words, at):
            continue
        if word in _MORE or word in _LESS:
            after = at + 1
            while after < len(words) and words[after] in _BETWEEN:
                after += 1
            if after == len(words):
                if word == "meno" and len(words) <= 3:
                    return -1
                continue
            base = _any_base(words, after)
            if base:
                side = _side(base)
                return side if word in _MORE else -side
        elif word in _ENGLISH:
            return _ENGLISH[word]
        else:
            for ending in _COMPARATIVE:
                stem = word.removesuffix(ending)
                if stem != word and stem in GERMAN_STEMS and not is_attribute(words, at):
                    return _side(stem)
    return _mood_with_little(words)


_ONWARD = frozenset({"allant", "fliessend"})
"""Unhurried words of which *more* goes faster all the same: *plus allant*, *fliessender*. From memory."""


def _side(base: str) -> int:
    """1 where *more* of a tempo word is faster, -1 where it is slower."""
    return 1 if base in _ONWARD else side_of(*range_of(base)) or -1


def _any_base(words: list[str], at: int) -> str:
    """The tempo word at a place, nouns of motion included (*plus de mouvement*)."""
    return words[at] if words[at] in MOODS else base_at(words, at)[0]


def _mood_with_little(words: list[str]) -> int:
    """*Un poco animato*, *un peu animé* and their like compare with what went before."""
    if len(words) > 6 or not _A_LITTLE.match(" ".join(words)):
        return 0
    moved = next((word for word in words[1:4] if word in _MOVED), "")
    return side_of(*range_of(moved)) if moved else 0


_MOVED = frozenset(["animato", "anime", "mosso", "bewegt", "belebt", "animated"])
"""Words that compare where *a little* stands before them in the course of a piece. House choice."""


def _is_denied(words: list[str], at: int) -> bool:
    return bool(re.fullmatch(_NOT, words[at - 1])) or (at > 1 and bool(re.fullmatch(_NOT, words[at - 2])))
