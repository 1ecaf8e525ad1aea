"""Facts of a study against the bare notes of its file: which checks there are, and what they find."""

from collections.abc import Callable, Iterator, Mapping
from functools import cache
from pathlib import Path

from planner.adapters.scores.reader import read_score
from planner.core.fact import Fact, FactKind
from planner.core.profile import PieceProfile
from planner.study.study import study
from tests.study.bare_score import BarePart, BareScore, read_bare

SAMPLES = sorted((Path(__file__).resolve().parents[2] / "sample_library").glob("*.mxl"))
"""The pieces of the sample library."""

Check = Callable[[BareScore, PieceProfile, Fact], bool | None]
"""Whether a fact of a profile is true of the bare score; None where nothing mechanical is known."""


@cache
def read_twice(path: Path) -> tuple[BareScore, PieceProfile]:
    """The bare score of a file and the profile of its study."""
    return read_bare(path), study(read_score(path))


def sample(name: str) -> tuple[BareScore, PieceProfile]:
    """The same of a piece of the sample library."""
    [path] = [path for path in SAMPLES if path.stem == name]
    return read_twice(path)


def bare_part(bare: BareScore, profile: PieceProfile, name: str) -> BarePart:
    """The part of the file that a part of the profile was read from: parts come in the same order."""
    return bare.parts[[part.name for part in profile.parts].index(name)]


def is_comparable(bare: BareScore, profile: PieceProfile) -> bool:
    """Whether both readings have as many bars and as many parts; parts may be named otherwise."""
    return len(bare.numbers) == profile.measures and len(bare.parts) == len(profile.parts)


def verdicts(
    checks: Mapping[FactKind, Check], bare: BareScore, profile: PieceProfile
) -> Iterator[tuple[Fact, bool | None]]:
    """Every fact of the kinds that are checked, with its verdict."""
    for fact in profile.facts:
        if fact.kind in checks:
            yield fact, checks[fact.kind](bare, profile, fact)
