"""Sentences about meter, grouping and tempo."""

from planner.core.fact import Fact, FactKind
from planner.core.profile import PieceProfile
from planner.wording.words import bars, capital

AGAINST_METER = {
    "hemiola": "two bars of 3/4 move as three half notes (hemiola)",
    "6/8 as 3/4": "6/8 moves as 3/4, three quarters a bar (hemiola)",
    "3/4 as 6/8": "3/4 moves as 6/8, two dotted quarters a bar",
    "3+3+2": "4/4 moves as 3+3+2 eighths",
}


def against_meter(fact: Fact, profile: PieceProfile) -> str:
    """A passage that moves against its signature."""
    where = capital(bars(profile.measure_numbers, *fact.places[0]))
    return f"{where}: {AGAINST_METER[fact.terms[0]]}."


SENTENCES = {FactKind.AGAINST_METER: against_meter}
