"""Sentences about dynamics: the marks bar by bar, or their extremes, and where they change suddenly."""

from planner.core.fact import Fact, FactKind
from planner.core.profile import PieceProfile
from planner.wording.words import bar_list, bar_names, bars, listed, span

SWELLS = ("crescendo", "diminuendo")
"""Names of the marks that are swells."""


def no_dynamics(_fact: Fact, _profile: PieceProfile) -> str:
    """That the page is bare."""
    return "No dynamics on the page."


def dynamics(fact: Fact, profile: PieceProfile) -> str:
    """Every mark and swell with its bars."""
    numbers = bar_names(profile)
    swells = int(sum(fact.each("swells")))
    each = [
        f"{span(numbers, use.measure, use.end_measure)} {use.mark}"
        for use in profile.part(fact.part).dynamics
        if not (swells and use.mark in SWELLS)
    ]
    more = f"; and {swells} swell{'s' if swells > 1 else ''}" if swells else ""
    return f"Dynamics by bar: {', '.join(each)}{more}.{_sudden(fact, profile)}"


def extremes(fact: Fact, profile: PieceProfile) -> str:
    """The softest and the loudest of many marks."""
    if not fact.terms:
        only = "swells and accents only, no lasting mark" if fact.number("marks") else "swells only, no marks"
        return f"Dynamics: {only}."
    by_mark: dict[str, list[int]] = {}
    for mark, (first, _) in zip(fact.terms, fact.places, strict=True):
        by_mark.setdefault(mark, []).append(first)
    each = [f"{mark} ({bar_list(bar_names(profile), at)})" for mark, at in by_mark.items()]
    if len(each) == 1:
        return f"Dynamics: {each[0]} is the only lasting mark."
    softest, loudest = each
    return f"Dynamics from {softest} to {loudest}.{_sudden(fact, profile)}"


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
