"""How many words the players' sheets have: lines, questions and caution; titles and labels not."""

import statistics
from collections.abc import Iterator

from planner.services.sheets.player.choose import word_count
from tests.benchmarks.rows import Row
from tests.benchmarks.sheet_pool import PooledSheet, pooled

MOST, MEDIAN, LEAST_MEDIAN = 130, 110, 60
"""Words at most, at most in the median, at least in the median; demanded."""


def words_on(sheet: PooledSheet) -> int:
    """Words of a sheet."""
    return sum(map(word_count, sheet.sentences))


def rows() -> Iterator[Row]:
    """Words in the median and at most."""
    counts = [words_on(sheet) for sheet in pooled()]
    yield Row("sheets: words, median", statistics.median(counts), MEDIAN, "words", at_most=True)
    yield Row("sheets: words, median at least", statistics.median(counts), LEAST_MEDIAN, "words")
    yield Row("sheets: words, most", max(counts), MOST, "words", at_most=True)
