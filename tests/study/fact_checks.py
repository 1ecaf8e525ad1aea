"""Facts of a study against the bare notes of its file: which checks there are, and what they find."""

from collections.abc import Callable, Iterator, Mapping

from planner.core.fact import Fact, FactKind
from planner.core.profile import PieceProfile
from tests.study.bare_score import BarePart, BareScore

Check = Callable[[BareScore, PieceProfile, Fact], bool | None]
"""Whether a fact of a profile is true of the bare score; None where nothing mechanical is known."""


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
