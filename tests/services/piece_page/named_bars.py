"""Which bars a sentence names, found in its words alone."""

import re

from planner.core.profile import PieceProfile

_QUOTED = re.compile(r"“[^”]*”")
_COUNTS = re.compile(r",? (?:and )?\d+ (?:more|times|sharps?|flats?|steps)\b|, and \w+ more")
_BARS = re.compile(r"\b[Bb]ars? ((?:\d+(?![\d/])(?:–\d+)?(?:, and |, | and )?)+)")
_ONE = re.compile(r"(\d+)(?:–(\d+))?")


def bars_named(sentence: str, profile: PieceProfile) -> set[str]:
    """Printed numbers after the word bar; of a stretch its first and its last."""
    plain = _QUOTED.sub("", sentence)
    for part in sorted(profile.parts, key=lambda each: -len(each.name)):
        plain = plain.replace(part.name, "")
    plain = _COUNTS.sub("", plain)
    return {
        number
        for found in _BARS.finditer(plain)
        for one in _ONE.finditer(found[1])
        for number in one.groups()
        if number
    }
