"""Sentences about dynamics: the marks bar by bar, or their extremes, and where they change suddenly."""

from planner.core.fact import Fact, FactKind
from planner.core.profile import PieceProfile
from planner.wording.words import bar_names, bars, listed, span


def no_dynamics(_fact: Fact, _profile: PieceProfile) -> str:
    """That the page is bare."""
    return "No dynamics on the page."


def dynamics(fact: Fact, profile: PieceProfile) -> str:
    """Every mark and swell with its bars."""
    numbers = bar_names(profile)
    each = [
        f"{span(numbers, use.measure, use.end_measure)} {use.mark}"
        for use in profile.part(fact.part).dynamics
    ]
    return f"Dynamics by bar: {', '.join(each)}.{_sudden(fact, profile)}"


def extremes(fact: Fact, profile: PieceProfile) -> str:
    """How many marks there are, and the softest and loudest of them."""
    marks = f"{int(fact.number('marks'))} marks and {int(fact.number('swells'))} swells"
    if not fact.terms:
        return f"Dynamics: {marks}.{_sudden(fact, profile)}"
    softest, loudest = (
        f"{mark} (first in {bars(bar_names(profile), first)})"
        for mark, (first, _) in zip(fact.terms, fact.places, strict=True)
    )
    return f"Dynamics: {marks}, from {softest} to {loudest}.{_sudden(fact, profile)}"


def _sudden(fact: Fact, profile: PieceProfile) -> str:
    """The sudden changes as a sentence to follow another; empty without any."""
    found = [use for use in profile.part(fact.part).dynamics if use.sudden_from]
    each = [
        f"{use.sudden_from} to {use.mark} in {bars(bar_names(profile), use.measure)}"
        for use in found[: int(fact.number("sudden"))]
    ]
    return f" Sudden: {listed(each)}." if each else ""


SENTENCES = {
    FactKind.NO_DYNAMICS: no_dynamics,
    FactKind.DYNAMICS: dynamics,
    FactKind.DYNAMIC_EXTREMES: extremes,
}
