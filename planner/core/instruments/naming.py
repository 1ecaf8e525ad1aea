"""What the name of a part says: which instruments, in which key, which chairs."""

import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache, lru_cache

from planner.core.instruments.names import NAMES
from planner.core.instruments.shared_names import COMPOUNDS, QUALIFIERS, SHARED, UNKNOWN
from planner.core.instruments.table import INSTRUMENTS, get_instrument

Weights = dict[str, float]
"""How often a name is used for each instrument that it can stand for, 1 the most."""


@dataclass(frozen=True, slots=True)
class NameReading:
    """A part's name taken apart.

    Attributes:
        mentions: For each instrument named, in order, ``(id, weight)`` of what its name can stand for.
        is_whole: Nothing was left over but chairs, keys and little words.
        is_blank: It says nothing about the instrument: empty, or "Part 3", whose number is no chair.
        key: Key named (``"bb"``), or empty.
        register: ``"low"`` (basso) or ``"high"`` (alto) when said of the key, else empty.
        clef: ``treble`` or ``bass`` when the name says which clef it is written in, else empty.
        chairs: Chair numbers in order of mention.
    """

    mentions: tuple[tuple[tuple[str, float], ...], ...] = ()
    is_whole: bool = False
    is_blank: bool = False
    key: str = ""
    register: str = ""
    clef: str = ""
    chairs: tuple[int, ...] = ()

    @property
    def ids(self) -> tuple[tuple[str, ...], ...]:
        """For each instrument named, the ids its name can stand for, the likeliest first."""
        return tuple(tuple(id_ for id_, _ in mention) for mention in self.mentions)

    @property
    def singers(self) -> tuple[str, ...]:
        """Ids of the singers that share the part, when it names several: those of "SATB"."""
        first, *rest = self.ids or ((),)
        return tuple(ids[0] for ids in rest) if first == ("voice",) else ()


_ROMAN = {"i": 1, "ii": 2, "iii": 3, "iv": 4, "v": 5, "vi": 6, "vii": 7, "viii": 8}
_ORDINAL = re.compile(r"^(\d+)(?:st|nd|rd|th|er|re|eme|ers|res|e|o|a|os|as|do|da|ro|ra|to|ta)?$")
_ORDINAL_WORDS = {
    word: number
    for number, words in enumerate((
        "first primo prima premier premiere erste erster erstes primer primero primera primi prime",
        "second secondo seconda deuxieme zweite zweiter segundo segunda secondi seconde seconds",
        "third terzo terza troisieme dritte dritter tercero tercer tercera",
        "fourth quarto quarta quatrieme vierte vierter cuarto cuarta",
    ), start=1)
    for word in words.split()
}  # fmt: skip


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


_FILLER = _words(
    "in en the of fur for solo soli sola solos tutti div divisi part section ripieno principale principal "
    "concertante concertato obbligato obligato ad lib only practice optional opt or ou oder o key a da de du "
    "des del di la le les der die das no nr nos num n solista solist player players mute muted con sord "
    "tuned drums high low sounding written transposed concert pitch orchestra band choir i desk desks sic "
    "stand lead large great gran grand grande grosse grosser senza sans ohne pour per para il el los las "
    "lo gli clave clef parte stimme nat natural crook pistons ventil to change changes muta and und et e y u "
    "auch mit avec with also doubling doubles ossia an den dem zu a2 a3 a4 "
    "ped pedal man manual manuals marching lead reduction accompaniment firmus"
)
_PARTING = _words("/ , ; ( ) & + and und et e y u con mit avec with auch also doubling doubles muta")
_BLANK = _words(
    "part parte partie instrument instrumento strumento instrumente staff staves stave system track score "
    "musicxml unnamed untitled new default line pentagrama portee rigo notenzeile no name piece music"
)
_LATIN_KEYS = {"do": "c", "ut": "c", "re": "d", "mi": "e", "fa": "f", "sol": "g", "la": "a", "si": "b"}
_GERMAN_KEYS = {
    "es": "eb", "as": "ab", "des": "db", "b": "bb", "h": "b", "fis": "f#", "ges": "gb", "cis": "c#",
    "hes": "bb",
}  # fmt: skip
_DOUBLED = {"bbb": "bb", "eeb": "eb", "cc": "c", "ff": "f", "bbbb": "bb"}
_REGISTERS = {
    "basso": "low", "bassa": "low", "low": "low", "tief": "low", "tiefes": "low", "grave": "low",
    "bas": "low", "bajo": "low", "alto": "high", "hoch": "high", "hohes": "high", "high": "high",
    "aigu": "high", "alta": "high",
}  # fmt: skip
_CLEF = re.compile(
    r"\b(treble|bass)[ -]?clef\b|\b(t|b)\. ?c\b\.?|(?<=\w )\(?(tc|bc)\b|\bcle(?:f)? de (sol|fa)\b"
    r"|\bim (violin|bass)schlussel\b|\b(?:in )?chiave di (violino|basso)\b|\ben clave de (sol|fa)\b"
)
_TREBLE_WORDS = frozenset({"treble", "t", "tc", "sol", "violin", "violino"})
_TOKEN = re.compile(r"[\w#]+(?:'\w+)*\.?|[/,;()&+]")
_SEPARATORS = frozenset("/,;()&+")
_VOICES = {"s": "soprano", "a": "alto", "t": "tenor", "b": "bass-voice"}
_VOICE_RUN = re.compile(r"^s*a*t*b*$")
_COMPOUND_HEADS = (
    "kontrabass", "kontraalt", "kontra", "bariton", "sopranino", "sopran", "piccolo", "pikkolo", "tenor",
    "bass", "alt",
)  # fmt: skip
_LONGEST = 5
"""Words in the longest spelling of the table."""
_TRANSPOSED = ("woodwind", "brass")


def fold(text: str) -> str:
    r"""Lower case without accents, signs spelled out, white space folded.

    Example:
        >>> fold("Große  Flöte\nin B♭")
        'grosse flote in bb'
    """
    text = text.replace("♭", "b").replace("♯", "#").replace("ß", "ss").replace("’", "'").replace("_", " ")
    text = text.replace("œ", "oe").replace("Œ", "oe")
    text = unicodedata.normalize("NFKD", text.casefold())
    text = "".join(c for c in text if not unicodedata.combining(c))
    text = re.sub(r"[^\w#'/&,;().+-]+", " ", text)
    key = r"\b([a-h]|si|mi|la|re|sol|do|ut|fa)[ -]*"
    text = re.sub(key + r"(?:flat|bemol(?:le)?)\b", r"\1b", text)
    text = re.sub(key + r"(?:sharp|dieze|diese|diesis|sostenido)\b", r"\1#", text)
    text = re.sub(r"\b(si|mi|la|re|sol)[ -]b\b\.?", r"\1b", text)
    return " ".join(text.replace("-", " ").split())


def words_of(text: str) -> list[str]:
    """The words of a folded text, without stops and signs.

    Example:
        >>> words_of("horns 1. & 2.")
        ['horns', '1', '2']
    """
    return [token.strip(".'") for token in _TOKEN.findall(text) if token not in _SEPARATORS]


@cache
def _index() -> dict[str, Weights]:
    """Folded spelling to what it can stand for; a key that is part of a name is left out, at a low weight."""
    found: dict[str, Weights] = {}
    for instrument in INSTRUMENTS:
        own = 1.0 if instrument.id in NAMES else _OTHER_KEY
        for name in (instrument.name, *(spelling for _, spelling in instrument.names)):
            words, bare = _without_key(name)
            weights = found.setdefault(bare, {})
            weight = own if words == bare else _OTHER_KEY
            weights[instrument.id] = max(weights.get(instrument.id, 0.0), weight)
    for name, weights in SHARED.items():
        found[name] = {**{id_: w for id_, w in found.get(name, {}).items() if w == _OTHER_KEY}, **weights}
    return {name: _with_other_keys(weights) for name, weights in found.items() if name}


def _with_other_keys(weights: Weights) -> Weights:
    """Whoever is called by the name of a kind may be written in another of its keys, or another clef."""
    others = {
        i.id: weight * (_OTHER_KEY if i.group == id_ else _OTHER_CLEF)
        for id_, weight in weights.items()
        for i in INSTRUMENTS
        if i.id not in weights and ((i.group == id_ and id_ in _IN_KEYS) or i.id == f"{id_}-treble")
    }
    sizes = {
        size: _OTHER_SIZE
        for id_, weight in weights.items()
        if weight == 1.0 and id_ in _IN_SIZES
        for size in COMPOUNDS[id_].values()
    }
    return {**sizes, **others, **weights}


_IN_SIZES = ("clarinet-bflat", "flute", "trumpet-bflat")
_OTHER_SIZE = 0.06
"""Weight of another size of an instrument: a bass clarinet called "Clarinet"."""
_IN_KEYS = ("horn-f", "trumpet-bflat", "trumpet-piccolo-bflat", "cornet-bflat", "clarinet-bflat", "tuba")
_OTHER_CLEF = 0.5
"""Weight of the part in treble clef of an instrument that usually reads bass clef."""


_OTHER_KEY = 0.3
"""Weight of an instrument whose name says more than is written: an A clarinet called "Clarinet"."""


def _without_key(name: str) -> tuple[str, str]:
    """A folded name of the table, with and without its key: E♭ Clarinet, Clarinette en la, A Clarinet."""
    tokens = [token for token in _TOKEN.findall(fold(name)) if token not in _SEPARATORS]
    words = [token.strip(".'") for token in tokens]
    keys = {
        at
        for at, word in enumerate(words)
        if _plain_key(word)
        or (at > 0 and words[at - 1] in ("in", "en") and _bare_key(word))
        or (tokens[at] in ("a", "c", "d", "f") and at == 0)
    }
    keys |= {at - 1 for at in keys if at > 0 and words[at - 1] in ("in", "en")}
    bare = " ".join(word for at, word in enumerate(words) if at not in keys)
    return " ".join(words), bare or " ".join(words)


@dataclass(slots=True)
class _Item:
    """A stretch of the name: an instrument, a size, or a word that is neither yet."""

    words: tuple[str, ...]
    weights: Weights = field(default_factory=dict)
    size: str = ""
    is_dotted: bool = False


@lru_cache(maxsize=4096)
def read_name(text: str) -> NameReading:
    """Take a part's name apart.

    Example:
        >>> read_name("Corno III in Mi♭").chairs, read_name("Corno III in Mi♭").key
        ((3,), 'eb')
    """
    folded = fold(text)
    clef = _clef_in(folded)
    tokens = _TOKEN.findall(folded)
    words = words_of(folded)
    is_plain = not _SEPARATORS & set(tokens) or (
        "(" in tokens and not _SEPARATORS & set(tokens) - {"(", ")"} and all(len(word) > 1 for word in words)
    )
    whole = _index().get(" ".join(words)) if is_plain else None
    if whole and UNKNOWN not in whole and not (len(words) > 1 and any(_plain_key(word) for word in words)):
        return NameReading((_ordered(whole),), is_whole=True, clef=clef)
    singers = _voice_letters(words)
    if singers:
        return singers
    items = _combined(_items(_TOKEN.findall(_CLEF.sub(" ", folded))))
    return _reading(items, clef)


def _clef_in(folded: str) -> str:
    found = _CLEF.search(folded)
    if not found:
        return ""
    return "treble" if next(filter(None, found.groups())) in _TREBLE_WORDS else "bass"


def _ordered(weights: Weights) -> tuple[tuple[str, float], ...]:
    return tuple(sorted(weights.items(), key=lambda pair: -pair[1]))


def _voice_letters(words: Sequence[str]) -> NameReading | None:
    """A name made of the letters of a choir: S, T II, S.A., SATB."""
    letters = [word for word in words if _chair(word) is None]
    chairs = tuple(found for word in words if (found := _chair(word)) is not None)
    if not letters or not all(_VOICE_RUN.match(word) for word in letters) or "bb" in letters:
        return None
    run = "".join(letters)
    if len(letters) > 1 and any(len(word) > 1 for word in letters):
        return None
    kinds = tuple(dict.fromkeys(run))
    if len(kinds) == 1:
        if len(run) > 2:
            return None
        return NameReading((((_VOICES[run[0]], 1.0),),), is_whole=True, chairs=chairs)
    singers = tuple(((_VOICES[letter], 1.0),) for letter in kinds)
    return NameReading(((("voice", 1.0),), *singers), is_whole=True, chairs=chairs)


def _is_choir(word: str) -> bool:
    return len(word) > 2 and len(set(word)) > 1 and bool(_VOICE_RUN.match(word))


def _items(tokens: Sequence[str]) -> list[_Item]:
    """The name from left to right, the longest spelling first; signs stay as items of their own."""
    index, found, at = _index(), [], 0
    words = [token.strip(".'") if token not in _SEPARATORS else token for token in tokens]
    while at < len(words):
        length = next(
            (n for n in range(min(_LONGEST + 2, len(words) - at), 0, -1) if _is_name(words, at, n)), 0
        )
        if length:
            phrase = _phrase(words[at : at + length])
            found.append(_Item(tuple(phrase.split()), dict(index[phrase]), QUALIFIERS.get(phrase, "")))
            at += length
            continue
        split = _plural(words[at]) or _split_compound(words[at])
        if _is_choir(words[at]):
            found.append(_Item((words[at],), {"voice": 1.0}))
        elif split:
            found += split
        else:
            size = "" if _is_register(words, at) else QUALIFIERS.get(words[at], "")
            found.append(_Item((words[at],), size=size, is_dotted=tokens[at].endswith(".")))
        at += 1
    return found


def _is_name(words: Sequence[str], at: int, length: int) -> bool:
    """A spelling of the table stands there. A single letter or number beside others is never a name."""
    word = words[at]
    if word in _SEPARATORS or _phrase(words[at : at + length]) not in _index():
        return False
    if length == 1:
        is_key = len(words) > 1 and bool(_plain_key(word))
        return not (len(word) == 1 or word in _ROMAN or _is_register(words, at) or is_key)
    return True


def _phrase(words: Sequence[str]) -> str:
    """The words as one spelling; brackets around a word of it do not part them: "Schlagzeug (Set) 1"."""
    plain = [word for word in words if word not in ("(", ")")]
    is_explained = words[-1] == ")" and words.count("(") == 1 and all(len(word) > 1 for word in plain)
    return " ".join(plain if is_explained else words)


def _is_register(words: Sequence[str], at: int) -> bool:
    """A word such as "basso" that is about the key before it, of a horn or a trumpet."""
    before = words[at - 1] if at else ""
    in_key = before in ("(", "in", "en") or bool(_plain_key(before)) or bool(_bare_key(before))
    return words[at] in _REGISTERS and in_key and _names_crooks(words)


def _names_crooks(words: Sequence[str]) -> bool:
    """A horn or trumpet, whose keys are said to be high or low."""
    return any(
        id_.startswith(("horn-", "trumpet-", "cornet-")) for word in words for id_ in _index().get(word, ())
    )


def _plural(word: str) -> list[_Item]:
    """A plural that the table does not spell: "Vlns."."""
    one = word.removesuffix("s")
    return [_Item((word,), dict(_index()[one]))] if one != word and len(one) > 2 and one in _index() else []


def _split_compound(word: str) -> list[_Item]:
    """A German compound that the table does not spell: "Basstrompete" is a size and an instrument."""
    for head in _COMPOUND_HEADS:
        rest = word.removeprefix(head).removeprefix("s" if head == "bass" else "")
        weights = _index().get(rest)
        if rest != word and len(rest) > 2 and weights:
            return [_Item((head,), size=QUALIFIERS.get(head, "")), _Item((rest,), dict(weights))]
    for head in ("es", "as", "b", "f", "c"):
        rest = word.removeprefix(head)
        if rest != word and len(rest) > 3 and rest in _index() and _takes_keys(_index()[rest]):
            return [_Item((head,)), _Item((rest,), dict(_index()[rest]))]
    return []


def _takes_keys(weights: Weights) -> bool:
    return any(get_instrument(id_).family in _TRANSPOSED for id_ in weights if id_)


def _combined(items: Sequence[_Item]) -> list[_Item]:
    """Size and instrument beside each other made one: "Clarinete bajo", "Saxophone (Alto)"."""
    found: list[_Item] = []
    for item in items:
        partner = _partner(found, item)
        if partner is None:
            found.append(item)
            continue
        noun, size = (item, found[partner].size) if not item.size else (found[partner], item.size)
        made = _sized(noun, size)
        found[partner] = _Item((*found[partner].words, *item.words), made)
    return found


def _partner(before: Sequence[_Item], item: _Item) -> int | None:
    """Place of the item that makes one name with this one: one is a size, the other an instrument."""
    if not (item.weights or item.size):
        return None
    for at in range(len(before) - 1, -1, -1):
        other = before[at]
        word = other.words[0]
        if other.weights or other.size:
            is_pair = bool(other.size) != bool(item.size) and bool((item if other.size else other).weights)
            between = {each.words[0] for each in before[at + 1 :]}
            noun = item if other.size else other
            is_apart = "(" in between and not (_is_sized(noun) or other.size)
            if is_apart or between & {"/", ",", ";", "&", "+", ")"}:
                return None
            return at if is_pair else None
        if word in ("and", "und", "et", "e", "y"):
            return None
    return None


def _base(weights: Weights) -> str:
    """The instrument that the sizes of a name are counted from; empty when it is not built in sizes."""
    for id_ in sorted(filter(None, weights), key=lambda each: -weights[each]):
        group = get_instrument(id_).group
        if id_ in COMPOUNDS:
            return id_
        if group in COMPOUNDS:
            return group
    return ""


def _is_sized(item: _Item) -> bool:
    return bool(_base(item.weights))


def _sized(noun: _Item, size: str) -> Weights:
    base = _base(noun.weights)
    if not base or noun.size:
        return noun.weights
    made = COMPOUNDS[base].get(size)
    if made:
        kin = {i.id: 0.3 for i in INSTRUMENTS if i.group == made and i.id != made and not i.id.endswith("-a")}
        return {made: 1.0, **(kin if base == "voice" else {}), **_treble_kin(made)}
    if list(noun.weights) == [made]:
        return noun.weights
    return {UNKNOWN: 1.0}


def _treble_kin(id_: str) -> Weights:
    return {i.id: 0.5 for i in INSTRUMENTS if i.id == f"{id_}-treble"}


def _reading(items: Sequence[_Item], clef: str) -> NameReading:
    mentions, is_plain = _merged(items)
    key, register, left = "", "", 0
    chairs: list[int] = []
    takes_keys = any(_takes_keys({id_: 1 for id_ in mention if id_}) for mention in mentions[:1])
    takes_keys = takes_keys or any(UNKNOWN in mention for mention in mentions)
    for at, item in enumerate(items):
        if item.weights:
            continue
        word = item.words[0]
        found = _key_at(items, at) if takes_keys or not mentions else ""
        number = _chair(word)
        if found and not key:
            key = found
            register = "low" if word in _DOUBLED else register
        elif word in _REGISTERS and key:
            register = _REGISTERS[word]
        elif number is not None:
            chairs += _chairs_from(number, items, at)
        elif word in _SEPARATORS or word in _FILLER or found or _is_spare(word, mentions):
            continue
        elif word not in _BLANK and not re.match(r"^p\d+$", word):
            left += 1
    if len(mentions) > 1 and all(_is_singer(mention) for mention in mentions):
        mentions = [{"voice": 1.0}, *(_singers(mention) for mention in mentions)]
    unknown = any(UNKNOWN in mention for mention in mentions)
    kept = tuple(_ordered({id_: w for id_, w in mention.items() if id_}) for mention in mentions)
    return NameReading(
        tuple(mention for mention in kept if mention),
        is_whole=bool(mentions) and not left and not unknown and is_plain,
        is_blank=not mentions and not left,
        key=key,
        register=register,
        clef=clef,
        chairs=tuple(dict.fromkeys(chairs)) if mentions or left else (),
    )


def _is_singer(mention: Weights) -> bool:
    most = max(mention.values())
    return any(id_ and w == most and get_instrument(id_).family == "voice" for id_, w in mention.items())


def _singers(mention: Weights) -> Weights:
    return {id_: w for id_, w in mention.items() if id_ and get_instrument(id_).family == "voice"}


def _is_spare(word: str, mentions: Sequence[Weights]) -> bool:
    """Single letters beside an instrument without keys: tunings of timpani, desks, divisions."""
    return bool(mentions) and (len(word) == 1 or bool(_plain_key(word)) or word in _LATIN_KEYS or
                               word in _GERMAN_KEYS)  # fmt: skip


_KIND_OF_DRUM = frozenset({"snare-drum", "tenor-drum", "cymbals"})
"""Drums and cymbals whose plain names ("Tambour", "Platillo") stand before what makes them others."""


def _merged(items: Sequence[_Item]) -> tuple[list[Weights], bool]:
    """The instruments named, one for what is said twice ("Bratsche. Viola", "Alto (Viola)").

    Returns:
        The instruments, and whether no two of them stand side by side without a sign or word between.
    """
    found: list[Weights] = []
    is_plain, is_beside = True, False
    for item in items:
        if not item.weights:
            is_beside = is_beside and _chair(item.words[0]) is None and item.words[0] not in _PARTING
            continue
        last = found[-1] if found else {}
        both = {id_: w for id_, w in item.weights.items() if min(w, last.get(id_, 0.0)) > _OTHER_SIZE}
        if both:
            found[-1] = both
        elif is_beside and max(last, key=lambda id_: last[id_]) in _KIND_OF_DRUM:
            found[-1] = item.weights
        else:
            is_plain = is_plain and not is_beside
            found.append(item.weights)
        is_beside = True
    return found, is_plain


def _key_at(items: Sequence[_Item], at: int) -> str:
    """The key that an item names, in its place."""
    word = items[at].words[0]
    before = items[at - 1].words[-1] if at else ""
    after = items[at + 1] if at + 1 < len(items) else None
    after_in = before in ("in", "en", "i")
    plain = _plain_key(word)
    if plain:
        return plain
    bare = _bare_key(word)
    if not bare:
        return ""
    follows_flat = after is not None and after.words[0] == "b" and word in "abdeg" and len(word) == 1
    if follows_flat:
        return f"{word}b"
    if before in tuple("abdeg") and word == "b" and not after_in:
        return ""
    if after_in:
        return bare
    if items[at].is_dotted and at + 1 < len(items) and len(word) == 1:
        return ""
    if word in ("e", "a", "la", "do", "si", "u"):
        starts = at == 0 and after is not None and bool(after.weights) and word in ("e", "a")
        closes = all(each.words[0] in _SEPARATORS or _chair(each.words[0]) for each in items[at + 1 :])
        first_number = after is not None and _chair(after.words[0]) is not None and word == "a"
        return bare if starts or (closes and not first_number) else ""
    return bare


def _plain_key(word: str) -> str:
    """A key that is nothing else: bb, eb, f#, sib, BBb."""
    if word in _DOUBLED:
        return _DOUBLED[word]
    if re.match(r"^[a-g][b#]$", word):
        return {"cb": "", "fb": ""}.get(word, word)
    latin = re.match(r"^(do|ut|re|mi|fa|sol|la|si)(b|#)$", word)
    return _LATIN_KEYS[latin.group(1)] + latin.group(2) if latin else ""


def _bare_key(word: str) -> str:
    """A key that a word may name where its place says so: F, B (B flat), H, Es, Re."""
    return _GERMAN_KEYS.get(word) or _LATIN_KEYS.get(word) or (word if re.match(r"^[acdefg]$", word) else "")


def _chairs_from(number: int, items: Sequence[_Item], at: int) -> Iterator[int]:
    """The chairs a number stands for: "2 Flutes" are the first and the second."""
    word, after = items[at].words[0], items[at + 1] if at + 1 < len(items) else None
    is_count = at == 0 and word.isdigit() and not items[at].is_dotted
    follows = after is not None and bool(after.weights) and _is_plural(" ".join(after.words))
    is_together = at > 1 and items[at - 1].words == ("a",) and bool(items[at - 2].weights)
    if 2 <= number <= 4 and ((is_count and follows) or is_together):
        yield from range(1, number + 1)
    else:
        yield number


@cache
def _plurals() -> frozenset[str]:
    """Folded plurals that are no singular."""
    many, one = set(), set()
    for instrument in INSTRUMENTS:
        for language in dict.fromkeys(tongue for tongue, _ in instrument.names):
            names = [" ".join(words_of(fold(name))) for name in instrument.names_in(language)]
            one.add(names[0])
            many.update(names[1:2])
    return frozenset(many - one)


def _is_plural(phrase: str) -> bool:
    return phrase in _plurals()


def _chair(word: str) -> int | None:
    if word in _ROMAN:
        return _ROMAN[word]
    if word in _ORDINAL_WORDS:
        return _ORDINAL_WORDS[word]
    match = _ORDINAL.match(word)
    return int(match.group(1)) if match and 0 < int(match.group(1)) < 20 else None
