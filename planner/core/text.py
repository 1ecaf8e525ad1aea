"""Text as it is compared and sorted: whatever the case, the accents and the white space."""

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
