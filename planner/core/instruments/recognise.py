"""Which instrument a part is for, from its name, sound, transposition and clef."""

import re
import unicodedata
from dataclasses import dataclass
from functools import cache

from planner.core.instruments.model import Instrument
from planner.core.instruments.table import INSTRUMENTS, get_instrument
from planner.core.pitch import Transposition
from planner.core.score import Clef


@dataclass(frozen=True, slots=True)
class Recognition:
    """What a part was taken for.

    Attributes:
        instrument: Id in the table, or empty when nothing fits.
        confidence: 0 (no idea) to 1 (name, transposition and clef agree).
        chair: Which of several parts for the instrument, 1 the first; None when none is named.
        question: What to ask the director, or empty when there is no doubt.
        chairs: Every chair the part is for (``"Horns 1, 2"`` gives ``(1, 2)``).
        doublings: Ids of instruments the player also takes up.
    """

    instrument: str
    confidence: float
    chair: int | None = None
    question: str = ""
    chairs: tuple[int, ...] = ()
    doublings: tuple[str, ...] = ()


_ROMAN = {"i": 1, "ii": 2, "iii": 3, "iv": 4, "v": 5, "vi": 6, "vii": 7, "viii": 8}
_ORDINAL = re.compile(r"^(\d+)(?:st|nd|rd|th|er|re|eme|e|o|a|\.)?$")
_ORDINAL_WORDS = {
    "first": 1, "second": 2, "third": 3, "fourth": 4, "primo": 1, "secondo": 2, "prima": 1, "seconda": 2,
    "premier": 1, "premiere": 1, "deuxieme": 2, "erste": 1, "zweite": 2, "terzo": 3, "quarto": 4,
}  # fmt: skip
_FILLER = frozenset(
    (
        "in", "en", "e", "and", "und", "et", "u", "the", "of", "fur", "for", "solo", "tutti", "div", "divisi",
        "a2", "a", "part", "stimme", "section", "ripieno", "principale", "concertante", "obbligato",
    )
)  # fmt: skip
_LATIN_KEYS = {
    "do": "c", "ut": "c", "re": "d", "mi": "e", "fa": "f", "sol": "g", "la": "a", "si": "b",
}  # fmt: skip
_GERMAN_KEYS = {"es": "eb", "as": "ab", "des": "db", "b": "bb", "h": "b", "fis": "f#", "ges": "gb"}
_KEY = re.compile(r"^([a-g])(b|#)?$")


def fold(text: str) -> str:
    r"""Lower case without accents, signs spelled out, white space folded.

    Example:
        >>> fold("Große  Flöte\nin B♭")
        'grosse flote in bb'
    """
    text = text.replace("♭", "b").replace("♯", "#").replace("ß", "ss").replace("’", "'")
    text = unicodedata.normalize("NFKD", text.casefold())
    text = "".join(c for c in text if not unicodedata.combining(c))
    text = re.sub(r"\b([a-g]|si|mi|la|re|sol|do|fa)[ -]?(?:flat|bemol(?:le)?)\b", r"\1b", text)
    text = re.sub(r"\b([a-g]|si|mi|la|re|sol|do|fa)[ -]?(?:sharp|diese|diesis)\b", r"\1#", text)
    return " ".join(re.sub(r"[^\w#'/&,;()-]+", " ", text.replace(".", ". ").replace("_", " ")).split())


@cache
def _index() -> dict[str, tuple[str, ...]]:
    """Folded spelling to ids, the most usual first."""
    found: dict[str, list[str]] = {}
    for instrument in INSTRUMENTS:
        for _, spelling in instrument.names:
            ids = found.setdefault(_words_key(spelling), [])
            if instrument.id not in ids:
                ids.append(instrument.id)
        ids = found.setdefault(_words_key(instrument.name), [])
        if instrument.id not in ids:
            ids.append(instrument.id)
    return {key: tuple(ids) for key, ids in found.items()}


def _words_key(text: str) -> str:
    return " ".join(_words(text))


def _words(text: str) -> list[str]:
    return [word for word in re.split(r"[\s/,;()&-]+", fold(text)) if word]


@dataclass(frozen=True, slots=True)
class _Reading:
    """What a name says once chairs and key are taken out."""

    ids: tuple[str, ...]
    is_whole: bool
    key: str
    is_low: bool
    chairs: tuple[int, ...]


def _read_name(text: str) -> _Reading:
    words = _words(text)
    whole = _index().get(" ".join(words))
    if whole:
        return _Reading(whole, True, "", False, ())
    chairs: list[int] = []
    rest: list[str] = []
    key, is_low = "", False
    for place, word in enumerate(words):
        after_in = place > 0 and words[place - 1] in ("in", "en")
        number = _chair(word)
        spelled = _key_of(word, after_in)
        if spelled and (after_in or len(word) <= 2) and not key:
            key = spelled
        elif number is not None and place + 1 <= len(words):
            chairs.append(number)
        elif word in ("basso", "low", "tief") and key:
            is_low = True
        elif word in ("alto", "high", "hoch") and key:
            continue
        else:
            rest.append(word)
    ids, is_whole = _match([w for w in rest if w not in _FILLER] or rest)
    return _Reading(ids, is_whole, key, is_low, tuple(chairs))


def _chair(word: str) -> int | None:
    if word in _ROMAN:
        return _ROMAN[word]
    if word in _ORDINAL_WORDS:
        return _ORDINAL_WORDS[word]
    match = _ORDINAL.match(word)
    return int(match.group(1)) if match and 0 < int(match.group(1)) < 20 else None


def _key_of(word: str, after_in: bool) -> str:
    if _KEY.match(word) and (after_in or len(word) == 2 or word in ("c", "d", "f")):
        return word
    if after_in or word in ("es", "sib", "mib"):
        latin = re.match(r"^(do|ut|re|mi|fa|sol|la|si)(b|#)?$", word)
        if latin:
            return _LATIN_KEYS[latin.group(1)] + (latin.group(2) or "")
        return _GERMAN_KEYS.get(word, "")
    return ""


def _match(words: list[str]) -> tuple[tuple[str, ...], bool]:
    """Ids for the longest run of words that is a name, and whether nothing was left over."""
    index = _index()
    for length in range(len(words), 0, -1):
        for start in range(len(words) - length + 1):
            ids = index.get(" ".join(words[start : start + length]))
            if ids:
                return ids, length == len(words)
    return (), False


def recognise(
    name: str,
    abbreviation: str = "",
    sound: str = "",
    midi_program: int | None = None,
    transposition: Transposition | None = None,
    clef: Clef | None = None,
    is_percussion: bool = False,
) -> Recognition:
    """Find the instrument of a part; transposition and clef overrule the name where they disagree.

    Example:
        >>> recognise("Clarinet in B♭ 2", transposition=Transposition(-1, -2)).instrument
        'clarinet-bflat'
    """
    reading = _read_name(name)
    ids = reading.ids or (_read_name(abbreviation).ids if abbreviation else ())
    if not ids and sound:
        ids = tuple(i.id for i in INSTRUMENTS if i.sound == sound)
    if not ids and is_percussion:
        ids = ("percussion",)
    if not ids and midi_program is not None:
        ids = tuple(i.id for i in INSTRUMENTS if i.midi_program == midi_program)
    chair = reading.chairs[0] if reading.chairs else None
    if not ids:
        return Recognition("", 0.0, chair, f"Which instrument plays the part “{name}”?", reading.chairs)
    if ids == ("trombone",) and clef and clef.sign == "G":
        ids = ("trombone-treble",)
    chosen = _by_transposition(ids, reading, transposition)
    return Recognition(chosen.id, 0.9 if reading.is_whole else 0.6, chair, "", reading.chairs)


def _by_transposition(
    ids: tuple[str, ...], reading: _Reading, transposition: Transposition | None
) -> Instrument:
    first = get_instrument(ids[0])
    kin = [get_instrument(i) for i in ids] + [i for i in INSTRUMENTS if i.group == first.group]
    if transposition is not None:
        for instrument in kin:
            if instrument.transposition.semitones == transposition.semitones:
                return instrument
    if reading.key:
        for instrument in kin:
            if _key_name(instrument) == (reading.key, reading.is_low):
                return instrument
    return first


def _key_name(instrument: Instrument) -> tuple[str, bool]:
    from planner.core.pitch import Pitch

    sounding = instrument.transposition.to_sounding(Pitch("C", 4))
    return sounding.pitch_class_name.lower(), "basso" in instrument.id
