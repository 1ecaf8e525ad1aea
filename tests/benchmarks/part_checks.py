"""How often each check of a part speaks, by family of instruments and level, in scores by others.

Run: ``python -m tests.benchmarks.part_checks``. A check that speaks of nearly every part is as useless as one
that never does. Every part of the orchestral movements, of the choir pieces and of the songs of the reference
data and of the sample library is held against its own instrument at levels 1 to 5.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from planner.adapters.scores.reader import read_score
from planner.config import packaged
from planner.core.score import Score
from planner.matching.part_check import Check, CheckKind
from planner.matching.playability import check_part
from planner.matching.remedies import Reader
from planner.study.basics import basic_facts
from planner.study.difficulty.evidence import PartEvidence, gather
from planner.study.facts import StudyFacts
from planner.study.notes.columns import columns_of
from tests.reference import reference_data, sampled

LEVELS = (1.0, 2.0, 3.0, 4.0, 5.0)
FOLDERS = ("ensembles/orchestra", "ensembles/mixed", "ensembles/choir", "melody_ccbysa", "songs")


@dataclass
class Spoken:
    """Counts of parts.

    Attributes:
        parts: How many of each family there are.
        spoken: For each family and kind, at each level, of how many a check speaks.
    """

    parts: Counter[str] = field(default_factory=Counter)
    spoken: Mapping[tuple[str, CheckKind], Counter[float]] = field(
        default_factory=lambda: defaultdict(Counter)
    )

    def share(self, family: str, kind: CheckKind, level: float) -> float:
        """Share of the parts of a family of which a check speaks at a level; 0 without parts."""
        return self.spoken[family, kind][level] / max(1, self.parts[family])


def family_of(each: PartEvidence) -> str:
    """The family by which parts are counted; slides, clarinets and timpani apart."""
    assert each.instrument
    for word in ("trombone", "clarinet"):
        if each.instrument.id.startswith(word):
            return word
    return "timpani" if each.instrument.id == "timpani" else each.instrument.family


def checked(score: Score, level: float) -> Iterator[tuple[PartEvidence, StudyFacts, tuple[Check, ...]]]:
    """Every part with an instrument, all sections at one level."""
    columns = columns_of(score)
    facts = basic_facts(columns)
    parts = [each for each in gather(columns, facts).parts if each is not None and each.instrument]
    for each in parts:
        others = [Reader(other.part.part.name, other, level) for other in parts if other is not each]
        yield each, facts, check_part(each, facts, level, others)


def count(scores: Iterable[Score]) -> Spoken:
    """Of how many parts each check speaks."""
    found = Spoken()
    for score in scores:
        for level in LEVELS:
            for each, _, checks in checked(score, level):
                family = family_of(each)
                found.parts[family] += level == LEVELS[0]
                for kind in {check.kind for check in checks}:
                    found.spoken[family, kind][level] += 1
    return found


def reference_scores(at_most: int) -> Iterator[Score]:
    """A seeded sample of each folder."""
    for folder in FOLDERS:
        for path in sampled(sorted((reference_data() / folder).rglob("*.mxl")), at_most):
            yield read_score(path)


def sample_scores(at_most: int = 1000) -> Iterator[Score]:
    """A seeded sample of the sample library."""
    for path in sampled(sorted(Path(str(packaged("sample_library"))).glob("*.mxl")), at_most):
        yield read_score(path)


def main() -> None:
    """Print the tables."""
    for title, scores in (("Reference scores", reference_scores(8)), ("Sample library", sample_scores())):
        found = count(scores)
        parts = ", ".join(f"{family} {number}" for family, number in sorted(found.parts.items()))
        print(f"{title}: {parts}")
        for family, kind in sorted(found.spoken):
            shares = "  ".join(f"{level:g}: {found.share(family, kind, level):.2f}" for level in LEVELS)
            print(f"  {family:<11}{kind:<20}{shares}")


if __name__ == "__main__":
    main()
