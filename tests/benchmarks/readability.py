"""How hard the words of the players' sheets are to read: the Flesch–Kincaid grade level.

Source: J. P. Kincaid, R. P. Fishburne, R. L. Rogers, B. S. Chissom, "Derivation of New Readability Formulas
for Navy Enlisted Personnel", Research Branch Report 8-75, 1975. A sentence ends at a period, question mark or
exclamation point alone; Flesch also ends one at a semicolon or colon, which gives lower grades.
"""

import re
import statistics
from collections.abc import Iterable, Iterator

from tests.benchmarks.rows import Row
from tests.benchmarks.sheet_pool import pooled

A_WORD, A_SYLLABLE, LESS = 0.39, 11.8, 15.59
MOST_GRADE = 6.0
"""Grade in the median; demanded."""

_WORD = re.compile(r"[^\W\d_]+(?:['’-][^\W\d_]+)*")
_ENDS = re.compile(r"[.?!]+(?:\s|$)")
_VOWELS = re.compile(r"[aeiouyàâäåéèêëíîïóôöúûü]+")
_TWO_VOWELS = re.compile(
    r"(?<![ctsglq])i[ao]|ea(?=$|te)|eo(?!pl)|[aeio]ing|ua[lt](?<!qual)|uou|[sc]ie[tn]|uiet|iu|(?<!q)ue[nt]|ying"
    r"|[aeo]y(?:er|ond)|iers?$|iest$"
)
_SILENT_END = re.compile(r"(?:[^aeiouyl]|[aeiouylr]l)(?:e|(?<![td])ed|(?<![cgsxz])(?<!ch)(?<!sh)es)$")
_SILENT_INSIDE = re.compile(r"[aeiouy][^aeiouyl]e(?:ly|ments?|ness|where|thing|one|body)$")
_MISSED = {"every": 2, "somewhat": 2, "lively": 2, "upbeat": 2, "forte": 2, "rhythm": 2, "sometimes": 2}
"""Words whose letters mislead the rules."""


def syllables(word: str) -> int:
    """Syllables of an English word, by its letters.

    Checked once against the CMU Pronouncing Dictionary 0.7b: see ``DEVELOPERS.md`` for the share.

    Example:
        >>> [syllables(word) for word in ("bar", "note", "signature", "little", "played", "tempo", "idea")]
        [1, 1, 3, 2, 1, 2, 3]
        >>> [syllables(word) for word in ("rhythm", "quarter", "counted", "measures", "director", "piano")]
        [2, 2, 2, 2, 3, 3]
    """
    low = word.casefold()
    count = len(_VOWELS.findall(low)) + len(_TWO_VOWELS.findall(low)) - bool(_SILENT_END.search(low))
    return _MISSED.get(low, max(1, count - bool(_SILENT_INSIDE.search(low))))


def words_of(text: str) -> list[str]:
    """Words of a text; numbers and signs are none."""
    return _WORD.findall(text)


def sentences_of(text: str) -> list[str]:
    """Its sentences that hold a word."""
    return [each for each in _ENDS.split(text) if words_of(each)]


def grade(texts: Iterable[str]) -> float:
    """Flesch–Kincaid grade level of some texts together.

    Example:
        >>> round(grade(["The cat sat on the mat."]), 2)
        -1.45
    """
    sentences = [sentence for text in texts for sentence in sentences_of(text)]
    words = [word for sentence in sentences for word in words_of(sentence)]
    spoken = sum(map(syllables, words))
    return A_WORD * len(words) / len(sentences) + A_SYLLABLE * spoken / len(words) - LESS


def rows() -> Iterator[Row]:
    """The grade of the sheets of the pool, each sheet by itself."""
    grades = [grade(sheet.sentences) for sheet in pooled()]
    yield Row("sheets: Flesch–Kincaid grade, median", statistics.median(grades), MOST_GRADE, "grade", True)
    yield Row("sheets: Flesch–Kincaid grade, highest", max(grades), unit="grade")
