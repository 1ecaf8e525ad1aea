"""Text as it stands on the page: no markup, no entities, no signs of a music font.

Programs leave such things in titles, names and directions of a MusicXML file; a sentence
that quotes them would show what no reader can find.
Sources: MusicXML 4.0 (text is plain); SMuFL 1.4 (glyphs live in Unicode's Private Use Area, U+E000-F8FF).
"""

import re
import unicodedata
from html import unescape

from planner.adapters.scores.reading.draft import fold
from planner.core.text import composed

_NAMED_SIGN = re.compile(r"<sym>\s*(\w+)\s*</sym>", re.IGNORECASE)
_BREAK = re.compile(r"<\s*/?\s*(?:br|p|div|li)\b[^<>]*>", re.IGNORECASE)
_TAG = re.compile(r"</?[A-Za-z!?][^<>]*>")

_SIGNS = {
    "segno": "𝄋", "coda": "𝄌", "metnotewhole": "𝅝", "metnotehalfup": "𝅗𝅥", "metnotequarterup": "♩",
    "metnote8thup": "♪", "metnote16thup": "♬", "metaugmentationdot": ".", "accidentalflat": "♭",
    "accidentalnatural": "♮", "accidentalsharp": "♯",
}  # fmt: skip
"""Signs by their SMuFL names, as letters of plain text."""
_GLYPHS = {
    0xE047: "𝄋", 0xE048: "𝄌", 0xE1D2: "𝅝", 0xE1D3: "𝅗𝅥", 0xE1D5: "♩", 0xE1D7: "♪", 0xE1E7: ".",
    0xE260: "♭", 0xE261: "♮", 0xE262: "♯", 0xECA2: "𝅝", 0xECA3: "𝅗𝅥", 0xECA5: "♩", 0xECA7: "♪", 0xECA9: "♬",
    0xECB7: ".",
}  # fmt: skip
"""The same by their SMuFL code points."""
_UNPRINTED = frozenset({"Co", "Cs", "Cn", "Cf", "Cc"})
_JOINERS = "\u200c\u200d"
_USELESS_JOINERS = re.compile(f"(?<![\u0590-\ud7ff\U00010800-\U0001ffff])[{_JOINERS}]|[{_JOINERS}](?=\\s|$)")
"""Joiners say how letters of some scripts join, and which signs make one picture; elsewhere they say nothing.

Source: Unicode Standard, section 23.2 (cursive connection).
"""


def printed(text: str | None) -> str:
    r"""Text for people, its white space folded.

    Example:
        >>> printed("<b>Flute</b>&nbsp;1 &amp; 2"), printed("<sym>metNoteQuarterUp</sym> = 80")
        ('Flute 1 & 2', '♩ = 80')
        >>> printed("\ue047 Allegro\u200b"), printed("p < mf")
        ('𝄋 Allegro', 'p < mf')
    """
    plain = text or ""
    if plain.isascii() and "<" not in plain and "&" not in plain and plain.isprintable():
        return fold(plain)
    while (clean := _without_markup(plain)) != plain:
        plain = clean
    letters = (
        _GLYPHS.get(ord(letter), "" if _is_unprinted(letter) else letter)
        for letter in _USELESS_JOINERS.sub("", " ".join(plain.split()))
    )
    return composed(fold("".join(letters).replace("\N{REPLACEMENT CHARACTER}", "")))


def _is_unprinted(letter: str) -> bool:
    return unicodedata.category(letter) in _UNPRINTED and letter not in _JOINERS


def _without_markup(text: str) -> str:
    named = _NAMED_SIGN.sub(lambda sign: _SIGNS.get(sign.group(1).casefold(), ""), unescape(text))
    return _TAG.sub("", _BREAK.sub(" ", named))
