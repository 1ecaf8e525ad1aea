"""Words as people type them: letters of any script, held whole; what no page can show is refused."""

import re
import unicodedata

from planner.core.text import composed, cut_short
from planner.errors import InputError

MOST_LETTERS_OF_NAME = 120
"""Letters of the name of an ensemble, a section, a part, a player, a term: more is a slip (house choice)."""
_BREAKS = "\n\t"
_BLANKS = re.compile(r"[^\S\x0b\x0c\x1c-\x1f\x85]+")
_TURNING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
"""What shows the letters after it in another order, so that a name could look like another one.

Source: Unicode Technical Standard 39; Unicode Standard Annex 9, sections 2.1 to 2.5.
"""


_BLANK = frozenset("\u034f\u115f\u1160\u17b4\u17b5\u2800\u3164\uffa0")
"""Letters without ink. Source: Unicode, Default_Ignorable_Code_Point, and the blank pattern of Braille."""


def entered_line(text: str, what: str, *, most: int = MOST_LETTERS_OF_NAME, field: str = "") -> str:
    r"""Words on one line, white space folded, letters and their marks in one spelling (NFC).

    Empty where there is nothing to see.

    Args:
        text: As it was typed.
        what: What it is, at the beginning of a sentence: ``The name of a section``.
        most: Letters it may have.
        field: Of which field of a form a refusal speaks.

    Raises:
        InputError: If it holds what cannot be shown, or is too long.

    Example:
        >>> entered_line("  Clarinet\t2 ", "A name"), entered_line("e\u0301tude", "A name") == "étude"
        ('Clarinet 2', True)
    """
    clean = _checked(" ".join(_spelled(text, what, field).split()), what, most, field)
    return clean if any(map(_is_seen, clean)) else ""


def entered_note(text: str, what: str, *, most: int, field: str = "") -> str:
    """Words on several lines; ends of lines, and empty lines around them, are cut off.

    Raises:
        InputError: If they hold what cannot be shown, or are too long.
    """
    lines = _spelled(text, what, field).replace("\r\n", "\n").replace("\r", "\n").split("\n")
    return _checked("\n".join(line.rstrip() for line in lines).strip("\n"), what, most, field)


def one_line(text: str) -> str:
    """Words as they were typed with their blanks folded; control characters stay, to be refused by name."""
    return _BLANKS.sub(" ", text).strip(" ")


def short(text: str, most: int = 60) -> str:
    """What was typed, cut short so that a sentence stays one."""
    return cut_short(" ".join(text.split()), most)


def _spelled(text: str, what: str, field: str) -> str:
    plain = text.replace("\r\n", "\n").replace("\r", "\n")
    for sign in plain:
        if sign in _TURNING:
            raise InputError(
                f"{what} holds a sign that turns the order of letters around (U+{ord(sign):04X}).",
                hint="Type it again without.",
                field=field,
            )
        kind = unicodedata.category(sign)
        if (kind in ("Cc", "Cs") and sign not in _BREAKS) or _is_no_character(sign):
            raise InputError(
                f"{what} holds a control character (U+{ord(sign):04X}).",
                hint="Type it again without.",
                field=field,
            )
    return composed(plain)


def _is_seen(sign: str) -> bool:
    is_selector = 0xFE00 <= ord(sign) <= 0xFE0F or 0xE0100 <= ord(sign) <= 0xE01EF
    return unicodedata.category(sign) not in ("Cf", "Zs") and sign not in _BLANK and not is_selector


def _is_no_character(sign: str) -> bool:
    """Source: Unicode Standard, section 23.7 (noncharacters)."""
    return ord(sign) & 0xFFFE == 0xFFFE or 0xFDD0 <= ord(sign) <= 0xFDEF


def _checked(clean: str, what: str, most: int, field: str) -> str:
    if len(clean) > most:
        raise InputError(f"{what} holds {len(clean):,} letters; at most {most:,} fit.", field=field)
    return clean
