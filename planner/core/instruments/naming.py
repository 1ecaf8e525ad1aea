"""What the name of a part says: which instruments, in which key, which chairs."""

import re
import unicodedata
from dataclasses import dataclass
from functools import cache

from planner.core.instruments.table import INSTRUMENTS


@dataclass(frozen=True, slots=True)
class NameReading:
    """A part's name taken apart.

    Attributes:
        ids: For each instrument named, in order, the ids its spelling can stand for.
        is_whole: Nothing was left over but chairs, keys and little words.
        key: Key named (``"bb"``), or empty.
        is_low: The key is said to be the low one (basso).
        clef: ``treble`` or ``bass`` when the name says which clef it is written in, else empty.
        chairs: Chair numbers in order of mention.
    """

    ids: tuple[tuple[str, ...], ...] = ()
    is_whole: bool = False
    key: str = ""
    is_low: bool = False
    clef: str = ""
    chairs: tuple[int, ...] = ()


_ROMAN = {"i": 1, "ii": 2, "iii": 3, "iv": 4, "v": 5, "vi": 6, "vii": 7, "viii": 8}
_ORDINAL = re.compile(r"^(\d+)(?:st|nd|rd|th|er|re|eme|e|o|a|º)?$")
_ORDINAL_WORDS = {
    "first": 1, "second": 2, "third": 3, "fourth": 4, "primo": 1, "secondo": 2, "prima": 1, "seconda": 2,
    "premier": 1, "premiere": 1, "deuxieme": 2, "erste": 1, "zweite": 2, "dritte": 3, "vierte": 4,
    "terzo": 3, "terza": 3, "quarto": 4, "quarta": 4, "troisieme": 3, "quatrieme": 4,
}  # fmt: skip
_FILLER = frozenset(
    (
        "in", "en", "e", "and", "und", "et", "u", "the", "of", "fur", "for", "solo", "soli", "tutti", "div",
        "divisi", "a2", "a", "part", "section", "ripieno", "principale", "concertante", "obbligato", "ad",
        "lib", "only", "practice", "optional", "opt", "or", "ou", "oder", "o", "key",
    )
)  # fmt: skip
_LATIN_KEYS = {"do": "c", "ut": "c", "re": "d", "mi": "e", "fa": "f", "sol": "g", "la": "a", "si": "b"}
_GERMAN_KEYS = {"es": "eb", "as": "ab", "des": "db", "b": "bb", "h": "b", "fis": "f#", "ges": "gb"}
_KEY = re.compile(r"^([a-g])(b|#)?$")
_CLEF = re.compile(r"\b(treble|bass)[ -]?clef\b|\b(t|b)\. ?c\b\.?|(?<=\w )(tc|bc)\b")


def fold(text: str) -> str:
    r"""Lower case without accents, signs spelled out, white space folded.

    Example:
        >>> fold("Große  Flöte\nin B♭")
        'grosse flote in bb'
    """
    text = text.replace("♭", "b").replace("♯", "#").replace("ß", "ss").replace("’", "'").replace("_", " ")
    text = unicodedata.normalize("NFKD", text.casefold())
    text = "".join(c for c in text if not unicodedata.combining(c))
    text = re.sub(r"\b([a-g]|si|mi|la|re|sol|do|fa)[ -]?(?:flat|bemol(?:le)?)\b", r"\1b", text)
    text = re.sub(r"\b([a-g]|si|mi|la|re|sol|do|fa)[ -]?(?:sharp|diese|diesis)\b", r"\1#", text)
    text = re.sub(r"\b(es|as|b|a|c|d|f)-(?=[kthp])", r"in \1 ", text)
    return " ".join(re.sub(r"[^\w#'/&,;().-]+", " ", text).split())


def words_of(text: str) -> list[str]:
    """The words of a folded text, without stops and signs.

    Example:
        >>> words_of("horns 1. & 2.")
        ['horns', '1', '2']
    """
    return [word.strip(".'") for word in re.split(r"[\s/,;()&.-]+", text) if word.strip(".'")]


@cache
def _index() -> dict[str, tuple[str, ...]]:
    """Folded spelling to ids, English meanings first, then in the order of the table."""
    found: dict[str, dict[str, None]] = {}
    english = [(i.id, name) for i in INSTRUMENTS for name in (i.name, *i.names_in("en"))]
    others = [(i.id, name) for i in INSTRUMENTS for tongue, name in i.names if tongue != "en"]
    for id_, spelling in (*english, *others):
        found.setdefault(" ".join(words_of(fold(spelling))), {})[id_] = None
    return {key: tuple(ids) for key, ids in found.items() if key}


_LONGEST = 5
"""Words in the longest spelling of the table."""


def read_name(text: str) -> NameReading:
    """Take a part's name apart.

    Example:
        >>> read_name("Corno III in Mi♭").chairs, read_name("Corno III in Mi♭").key
        ((3,), 'eb')
    """
    folded = fold(text)
    whole = _index().get(" ".join(words_of(folded)))
    if whole:
        return NameReading((whole,), is_whole=True, clef=_clef_in(folded))
    clef = _clef_in(folded)
    words = words_of(_CLEF.sub(" ", folded))
    taken, rest = _find_names(words)
    return _with_rest(words, taken, rest, clef)


def _clef_in(folded: str) -> str:
    found = _CLEF.search(folded)
    if not found:
        return ""
    return "treble" if next(filter(None, found.groups())).startswith("t") else "bass"


def _find_names(words: list[str]) -> tuple[list[tuple[str, ...]], list[int]]:
    """Instruments named, in order, longest spelling first; and the places of the words left over."""
    index, found, rest, at = _index(), [], [], 0
    while at < len(words):
        for length in range(min(_LONGEST, len(words) - at), 0, -1):
            ids = index.get(" ".join(words[at : at + length]))
            if ids and not (length == 1 and _is_key_or_chair(words, at)):
                found.append(ids)
                at += length
                break
        else:
            rest.append(at)
            at += 1
    return found, rest


def _is_key_or_chair(words: list[str], at: int) -> bool:
    """A single letter or number beside a real name is never an instrument's abbreviation."""
    word = words[at]
    if len(words) == 1:
        return False
    after_in = at > 0 and words[at - 1] in ("in", "en")
    low = word in ("basso", "alto", "hoch", "tief") and at > 0 and bool(_key_of(words[at - 1], True))
    return low or len(word) == 1 or after_in or word in _ROMAN


def _with_rest(words: list[str], ids: list[tuple[str, ...]], rest: list[int], clef: str) -> NameReading:
    chairs: list[int] = []
    key, is_low, left = "", False, 0
    for at in rest:
        word = words[at]
        after_in = at > 0 and words[at - 1] in ("in", "en")
        number = _chair(word)
        spelled = _key_of(word, after_in)
        if spelled and not key:
            key = spelled
        elif number is not None:
            chairs.append(number)
        elif word in ("basso", "low", "tief", "bas"):
            is_low = True
        elif word not in _FILLER and word not in ("alto", "high", "hoch", "aigu") and not spelled:
            left += 1
    return NameReading(tuple(ids), bool(ids) and not left, key, is_low, clef, tuple(chairs))


def _chair(word: str) -> int | None:
    if word in _ROMAN:
        return _ROMAN[word]
    if word in _ORDINAL_WORDS:
        return _ORDINAL_WORDS[word]
    match = _ORDINAL.match(word)
    return int(match.group(1)) if match and 0 < int(match.group(1)) < 20 else None


def _key_of(word: str, after_in: bool) -> str:
    if after_in and word in _GERMAN_KEYS and word != "b":
        return _GERMAN_KEYS[word]
    if after_in and word == "b":
        return "bb"
    if _KEY.match(word) and (after_in or len(word) == 2 or word in "acdfg"):
        return word
    latin = re.match(r"^(do|ut|re|mi|fa|sol|la|si)(b|#)?$", word)
    if latin and (after_in or latin.group(2)):
        return _LATIN_KEYS[latin.group(1)] + (latin.group(2) or "")
    return ""
