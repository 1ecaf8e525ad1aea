"""Sentences about the tune: who has it, who doubles it, who accompanies, who answers."""

from planner.core.fact import Fact, FactKind
from planner.core.profile import PieceProfile
from planner.wording.words import bar_names, bar_spans, bars, capital, counted, interval, listed

_OCTAVE = 7
"""Steps of the staff in an octave."""


def has_tune(fact: Fact, profile: PieceProfile) -> str:
    """Where a part has the tune."""
    if not fact.places:
        return "You have the tune throughout."
    return f"You have the tune in {_where(fact, profile)}."


def doubles_tune(fact: Fact, profile: PieceProfile) -> str:
    """Where a part plays another one's tune with it, and how far away."""
    steps = _OCTAVE * int(sum(fact.each("octaves")))
    apart = f", {_distance(steps)}," if steps else ""
    return f"You double {listed(fact.parts)} on the tune{apart} in {_where(fact, profile)}."


def accompanies(fact: Fact, profile: PieceProfile) -> str:
    """Whose tune a part accompanies."""
    [who] = fact.parts
    if not fact.places:
        return f"{who} has the tune throughout; you accompany."
    return f"{capital(_where(fact, profile))}: {who} has the tune; you accompany."


def answers(fact: Fact, profile: PieceProfile) -> str:
    """Whom a part answers, and at which interval."""
    [own, theirs], [who] = fact.places, fact.parts
    numbers, steps = bar_names(profile), int(fact.number("steps"))
    return f"{capital(bars(numbers, *own))}: you answer {who} ({bars(numbers, *theirs)}), {_distance(steps)}."


def tune_returns(fact: Fact, profile: PieceProfile) -> str:
    """Which bars of the melody come again, and where."""
    first, *later = fact.places
    numbers = bar_names(profile)
    return f"The tune of {bars(numbers, *first)} comes again in {bar_spans(numbers, later)}."


def _distance(steps: int) -> str:
    """How far and which way an answer lies: ``an octave and a third lower``.

    Example:
        >>> _distance(0), _distance(-4), _distance(-9), _distance(14)
        ('at the same pitch', 'a fifth lower', 'an octave and a third lower', 'two octaves higher')
    """
    octaves, rest = divmod(abs(steps), _OCTAVE)
    if not steps:
        return "at the same pitch"
    if abs(steps) <= _OCTAVE:
        return interval(steps)
    size = "an octave" if octaves == 1 else f"{counted(octaves)} octaves"
    if not rest:
        return f"{size} {'higher' if steps > 0 else 'lower'}"
    return f"{size} and {interval(rest if steps > 0 else -rest)}"


def _where(fact: Fact, profile: PieceProfile) -> str:
    """The places, and how many more there are."""
    more = int(sum(fact.each("more")))
    where = bar_spans(bar_names(profile), fact.places)
    return f"{where}, and {counted(more)} more {'place' if more == 1 else 'places'}" if more else where


SENTENCES = {
    FactKind.HAS_TUNE: has_tune,
    FactKind.DOUBLES_TUNE: doubles_tune,
    FactKind.ACCOMPANIES: accompanies,
    FactKind.ANSWERS: answers,
    FactKind.TUNE_RETURNS: tune_returns,
}
"""For each kind of fact about the tune the function that words it."""
