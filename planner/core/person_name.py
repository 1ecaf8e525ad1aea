"""Finding a person's name in any text, however it is spelled there, and taking it out."""

import json
import re
import unicodedata
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from planner.core.text import folded

GONE = "[…]"
"""What stands where a name was taken out: the usual sign of an omission, in no language."""

_BETWEEN = r"[\W_]{0,3}"
"""What may stand between the words of a name: a space, a comma and a space, a hyphen, nothing."""

_BETWEEN_BYTES = rb"[\s\S]{0,7}?"
"""The same in bytes: a sign may take several, and more where it is escaped."""

_LETTER = r"[^\W\d_]"


@dataclass(frozen=True)
class NameSearch:
    """Looks for names in texts: in any case and spelling, last name first, in a file's name.

    A name is found as a whole: “Ann Lee” not in “Joann Lee”, nor where a longer name of ``others`` stands.

    Attributes:
        names: What the person is, was, or is also called; empty ones are passed over.
        others: Names of other people, which stay where they are longer than the name that they hold.
    """

    names: tuple[str, ...]
    others: tuple[str, ...] = ()

    def is_in(self, text: str) -> bool:
        """Whether a name stands in a text.

        Example:
            >>> search = NameSearch(("Zoë O'Dell",))
            >>> [search.is_in(text) for text in ("ZOE  O'DELL, late", "o'dell, zoë", "zoe-o-dell.pdf", "Zoë")]
            [True, True, True, False]
        """
        return self._may_be_in(text) and next(self._spans(text), None) is not None

    def without(self, text: str) -> str:
        """A text with every name in it taken out.

        Example:
            >>> search = NameSearch(("Ann Lee",), ("Ann Leeds", "Jo Ann Lee"))
            >>> search.without("Ann Lee’s. Jo Ann Lee, Ann Leeds.")
            '[…]’s. Jo Ann Lee, Ann Leeds.'
        """
        if not self._may_be_in(text):
            return text
        kept, at = [], 0
        for start, end in self._spans(text):
            kept += [text[at:start], GONE]
            at = end
        return "".join([*kept, text[at:]])

    def is_in_bytes(self, data: bytes) -> bool:
        r"""Whether the bytes of a name stand anywhere in a file, as UTF-8, UTF-16 or escaped in JSON or XML.

        It is looked for without regard to what stands beside it: what is found may be part of a longer word.

        Example:
            >>> search = NameSearch(("Zoë Day",))
            >>> [search.is_in_bytes("xZOË DAYx".encode(code)) for code in ("utf-8", "utf-16-le", "utf-16-be")]
            [True, True, True]
            >>> search.is_in_bytes(b'{"name": "Zo\\u00eb Day"}'), search.is_in_bytes(b"Zoo Day")
            (True, False)
        """
        pattern, small = self._bytes_pattern, data.lower()
        return (
            pattern is not None
            and any(word in small for word in self._long_words_in_bytes)
            and pattern.search(data) is not None
        )

    @cached_property
    def _wanted(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(name for name in map(folded, self.names) if name))

    @cached_property
    def _pattern(self) -> re.Pattern[str] | None:
        return _pattern(self._wanted)

    @cached_property
    def _longer(self) -> Sequence[re.Pattern[str]]:
        """Names of others that hold one of the names, each order of their words by itself."""
        mine = NameSearch(self.names)
        others = [other for other in map(folded, self.others) if other not in self._wanted]
        longer = [words for other in others if mine.is_in(other) for words in _orders(other)]
        return [re.compile(_of_words(words)) for words in longer]

    @cached_property
    def _bytes_pattern(self) -> re.Pattern[bytes] | None:
        found = [_in_bytes(words) for name in (*self.names, *self._wanted) for words in _orders(name)]
        return re.compile(b"|".join(dict.fromkeys(found)), re.IGNORECASE) if found else None

    @cached_property
    def _long_words_in_bytes(self) -> tuple[bytes, ...]:
        """The longest word of each name in every form of its bytes, in small letters: quickly looked for."""
        names = [words for name in (*self.names, *self._wanted) for words in _orders(name)[:1]]
        longest = [_spellings(max(words, key=len)) for words in names]
        forms = [_bare_bytes(each) + [s.encode(code) for s in each for code in _WIDE] for each in longest]
        return tuple(dict.fromkeys(form.lower() for each in forms for form in each))

    def _may_be_in(self, text: str) -> bool:
        """A quick look: a text without the longest word of any of the names holds none."""
        flat = folded(text)
        return any(max(_words(name), key=len) in flat for name in self._wanted)

    def _spans(self, text: str) -> Iterator[tuple[int, int]]:
        """Where names begin and end in a text, in order."""
        if self._pattern is None:
            return
        flat, places = _flat(text)
        longer = [match.span() for pattern in self._longer for match in pattern.finditer(flat)]
        for match in self._pattern.finditer(flat):
            start, end = match.span()
            if not any(first <= start and end <= last for first, last in longer):
                yield places[start], _past_marks(text, places[end - 1] + 1)


def parts_of(name: str) -> tuple[str, ...]:
    """The words of a name of several, each of three letters at least: a first name that may stand alone.

    Example:
        >>> parts_of("Ada M. Weir"), parts_of("Ada")
        (('Ada', 'Weir'), ())
    """
    words = name.split()
    long = [word for word in words if sum(letter.isalpha() for letter in word) >= 3]
    return tuple(dict.fromkeys(long)) if len(words) > 1 else ()


def _words(flat: str) -> list[str]:
    return re.findall(r"[^\W_]+", flat) or [flat]


def _orders(name: str) -> list[list[str]]:
    """The words of a name in order, and with the last name first; none of an empty one.

    Example:
        >>> _orders("zoe o'dell")
        [['zoe', 'o', 'dell'], ['o', 'dell', 'zoe']]
    """
    names = name.split()
    orders = [names, [*names[-1:], *names[:-1]]] if len(names) > 1 else [names] if names else []
    return [[word for each in order for word in _words(each)] for order in orders]


def _pattern(names: Sequence[str]) -> re.Pattern[str] | None:
    found = [_of_words(words) for name in names for words in _orders(name)]
    return re.compile("|".join(sorted(found, key=len, reverse=True))) if found else None


def _of_words(words: Sequence[str]) -> str:
    before = f"(?<!{_LETTER})" if _has_spaces(words[0][0]) else ""
    after = f"(?!{_LETTER})" if _has_spaces(words[-1][-1]) else ""
    return before + _BETWEEN.join(map(re.escape, words)) + after


def _has_spaces(letter: str) -> bool:
    """Whether words are parted by spaces in the script of a letter: not in those without capitals."""
    return unicodedata.category(letter) != "Lo"


def _flat(text: str) -> tuple[str, list[int]]:
    """A text folded letter by letter, and for each letter of it where it stood."""
    letters: list[str] = []
    places: list[int] = []
    for at, sign in enumerate(text):
        flat = " " if sign.isspace() else folded(sign)
        letters.append(flat)
        places += [at] * len(flat)
    return "".join(letters), places


def _past_marks(text: str, at: int) -> int:
    """The end of a letter with the marks that are written after it."""
    while at < len(text) and unicodedata.combining(text[at]):
        at += 1
    return at


def _in_bytes(words: Sequence[str]) -> bytes:
    """A pattern for words as UTF-8, as UTF-16, and as escaped in JSON and XML."""
    forms = [_spellings(word) for word in words]
    plain = _BETWEEN_BYTES.join(b"(?:" + b"|".join(_plain_bytes(form)) + b")" for form in forms)
    wide = [_wide_bytes(forms, code) for code in _WIDE]
    return b"|".join([plain, *wide])


_WIDE = ("utf-16-le", "utf-16-be")
_BETWEEN_WIDE = rb"(?:[\s\S]{2}){0,3}?"


def _wide_bytes(forms: Sequence[Sequence[str]], code: str) -> bytes:
    return _BETWEEN_WIDE.join(
        b"(?:" + b"|".join(re.escape(each.encode(code)) for each in form) + b")" for form in forms
    )


def _spellings(word: str) -> list[str]:
    """A word in every case and both ways of writing accents."""
    cases = (word, word.lower(), word.upper(), word.capitalize())
    composed = [unicodedata.normalize("NFC", case) for case in cases]
    parted = [unicodedata.normalize("NFD", case) for case in cases]
    return list(dict.fromkeys(composed + parted))


def _plain_bytes(spellings: Sequence[str]) -> list[bytes]:
    return [re.escape(each) for each in _bare_bytes(spellings)]


def _bare_bytes(spellings: Sequence[str]) -> list[bytes]:
    """Spellings as UTF-8, and as escaped in JSON and XML."""
    escaped = [json.dumps(word)[1:-1].encode() for word in spellings]
    in_xml = [word.encode("ascii", "xmlcharrefreplace") for word in spellings]
    found = [*(word.encode() for word in spellings), *escaped, *in_xml]
    return list(dict.fromkeys(found))
