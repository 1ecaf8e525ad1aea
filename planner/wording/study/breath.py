"""Sentences about a player's own body: where to breathe, and the highest note to prepare for."""

from planner.core.fact import Fact, FactKind
from planner.core.profile import PieceProfile
from planner.wording.words import bar_list, bar_names, bars, pitch


def breaths(fact: Fact, profile: PieceProfile) -> str:
    """Where to breathe: in the rests, and after long notes."""
    rests, notes = (
        [place[0] for place, term in zip(fact.places, fact.terms, strict=True) if term == kind]
        for kind in ("rest", "long-note")
    )
    numbers = bar_names(profile)
    after = f"after the long note{'s' if len(notes) > 1 else ''} in {bar_list(numbers, notes)}"
    if not rests:
        return f"Breathe {after}."
    sentence = f"Breathe in the rest{'s' if len(rests) > 1 else ''} in {bar_list(numbers, rests)}"
    return f"{sentence}, and {after}." if notes else f"{sentence}."


def highest_note(fact: Fact, profile: PieceProfile) -> str:
    """The highest note and its bars."""
    where = bar_list(bar_names(profile), [place[0] for place in fact.places])
    return f"Your highest note is {pitch(fact.notes[0])}, in {where}."


def widest_leap(fact: Fact, profile: PieceProfile) -> str:
    """The widest leap and its bar."""
    start, goal = fact.notes
    where = bars(bar_names(profile), *fact.places[0])
    return f"Your widest leap is from {pitch(start)} to {pitch(goal)}, in {where}."


SENTENCES = {
    FactKind.BREATHS: breaths,
    FactKind.HIGHEST_NOTE: highest_note,
    FactKind.WIDEST_LEAP: widest_leap,
}
