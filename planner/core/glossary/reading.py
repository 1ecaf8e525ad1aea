"""Which terms a text on the page is made of, each with the words for how much beside it."""

import re
import unicodedata
from collections.abc import Sequence
from functools import cache

from planner.core.glossary.meaning import meaning
from planner.core.glossary.terms import DEGREES, glossary
from planner.core.profile import TermUse

ONLY_IN_SHORT = frozenset(
    {"swing", "straight", "open", "play", "mute", "cue", "march", "warm", "broad", "kurz", "wild", "all",
     "short", "free", "soft", "loud", "medium", "dark", "light", "alle", "frei", "lang", "tempo",
     "in one", "in two", "in three", "in four", "sticks", "hum"}
)  # fmt: skip
SHORT = 3
"""Everyday words count as terms only in a text of at most this many words. House choice."""

LONGEST = 12
"""A text of more words is a note to the reader, not a direction. House choice."""

_JOINS = frozenset(
    {"e", "ed", "et", "und", "u", "and", "ma", "mais", "aber", "doch", "jedoch", "but", "then", "poi"}
)
_MARKS = frozenset({"ppp", "pp", "p", "mp", "mf", "f", "ff", "fff", "sf", "sfz", "fp"})
_BREAKS = frozenset(",;:/–—|+&")
_AFTER = frozenset({
    "very much", "very", "little by little", "always", "suddenly", "not too much", "but not too much",
    "not so much", "to the end", "a little",
})  # fmt: skip
"""Degrees that may stand behind the word that they belong to (*rit. molto*), not only before it."""
_TOKEN = re.compile(r"[^\W\d_]+\d(?!\w)|[^\W\d_]+\.?|\d+\w*|[,;:/–—|+&]|-(?=\s)")
_ASIDE = re.compile(r"[(\[]([^()\[\]]*)[)\]]")
_NUMBER = re.compile(r"(?:\bca?\.?\s*|\bal\s+)?\d{2,}(?:\s*[-–]\s*\d+)?\s*$|\d?\s*[♩♪𝅗𝅥𝅝♬].*$")
_ENDING = frozenset({"meno", "poco meno", "un poco meno"})
"""Comparisons that stand for *meno mosso* where no other word follows."""
_NO = re.compile(r"\b(?:non?|not|without|nicht|ohne|pas|sans|senza)\b", re.IGNORECASE)


def _plain(text: str) -> str:
    """Letters without accents, capitals and curly apostrophes."""
    folded = unicodedata.normalize("NFKD", text.casefold().replace("’", "'"))
    return "".join(letter for letter in folded if not unicodedata.combining(letter))


def _tokens(text: str) -> list[str]:
    return _TOKEN.findall(_plain(text))


@cache
def _phrases() -> dict[tuple[str, ...], tuple[tuple[tuple[str, ...], str], ...]]:
    """Terms and degree words by their first word, longest first, each with its words as they are compared."""
    found: dict[tuple[str, ...], list[tuple[tuple[str, ...], str]]] = {}
    for text in dict.fromkeys((*glossary(), *DEGREES)):
        words = tuple(_tokens(text))
        found.setdefault((words[0].rstrip("."),), []).append((words, text))
    return {first: tuple(sorted(each, key=lambda one: -len(one[0]))) for first, each in found.items()}


def _matches(words: Sequence[str], asked: Sequence[str]) -> bool:
    """Whether words of a text are those of a term; a full stop counts where the term needs one."""
    return len(words) == len(asked) and all(
        word == want if want.endswith(".") and len(want) > 2 else word.rstrip(".") == want.rstrip(".")
        for word, want in zip(words, asked, strict=True)
    )


def _phrase_at(words: Sequence[str], at: int) -> tuple[str, int]:
    """The term or degree that begins at a place, and how many words it takes; ``("", 0)`` without one."""
    for asked, text in _phrases().get((words[at].rstrip("."),), ()):
        end = at + len(asked)
        is_last = end >= len(words) or words[end] in _BREAKS
        if _matches(words[at:end], asked) and (is_last or text not in _ENDING):
            return text, len(asked)
    return "", 0


@cache
def terms_in(text: str) -> tuple[TermUse, ...]:
    """The terms that a text is made of, in order, each with the degree words beside it.

    Empty where a word is left over that the glossary does not know, or where the terms make no phrase.

    Example:
        >>> terms_in("Poco a poco cresc. molto")
        (TermUse(term='cresc', degrees=('poco a poco', 'molto')),)
        >>> terms_in("Verse 2"), terms_in("Mit tiefer Rührung")
        ((), ())
    """
    bare = _ASIDE.sub(_aside, text)
    if not re.search(r"[^\W\d_]", bare):
        bare = re.sub(r"[()\[\]]", " ", text)
    words = _tokens(_NUMBER.sub("", bare).strip(" -–—_*“”\"'"))
    found = (_whole(words) or _read(words)) if len(words) <= LONGEST else None
    return found if found and meaning(found) else ()


def _whole(words: Sequence[str]) -> tuple[TermUse, ...]:
    """The one term that a text is, commas aside (*Modéré, sans lenteur*)."""
    letters = [word for word in words if word not in _BREAKS]
    text, length = _phrase_at(letters, 0) if letters else ("", 0)
    return (TermUse(text),) if text in glossary() and length == len(letters) else ()


def _aside(found: re.Match[str]) -> str:
    """What stands in brackets, where it is understood or denies something; else nothing."""
    inside = found.group(1)
    return f", {inside} ," if _NO.search(inside) or _read(_tokens(inside)) else " "


def _read(words: Sequence[str]) -> tuple[TermUse, ...] | None:
    """The terms that words are made of; None where one is not known or a degree belongs to nothing."""
    found: list[TermUse] = []
    waiting: list[str] = []
    count = sum(word not in _BREAKS for word in words)
    at = 0
    while at < len(words):
        if words[at] in _BREAKS or words[at].rstrip(".") in _JOINS | {"-"}:
            if waiting and not _give_back(found, waiting):
                return None
            at += 1
            continue
        text, length = _phrase_at(words, at)
        is_alone = length == count
        if text in ONLY_IN_SHORT and count > SHORT:
            return None
        if text in DEGREES and not (text in glossary() and (is_alone or text in _ENDING)):
            waiting.append(text)
        elif text:
            found.append(TermUse(text, tuple(waiting)))
            waiting = []
        elif words[at].rstrip(".") not in _MARKS:
            return None
        at += max(length, 1)
    if waiting and not _give_back(found, waiting):
        return None
    return tuple(found)


def _give_back(found: list[TermUse], waiting: list[str]) -> bool:
    """Degrees that no term follows go to the one before them; whether they can."""
    if not found or not all(DEGREES[each] in _AFTER for each in waiting):
        return False
    found[-1] = TermUse(found[-1].term, (*found[-1].degrees, *waiting))
    waiting.clear()
    return True


@cache
def by_language(text: str) -> tuple[str, ...]:
    """A text in two languages as two texts; any other as it is.

    Example:
        >>> by_language("schneller più allegro"), by_language("Allegro con brio")
        (('schneller', 'più allegro'), ('Allegro con brio',))
    """
    words = text.split()
    for at in range(1, len(words)):
        each = " ".join(words[:at]), " ".join(words[at:])
        terms = [[glossary()[use.term] for use in terms_in(one)] for one in each]
        languages = [{term.language for term in one} for one in terms]
        is_same = bool({term.kind for term in terms[0]} & {term.kind for term in terms[1]})
        if is_same and all(len(one) == 1 for one in languages) and languages[0] != languages[1]:
            return each
    return (text,)
