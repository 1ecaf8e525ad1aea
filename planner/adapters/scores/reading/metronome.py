"""Metronome marks, as an element of their own or in words: ``♩ = 80``, ``♪ about 80``, ``♩. = 60–66``."""

import re
from dataclasses import dataclass
from fractions import Fraction

from lxml import etree

from planner.adapters.scores.reading.draft import fold

VALUE_QUARTERS: dict[str, Fraction] = {
    "maxima": Fraction(32), "long": Fraction(16), "breve": Fraction(8), "whole": Fraction(4),
    "half": Fraction(2),
    "quarter": Fraction(1), "eighth": Fraction(1, 2), "16th": Fraction(1, 4), "32nd": Fraction(1, 8),
    "64th": Fraction(1, 16), "128th": Fraction(1, 32), "256th": Fraction(1, 64),
}  # fmt: skip
"""Length of each note value. Source: MusicXML 4.0, simple type ``note-type-value``."""

MAX_BPM = 1000.0
"""Numbers above are no beats a minute. House choice."""

_GLYPHS: dict[str, Fraction] = {
    **dict.fromkeys("\ueca0\ueca1\ue1d0\ue1d1", Fraction(8)),
    **dict.fromkeys("\ueca2\ue1d2\U0001d15d", Fraction(4)),
    **dict.fromkeys("\ueca3\ueca4\ue1d3\ue1d4\U0001d15e", Fraction(2)),
    **dict.fromkeys("\ueca5\ueca6\ue1d5\ue1d6\U0001d15f♩", Fraction(1)),
    **dict.fromkeys("\ueca7\ueca8\ue1d7\ue1d8\U0001d160♪", Fraction(1, 2)),
    **dict.fromkeys("\ueca9\uecaa\ue1d9\ue1da\U0001d161♬", Fraction(1, 4)),
    **dict.fromkeys("\uecab\uecac\ue1db\ue1dc\U0001d162", Fraction(1, 8)),
}
"""Notes as characters. Source: SMuFL 1.4, "Metronome marks" and "Individual notes"; Unicode, "Musical
Symbols"."""

_COMPOSED = (
    ("\U0001d157\U0001d165", "\U0001d15e"), ("\U0001d158\U0001d165\U0001d16e", "\U0001d160"),
    ("\U0001d158\U0001d165", "\U0001d15f"),
)  # fmt: skip
"""Half, eighth and quarter as head and stem, the form that Unicode's normalisation leaves."""

_NAMES: dict[str, Fraction] = {
    "whole note": Fraction(4), "half note": Fraction(2), "quarter note": Fraction(1),
    "eighth note": Fraction(1, 2), "half": Fraction(2), "quarter": Fraction(1), "eighth": Fraction(1, 2),
    "minim": Fraction(2), "crotchet": Fraction(1), "quaver": Fraction(1, 2),
    "blanche": Fraction(2), "noire": Fraction(1), "croche": Fraction(1, 2),
    "halbe": Fraction(2), "viertel": Fraction(1), "achtel": Fraction(1, 2),
    "w": Fraction(4), "h": Fraction(2), "q": Fraction(1), "e": Fraction(1, 2), "x": Fraction(1, 4),
}  # fmt: skip
"""Notes as words, and as the letters under which older music fonts keep them. From memory."""

_DOT = "[.·\ue1e7\uecb7\U0001d16d]"
_NOTE = (
    rf"(?P<dotted{{0}}>dotted )?(?:(?P<glyph{{0}}>[{''.join(_GLYPHS)}])"
    rf"|(?<!\w)(?P<name{{0}}>{'|'.join(sorted(_NAMES, key=len, reverse=True))})(?!\w))"
    rf"\s*(?P<dots{{0}}>{_DOT}{{{{0,2}}}})"
)
_ABOUT = r"(?:about|around|approx\w*\.?|ca\.?|c\.|circa|environ|env\.|etwa|ungefähr|cirka|um)"
_NUMBER = r"\d+(?:[.,]\d+)?"
_RANGE = rf"(?P<low>{_NUMBER})(?:\s*(?:[-–—]|to|bis|à|a)\s*(?P<high>{_NUMBER}))?(?![\w/])"
_MARK = re.compile(
    rf"[(\[]?\s*(?:m\.?\s?m\.?\s*)?{_NOTE.format('')}\s*"
    rf"(?:(?:=|≈)\s*(?:m\.?\s?m\.?\s*)?{_ABOUT}?|{_ABOUT})\s*{_RANGE}\s*[)\]]?",
    re.IGNORECASE,
)
_NUMBER_ALONE = re.compile(rf"[(\[]?\s*=?\s*{_ABOUT}?\s*(?<![\w.])(?=\d\d){_RANGE}\s*[)\]]?", re.IGNORECASE)
_EQUAL = re.compile(rf"[(\[]?\s*{_NOTE.format('')}\s*=\s*{_NOTE.format('2')}\s*[)\]]?", re.IGNORECASE)
_EMPTY = re.compile(rf"[(\[]\s*(?:{_ABOUT}|m\.?\s?m\.?)?\s*=?\s*[)\]]", re.IGNORECASE)
_TWO = re.compile(rf"({_NUMBER})(?:\s*(?:[-–—]|to|bis|à|a)\s*({_NUMBER}))?")


@dataclass(frozen=True, slots=True)
class MetronomeMark:
    """A metronome mark: beat in quarters, number, quicker number of two, note set equal to the beat."""

    unit: Fraction
    bpm: float | None = None
    bpm_high: float | None = None
    equal: Fraction | None = None


def metronome_mark(element: etree._Element) -> MetronomeMark | None:
    """A ``metronome`` element; None without a note it counts in."""
    units: list[Fraction] = []
    for child in element:
        if child.tag == "beat-unit":
            value = VALUE_QUARTERS.get(fold(child.text))
            if value is None:
                return None
            units.append(value)
        elif child.tag == "beat-unit-dot" and units:
            units[-1] = _dotted(units[-1])
    if not units:
        return None
    if len(units) > 1:
        return MetronomeMark(units[0], equal=units[1])
    found = _TWO.search(element.findtext("per-minute") or "")
    low, high = (_bpm(found.group(1)), _bpm(found.group(2))) if found else (None, None)
    return MetronomeMark(units[0], *_in_order(low, high))


def number_in_words(text: str, unit: Fraction | None = None) -> tuple[str, MetronomeMark | None]:
    """A text without the metronome mark in it, and that mark.

    Args:
        text: Words of one direction.
        unit: The note of a metronome mark beside them that has no number.

    Example:
        >>> number_in_words("Andante (♪ about 80)")
        ('Andante', MetronomeMark(unit=Fraction(1, 2), bpm=80.0, bpm_high=None, equal=None))
        >>> number_in_words("dolce")
        ('dolce', None)
    """
    mark = None
    for parts, whole_note in _COMPOSED:
        text = text.replace(parts, whole_note)
    if found := _MARK.search(text):
        low, high = _in_order(_bpm(found["low"]), _bpm(found["high"]))
        if low is not None:
            mark = MetronomeMark(_note(found), low, high)
    elif unit is not None and (found := _NUMBER_ALONE.search(text)):
        low, high = _in_order(_bpm(found["low"]), _bpm(found["high"]))
        mark = MetronomeMark(unit, low, high)
    elif (found := _EQUAL.search(text)) and found["glyph"] and found["glyph2"]:
        mark = MetronomeMark(_note(found), equal=_note(found, "2"))
    if mark is not None and found is not None:
        text = text[: found.start()] + " " + text[found.end() :]
    if mark or "]" in text or ")" in text:
        text = fold(_EMPTY.sub(" ", text)).strip(" ,;–-")
    return text if any(letter.isalnum() for letter in text) else "", mark


def _note(found: re.Match[str], suffix: str = "") -> Fraction:
    glyph, name = found["glyph" + suffix], found["name" + suffix]
    unit = _GLYPHS[glyph] if glyph else _NAMES[name.casefold()]
    for _ in range(len(found["dots" + suffix] or "") + bool(found["dotted" + suffix])):
        unit = _dotted(unit)
    return unit


def _dotted(unit: Fraction) -> Fraction:
    """A note with one more dot: the first adds a half, the second a quarter of the plain note."""
    plain = Fraction(1)
    while plain > unit:
        plain /= 2
    while plain * 2 <= unit:
        plain *= 2
    return unit + (2 * plain - unit) / 2


def _in_order(low: float | None, high: float | None) -> tuple[float | None, float | None]:
    if low is None or high is None or high <= low:
        return low, None
    return low, high


def _bpm(number: str | None) -> float | None:
    found = float(number.replace(",", ".")) if number else None
    return found if found is not None and 0 < found <= MAX_BPM else None
