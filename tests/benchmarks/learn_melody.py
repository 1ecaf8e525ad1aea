"""Learn the weights of who has the tune from the analysts' marks and from settings for band.

``python -m tests.benchmarks.learn_melody`` prints the table kept in
``planner/study/melody/learned_weights.py``, learned from all 13 movements and from every second piece of the
sample library, whose sources say who has the tune; the figures (``melody.py``) are those of weights learned
without the movement in question, and of the pieces kept back. A bar teaches that the analysts' part, or one
that doubles it, is likelier than the others that play (a conditional logit; McFadden 1974), drawn back
towards 0.

Which features there are was chosen by the agreement between the movements: of 36 tried, those were left out,
one at a time, without which it did not fall. So was the window of two bars, and that figures of four and six
notes are compared and not whole bars. The figure of the movements is that much too kind; the favor of a
singer was set looking at the songs. The band pieces kept back chose one thing only, the bounds of register.
Tried and left out: a path through the parts with learned costs (no better, and worse in imitation), a third
judgment after the second, favoring the part that came in last, and what other parts alone had as tune.
"""

import sys
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import minimize

from planner.study.melody.claims import (
    NAMES_ALONE,
    NAMES_WITH_FIGURES,
    Evidence,
    chances,
    evidence_of,
    with_figures,
)
from planner.study.notes.columns import Bools, Floats
from tests.benchmarks.analysts_tunes import Movement, movements
from tests.benchmarks.sample_tunes import SampleTune, sample_tunes

SHRINK = 100.0
"""How strongly weights are drawn to 0, features being measured in their usual spread.

Tried between the movements: 10 and 100, which differ by less than half a point.
"""


@dataclass(frozen=True, eq=False)
class Lesson:
    """A movement to learn from; ``right`` says which parts are, shape ``(n_measures, n_parts)``."""

    evidence: Evidence
    right: Bools


def lesson_of(movement: Movement) -> Lesson:
    """What a movement teaches."""
    evidence = evidence_of(movement.columns)
    right = np.zeros(evidence.plays.shape, dtype=np.bool_)
    for bar in movement.bars:
        for part in np.flatnonzero(evidence.plays[bar]).tolist():
            right[bar, part] = movement.is_right(part, bar)
    return Lesson(evidence, right)


def lesson_of_sample(sample: SampleTune) -> Lesson:
    """What a piece of the sample library teaches."""
    return Lesson(evidence_of(sample.columns), sample.right)


def band_lessons() -> list[Lesson]:
    """What the pieces of the sample library teach that are not kept back."""
    return [lesson_of_sample(sample) for sample in sample_tunes() if not sample.held]


def learn(lessons: Sequence[Lesson]) -> tuple[Floats, Floats]:
    """The weights of a bar by itself, and those with what its figures are elsewhere."""
    alone = _fitted(lessons, [lesson.evidence.values for lesson in lessons])
    values = [
        with_figures(lesson.evidence, chances(lesson.evidence.values, lesson.evidence, alone))
        for lesson in lessons
    ]
    return alone, _fitted(lessons, values)


def _fitted(lessons: Sequence[Lesson], values: Sequence[Floats]) -> Floats:
    spread = np.concatenate(
        [value[lesson.evidence.plays] for lesson, value in zip(lessons, values, strict=True)]
    ).std(axis=0)
    spread = np.maximum(spread, 1e-6)
    taught = [lesson.right.any(axis=1) for lesson in lessons]

    def loss(weights: Floats) -> tuple[float, Floats]:
        total, slope = SHRINK * float(weights @ weights) / 2, SHRINK * weights
        for lesson, value, bars in zip(lessons, values, taught, strict=True):
            chance = chances(value, lesson.evidence, weights / spread)[bars]
            right = np.where(lesson.right[bars], chance, 0.0)
            of_right = np.maximum(right.sum(axis=1, keepdims=True), 1e-12)
            total -= float(np.log(of_right).sum())
            slope = slope + np.einsum("bp,bpf->f", chance - right / of_right, value[bars]) / spread
        return total, slope

    found = minimize(loss, np.zeros(len(spread)), jac=True, method="L-BFGS-B", options={"maxiter": 200})
    return np.asarray(found.x / spread, dtype=np.float64)


def table(name: str, names: Sequence[str], weights: Floats) -> str:
    """The weights as lines of Python, each beside what it weighs."""
    rows = [f"    {weight:.3f},  # {each}" for each, weight in zip(names, weights, strict=True)]
    return "\n".join([f"{name}: Floats = np.array([", *rows, "])"])


def main() -> int:
    """Print the table."""
    alone, with_them = learn([*(lesson_of(movement) for movement in movements()), *band_lessons()])
    print(table("ALONE", NAMES_ALONE, alone))
    print(table("WITH_FIGURES", NAMES_WITH_FIGURES, with_them))
    return 0


if __name__ == "__main__":
    sys.exit(main())
