"""How an analyst's bar numbers are found in a score that is numbered otherwise."""

from pathlib import Path

from tests.benchmarks.human import Pair, _bars
from tests.builders import make_part, make_score


def starts(tmp_path: Path, text: str, bars: int) -> dict[str, float]:
    """Start of each bar by the analyst's number, in a score of whole notes numbered from 1."""
    analysis = tmp_path / "song.txt"
    analysis.write_text(text)
    return _bars(make_score(make_part(" | ".join(["C4*4"] * bars))), Pair("song", analysis, analysis))


def test_endings_that_the_score_counts_on_are_the_analysts_a_and_b(tmp_path):
    found = starts(tmp_path, "m1 C: I\nm2a V\nm2b I\nm3 V\n", 4)
    assert found == {"1": 0.0, "2a": 4.0, "2b": 8.0, "3": 12.0, "": 16.0}


def test_without_endings_the_numbers_are_the_printed_ones(tmp_path):
    assert starts(tmp_path, "m1 C: I\nm2 V\n", 2) == {"1": 0.0, "2": 4.0, "": 8.0}
