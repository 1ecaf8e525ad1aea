"""Text as it is compared and sorted, whatever case, accents and white space; as it is shown; as a name."""

import re
import unicodedata

_LETTERS = str.maketrans({
    "ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "æ": "ae", "œ": "oe", "ı": "i", "ŧ": "t", "ħ": "h",
    "♭": "b", "♯": "#", "’": "'", "‘": "'", "“": '"', "”": '"', "–": "-", "—": "-",
})  # fmt: skip
"""Letters that do not decompose into a base letter and a mark, and signs people type otherwise."""
STARTS_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")
"""What a spreadsheet takes for the beginning of a formula. Source: OWASP, "CSV Injection"."""


def folded(text: str) -> str:
    """A text stripped to what two spellings of the same words share: no signs that nobody sees.

    Example:
        >>> folded("  Dvořák:  SLAVISCHER  Tanz – Größe ")
        'dvorak: slavischer tanz - grosse'
    """
    split = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", text).casefold())
    seen = (letter for letter in split if unicodedata.category(letter) != "Cf")
    bare = "".join(letter for letter in seen if not unicodedata.combining(letter))
    return " ".join(bare.translate(_LETTERS).split())


_NO_NOTES = re.compile("[^\U0001d15e-\U0001d164\U0001d1bb-\U0001d1c0]+")
"""All but the notes of Unicode's Musical Symbols, which NFC would take apart into heads and stems."""


def composed(text: str) -> str:
    r"""A text in the one spelling of its letters that is stored: a letter with its marks as one (NFC).

    Source: Unicode Standard Annex 15.

    Example:
        >>> composed("Dvor\u030ca\u0301k") == "Dvořák", composed("\U0001d15e") == "\U0001d15e"
        (True, True)
    """
    return _NO_NOTES.sub(lambda found: unicodedata.normalize("NFC", found[0]), text)


def cut_short(text: str, most: int) -> str:
    """A text of at most so many letters: its beginning and an ellipsis where it is longer.

    Example:
        >>> cut_short("Fairground March", 11), cut_short("Air", 11)
        ('Fairground…', 'Air')
    """
    return text if len(text) <= most else f"{text[: most - 1].rstrip()}…"


_NAME_LETTERS, _NAME_BYTES = 60, 120
"""The longest part of a file name that a text makes: half of what systems allow. House choice."""

_TAKEN_BY_SYSTEMS = re.compile(r"con|prn|aux|nul|com\d|lpt\d")
"""Names that no file may have on some systems."""


def file_name(text: str) -> str:
    """A text as part of a file's name, safe on every system: letters and digits of any script, and hyphens.

    Empty when nothing of it is left.

    Example:
        >>> file_name("Größe: 1/2 & more …"), file_name("../.."), file_name("NUL")
        ('größe-1-2-more', '', 'nul-')
    """
    letters = unicodedata.normalize("NFC", text).lower()
    kept = "".join(each if unicodedata.category(each)[0] in "LMN" else "-" for each in letters)
    name = re.sub("-+", "-", kept).strip("-")[:_NAME_LETTERS]
    name = name.encode()[:_NAME_BYTES].decode(errors="ignore").strip("-")
    return f"{name}-" if _TAKEN_BY_SYSTEMS.fullmatch(name) else name


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
