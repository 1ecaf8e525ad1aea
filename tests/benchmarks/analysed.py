"""The scores that have a human analysis, and the groups in which they are left out of learning."""

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from planner.adapters.scores.reader import read_score
from planner.core.score import Score
from tests.benchmarks.human import HumanSpan, chorale_pairs, human_spans, madrigal_pairs, song_pairs


@dataclass(frozen=True, slots=True)
class Analysed:
    """A score with what the analyst wrote.

    ``fold`` is the group of pieces with which it is left out of learning: songs go with their composer.
    """

    set: str
    name: str
    path: Path
    score: Score
    spans: list[HumanSpan]
    fold: int

    @property
    def starts(self) -> list[float]:
        """Start of each measure in quarters."""
        return [float(measure.start_quarters) for measure in self.score.measures]


FOLDS = 6
"""In how many groups the pieces are left out in turn (house choice)."""


@cache
def analysed() -> tuple[Analysed, ...]:
    """Every pair that fits, in a fixed order.

    Composers of songs are dealt out to the folds in turn, with all their songs; chorales and madrigals,
    which have one composer each, one by one.
    """
    sets = {"chorales": chorale_pairs(), "madrigals": madrigal_pairs(), "songs": song_pairs()}
    found: list[Analysed] = []
    for name, pairs in sets.items():
        composers = sorted({composer_of(pair.score) for pair in pairs}) if name == "songs" else []
        for at, pair in enumerate(pairs):
            score = read_score(pair.score)
            spans = human_spans(pair, score)
            if spans:
                place = composers.index(composer_of(pair.score)) if composers else at
                found.append(Analysed(name, pair.name, pair.score, score, spans, place % FOLDS))
    return tuple(found)


def composer_of(path: Path) -> str:
    """Composer of a song by its file's name: ``"Schumann Clara"``."""
    return " ".join(path.stem.split("__")[:2])
