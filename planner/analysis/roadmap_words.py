"""Roadmap words on the page, in English, Italian, French and German spelling.

Source: the terms in common use on printed parts, from memory.
"""

import re
from collections.abc import Iterator

from planner.core.score import MarkKind, RoadmapMark, Score

_WORDS: tuple[tuple[MarkKind, str], ...] = (
    ("da-capo", r"\bd\.? ?c\.?(?=\W|$)|\bda capo\b|\bdal? capo\b|\bvon (?:vorne|anfang)\b|\bvon vorn\b"
                r"|\bau début\b|\bdu commencement\b|\bfrom the (?:beginning|top|start)\b"),
    ("dal-segno", r"\bd\.? ?s\.?(?=\W|$)|\bdal? segno\b|\bdel segno\b|\bal segno\b(?! e poi)"
                  r"|\bvom zeichen\b|\bau (?:signe|renvoi)\b|\bdu signe\b|\bfrom the sign\b"),
    ("to-coda", r"\bto (?:the )?coda\b|\balla coda\b|\bzur coda\b|\b[àa] la coda\b|\bvers la coda\b"),
    ("fine", r"^\W*fine\W*$|^\W*fin\W*$|^\W*ende\W*$|^\W*schlu(?:ss|ß)\W*$|^\W*the end\W*$|^\W*end\W*$"),
    ("coda", r"^\W*coda\W*$|^\W*kopf\W*$"),
)  # fmt: skip
_PATTERNS = tuple((kind, re.compile(pattern, re.IGNORECASE)) for kind, pattern in _WORDS)
_WITHOUT = re.compile(
    r"senza (?:rep|ritorn)|no rep|without rep|ohne wiederh|sans (?:rep|rép)", re.IGNORECASE
)  # fmt: skip
_WITH = re.compile(r"con (?:rep|ritorn)|with rep|mit wiederh|avec (?:rep|rép)", re.IGNORECASE)


def kinds_of(text: str) -> tuple[MarkKind, ...]:
    """What words on the page ask for on the roadmap; empty when nothing.

    Example:
        >>> kinds_of("D.S. al Coda"), kinds_of("Vom Zeichen bis Fine"), kinds_of("dolce")
        (('dal-segno',), ('dal-segno',), ())
    """
    for kind, pattern in _PATTERNS:
        if pattern.search(text):
            return (kind,)
    return ()


def marks_in_words(score: Score) -> Iterator[RoadmapMark]:
    """Roadmap marks that stand on the page as bare words, where the measure has no such mark yet."""
    known = {(mark.kind, mark.measure) for mark in score.marks}
    for index, part in enumerate(score.parts):
        for words in part.words:
            for kind in kinds_of(words.text):
                if (kind, words.measure) not in known:
                    yield RoadmapMark(kind, words.measure, index, text=words.text)


def wants_repeats(text: str) -> bool | None:
    """Whether jump words ask for the repeats again; None when they do not say.

    Example:
        >>> wants_repeats("D.C. senza replica"), wants_repeats("D.C. with repeats"), wants_repeats("D.C.")
        (False, True, None)
    """
    if _WITHOUT.search(text):
        return False
    return True if _WITH.search(text) else None
