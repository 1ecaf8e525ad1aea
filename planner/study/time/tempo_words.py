"""What the tempo words of a page mean in beats a minute: the word, its degree, and whether it is denied."""

import math
import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

TEMPO_RANGES: dict[str, tuple[int, int]] = {
    "grave": (25, 45),
    "largo": (40, 60),
    "lento": (45, 65),
    "larghetto": (50, 66),
    "adagio": (55, 76),
    "adagietto": (58, 76),
    "andante": (60, 108),
    "andantino": (70, 108),
    "maestoso": (88, 92),
    "moderato": (80, 120),
    "allegretto": (100, 128),
    "allegro": (109, 168),
    "vivace": (126, 176),
    "presto": (144, 200),
    "prestissimo": (178, 208),
}
"""Lowest and highest beats a minute that published tables give to each word.

Source: the union of kenclassical.blogspot.com "Music tempo markings", instrument.bible
"Tempo", musique-harmonie.fr "Tempo" and the lossenderosstudio.com survey chart (Maestoso:
the traditional metronome scale); the tables disagree, so a word is kept as a range.
"""

SAME_AS: dict[str, str] = {
    # French
    "lent": "lento", "lente": "lento", "lentement": "lento", "lenteur": "lento", "large": "largo",
    "largement": "largo", "modere": "moderato", "moderee": "moderato", "moderement": "moderato",
    "anime": "allegro", "animee": "allegro", "vif": "vivace", "vive": "vivace", "vivement": "vivace",
    "vite": "allegro", "vitesse": "allegro", "rapide": "presto", "rapidement": "presto",
    "allant": "andante", "gai": "allegro", "gaiement": "allegro", "gaiment": "allegro",
    "allegrement": "allegro", "mouvemente": "allegretto",
    "mouvement de marche": "allegretto", "mouvement de valse": "vivace",
    "mouvement de menuet": "moderato",
    # German
    "langsam": "lento", "breit": "largo", "gehend": "andante", "schreitend": "andante", "massig": "moderato",
    "gemachlich": "andante", "gemessen": "andante", "bewegt": "allegretto", "lebhaft": "allegro",
    "munter": "allegretto", "munterkeit": "allegretto", "frisch": "allegro", "schnell": "allegro",
    "rasch": "allegro", "geschwind": "allegro", "flott": "allegro", "eilig": "presto", "hurtig": "allegro",
    "getragen": "adagio", "gehalten": "adagio", "schleppend": "largo", "feierlich": "maestoso",
    "fliessend": "andantino", "marschmassig": "allegretto", "marschtempo": "allegretto",
    "walzertempo": "vivace", "landlertempo": "allegretto", "lebendig": "allegro", "bedachtig": "andante",
    # English
    "slow": "lento", "slowly": "lento", "broad": "largo", "broadly": "largo", "stately": "maestoso",
    "majestically": "maestoso", "moderate": "moderato", "moderately": "moderato",
    "medium tempo": "moderato", "walking pace": "andante", "walking tempo": "andante", "lively": "allegro",
    "fast": "allegro", "brightly": "allegro", "bright": "allegro", "brisk": "allegro",
    "briskly": "allegro", "quick": "allegro", "quickly": "allegro", "rapidly": "presto", "rapid": "presto",
    "gently moving": "andante", "flowing": "andante", "march tempo": "allegretto",
    "march time": "allegretto", "waltz time": "vivace", "waltz tempo": "vivace",
    # Italian cousins of the table's words
    "largamente": "largo", "larghissimo": "grave", "lentamente": "lento", "adagissimo": "largo",
    "vivo": "vivace", "vivacissimo": "presto", "allegrissimo": "presto", "allegramente": "allegro",
    "veloce": "presto", "velocissimo": "prestissimo", "moderatamente": "moderato", "comodo": "moderato",
    "commodo": "moderato", "tempo di polacca": "moderato", "alla polacca": "moderato",
    "alla siciliana": "larghetto",
    "tempo di marcia": "allegretto", "tempo di marcia funebre": "largo", "marcia funebre": "largo",
    "alla marcia": "allegretto", "marziale": "allegretto", "tempo di valse": "vivace",
    "tempo di valzer": "vivace", "tempo di minuetto": "moderato", "tempo di menuetto": "moderato",
    "tempo giusto": "moderato",
}  # fmt: skip
"""Other words and phrases, plain (see ``plain``), by the table word they come nearest to. From memory."""

MOODS: dict[str, tuple[int, int]] = {
    "ruhig": (60, 84), "calme": (60, 84), "tranquillo": (60, 84), "tranquille": (60, 84),
    "calmo": (60, 84), "sostenuto": (60, 80), "calm": (60, 84), "calmly": (60, 84), "soutenu": (60, 80),
    "mosso": (100, 128), "moto": (100, 128), "mouvement": (100, 128), "bewegung": (100, 128),
    "movement": (100, 128), "motion": (100, 128), "animato": (100, 138), "animated": (100, 138),
    "belebt": (100, 138), "agitato": (116, 152), "agite": (116, 152), "unruhig": (116, 152),
    "erregt": (116, 152), "feurig": (116, 152), "stretto": (116, 152), "hate": (116, 152),
    "hast": (116, 152), "eile": (116, 152), "eilen": (116, 152), "fretta": (116, 152),
    "hurry": (116, 152), "haste": (116, 152),
}  # fmt: skip
"""Words of mood that tell a speed where they head a piece or stand beside a tempo word. House choice,
inside the ranges of the tempo words that dictionaries explain them by."""

EXPRESSIVE = frozenset({
    "largamente", "largement", "broadly", "broad", "comodo", "allant", "gehalten", "getragen",
    "feierlich", "fliessend", "flowing", "schleppend", "gemessen", "stately", "majestically",
    "marziale",
})  # fmt: skip
"""Tempo words that in the course of a piece only say how to play, like words of mood."""

_NOUNS = frozenset({"moto", "mouvement", "bewegung", "movement", "motion"})
"""Moods only with a preposition before them: *con moto*, *avec mouvement*, *mit Bewegung*."""

_VERY = frozenset({
    "molto", "assai", "tres", "sehr", "very", "bien", "recht", "ganz", "ausserst", "hochst",
    "extremely", "fort", "possibile", "moglich", "possible",
})  # fmt: skip
_LITTLE = frozenset({
    "poco", "pochettino", "pochissimo", "pochiss", "pochino", "etwas", "wenig", "peu", "little",
    "slightly", "somewhat", "ziemlich", "assez", "rather", "fairly", "quite", "piuttosto",
    "abbastanza", "plutot",
})  # fmt: skip
_NOT = frozenset({
    "non", "nicht", "pas", "not", "senza", "sans", "ohne", "without", "kein", "keine", "keineswegs",
    "never", "no",
})  # fmt: skip
_TOO = frozenset(["troppo", "zu", "allzu", "trop", "too", "tanto", "tant", "tellement", "exces", "overly"])
_JOINS = frozenset({
    "ma", "mais", "aber", "doch", "jedoch", "but", "e", "ed", "et", "und", "and", "con", "mit",
    "avec", "with", "durchaus", "quasi", "ne", "so",
})  # fmt: skip
_PREPOSITIONS = frozenset({"con", "mit", "avec", "with", "senza", "sans", "ohne", "without", "in"})
_SKIPPED = frozenset({
    "un", "ein", "a", "an", "l", "il", "the", "le", "la", "die", "das", "der", "in", "im", "di", "de",
    "d", "at", "as", "wie", "sich",
})  # fmt: skip

GERMAN_STEMS = frozenset({
    "langsam", "breit", "gehend", "schreitend", "massig", "gemachlich", "gemessen", "bewegt",
    "lebhaft", "munter", "frisch", "schnell", "rasch", "geschwind", "flott", "eilig", "hurtig",
    "getragen", "gehalten", "schleppend", "feierlich", "fliessend", "ruhig", "belebt",
    "unruhig", "erregt", "feurig",
})  # fmt: skip
_ENDINGS = ("e", "es", "en", "em")

MODERATE = TEMPO_RANGES["moderato"]
NOT_TOO, A_LITTLE, NOT_WITHOUT = 0.5, 0.33, 0.33
"""How far towards moderate *not too*, *a little* (*rather*) and a double negation go, on a scale of
ratios. House choice: *Allegro ma non troppo* comes near the tables' *Allegretto*."""
VERY = 1.15
"""What *very* multiplies a fast word by and divides a slow one by. House choice: the tables' step from
*Lento* to *Largo* and from *Vivace* to *Presto*."""
DENIED_FAST, DENIED_SLOW = (72, 108), (88, 126)
"""What *not fast* and *not slow* leave: the moderate, leaning to the other side. House choice."""
SECOND_WORD = 1 / 3
"""Weight of a second tempo word beside the first (*Allegro moderato*). House choice."""
MOST_WORDS = 14
"""Longer texts are notes to the reader, not tempo words. House choice."""

_NOTE = re.compile(r"\s*\*|.*\batt?acca", re.IGNORECASE)
"""Footnotes, and words about what comes next."""

_TOKEN = re.compile(r"[^\W_]+")
_BASES: dict[tuple[str, ...], str] = {tuple(word.split()): word for word in (*TEMPO_RANGES, *SAME_AS, *MOODS)}
_LONGEST = max(map(len, _BASES))


@dataclass(frozen=True, slots=True)
class WordSpeed:
    """What a tempo word asks for.

    Attributes:
        word: The plain word that gives it.
        low, high: Beats a minute of a beat that is a quarter.
        is_mood: Whether only a word of mood gives it.
    """

    word: str
    low: int
    high: int
    is_mood: bool = False


@dataclass(frozen=True, slots=True)
class _Item:
    word: str
    low: float
    high: float
    denied: bool = False


def plain(text: str) -> str:
    """Words without accents, capitals and punctuation, one space between them.

    Example:
        >>> plain("Più Allegro, ma non troppo!"), plain("Mäßig"), plain("l’istesso")
        ('piu allegro ma non troppo', 'massig', 'l istesso')
    """
    folded = unicodedata.normalize("NFKD", text.casefold().replace("maessig", "mässig"))
    return " ".join(_TOKEN.findall("".join(c for c in folded if not unicodedata.combining(c))))


def tempo_text(text: str) -> str:
    """The plain words of a text that may speak of tempo; empty for a footnote and whatever is too long.

    Example:
        >>> tempo_text("* Presto in the first edition"), tempo_text("Più mosso")
        ('', 'piu mosso')
    """
    words = plain(text)
    return words if len(words.split()) <= MOST_WORDS and not _NOTE.match(text) else ""


def side_of(low: float, high: float) -> int:
    """1 for fast, -1 for slow, 0 for moderate.

    Example:
        >>> side_of(109, 168), side_of(45, 65), side_of(80, 120)
        (1, -1, 0)
    """
    middle = math.sqrt(low * high / (MODERATE[0] * MODERATE[1]))
    return 1 if middle > 1.05 else -1 if middle < 0.95 else 0


def base_at(words: Sequence[str], at: int) -> tuple[str, int]:
    """The tempo word that begins at a place and how many words it takes; ``("", 0)`` without one."""
    for count in range(min(_LONGEST, len(words) - at), 0, -1):
        word = _BASES.get(tuple(words[at : at + count]))
        if word == "allant" and at and words[at - 1] == "en":
            continue
        if word in _NOUNS and not (at and _PREPOSITIONS & set(words[max(0, at - 3) : at])):
            continue
        if word is not None:
            return word, count
    stem = stem_of(words[at])
    if stem is None and words[at].endswith("er") and words[at][:-2] in GERMAN_STEMS:
        stem = words[at][:-2] if is_attribute(words, at) else None
    return (stem, 1) if stem else ("", 0)


def stem_of(word: str) -> str | None:
    """The German tempo word that an inflected form comes from (*ruhiges*), comparatives aside."""
    for ending in _ENDINGS:
        if word.endswith(ending) and word[: -len(ending)] in GERMAN_STEMS:
            return word[: -len(ending)]
    return None


def is_attribute(words: Sequence[str], at: int) -> bool:
    """Whether a form in *-er* stands before a noun (*in ruhiger Bewegung*), so is no comparative."""
    return any(word in ("bewegung", "weise", "art", "gang", "haltung") for word in words[at + 1 : at + 4])


def range_of(word: str) -> tuple[int, int]:
    """Beats a minute of a plain tempo word or word of mood."""
    return MOODS[word] if word in MOODS else TEMPO_RANGES[SAME_AS.get(word, word)]


def tempo_word(text: str) -> WordSpeed | None:
    """What the tempo words of a text ask for together; None without one.

    Example:
        >>> tempo_word("Allegro"), tempo_word("Nicht zu geschwind"), tempo_word("cantabile")
        (WordSpeed(word='allegro', low=109, high=168, is_mood=False), \
WordSpeed(word='geschwind', low=93, high=142, is_mood=False), None)
    """
    words = tempo_text(text).split()
    items = list(_items(words))
    if not items:
        return None
    strong = [item for item in items if item.word not in MOODS and item.word not in EXPRESSIVE]
    main = strong[0] if strong else items[0]
    low, high = main.low, main.high
    for other in items:
        if other is main:
            continue
        if not other.denied:
            low, high = _towards((low, high), (other.low, other.high), SECOND_WORD)
        elif side_of(*range_of(other.word)) == side_of(main.low, main.high):
            low, high = _towards((low, high), MODERATE, A_LITTLE)
    return WordSpeed(main.word, round(low), round(high), not strong)


def _items(words: Sequence[str]) -> Iterator[_Item]:
    """The tempo words of a text, each with what is said of it before and after."""
    last: _Item | None = None
    pending: list[str] = []
    at = 0
    while at < len(words):
        word, count = base_at(words, at)
        if count:
            if last is not None:
                yield last
            last = _with_degree(_Item(word, *range_of(word)), pending)
            pending, at = [], at + count
            continue
        each = words[at]
        if each in _VERY or each in _LITTLE or each in _NOT or (each in _TOO and pending):
            pending.append(each)
        elif each in _JOINS:
            if last is not None and pending:
                last, pending = _with_degree(last, pending), []
        elif each not in _SKIPPED:
            pending = []
        at += 1
    if last is not None:
        yield _with_degree(last, pending)


def _with_degree(item: _Item, degrees: Sequence[str]) -> _Item:
    """A tempo word with the words of degree and denial beside it."""
    span = (item.low, item.high)
    side = side_of(*span)
    denials = sum(word in _NOT for word in degrees)
    very = sum(word in _VERY for word in degrees)
    little = any(word in _LITTLE for word in degrees)
    if denials % 2:
        if very or any(word in _TOO for word in degrees):
            low, high = _towards(span, MODERATE, NOT_TOO)
        elif little:
            low, high = _further(span, 1)
        else:
            low, high = {1: DENIED_FAST, -1: DENIED_SLOW}.get(side, span)
    elif denials:
        low, high = _towards(span, MODERATE, NOT_WITHOUT)
    elif little:
        low, high = _towards(span, MODERATE, A_LITTLE)
    else:
        low, high = _further(span, min(very, 2))
    return _Item(item.word, low, high, item.denied or denials % 2 == 1)


def _towards(span: tuple[float, float], other: tuple[float, float], share: float) -> tuple[float, float]:
    """A range moved part of the way to another, on a scale of ratios."""
    low, high = (a ** (1 - share) * b**share for a, b in zip(span, other, strict=True))
    return low, high


def _further(span: tuple[float, float], steps: int) -> tuple[float, float]:
    """A range moved away from the moderate."""
    factor = VERY ** (steps * side_of(*span))
    return span[0] * factor, span[1] * factor
