"""Text as it is compared and sorted, whatever the case, accents and white space; and as it is shown."""

import unicodedata

_LETTERS = str.maketrans({
    "ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "æ": "ae", "œ": "oe", "ı": "i", "ŧ": "t", "ħ": "h",
    "♭": "b", "♯": "#", "’": "'", "‘": "'", "“": '"', "”": '"', "–": "-", "—": "-",
})  # fmt: skip
"""Letters that do not decompose into a base letter and a mark, and signs people type otherwise."""


def folded(text: str) -> str:
    """A text stripped to what two spellings of the same words share.

    Example:
        >>> folded("  Dvořák:  SLAVISCHER  Tanz – Größe ")
        'dvorak: slavischer tanz - grosse'
    """
    split = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", text).casefold())
    bare = "".join(letter for letter in split if not unicodedata.combining(letter))
    return " ".join(bare.translate(_LETTERS).split())


def shown(name: str) -> str:
    r"""A name from outside as it can be printed and stored: what no screen shows is spelled out.

    Two names that differ stay different.

    Example:
        >>> shown("caf\udce9\n.mxl")
        'caf\\xe9\\x0a.mxl'
    """
    return "".join(_spelled(sign) for sign in name)


def _spelled(sign: str) -> str:
    code = ord(sign)
    if 0xDC80 <= code <= 0xDCFF:
        return f"\\x{code - 0xDC00:02x}"
    if unicodedata.category(sign) in ("Cc", "Cs"):
        return f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}"
    return sign
