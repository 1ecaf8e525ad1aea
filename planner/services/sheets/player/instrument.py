"""What a player does with the instrument before the first note: set-up, tuning, first note, left hand."""

from collections.abc import Iterator

from planner.core.fact import FactKind
from planner.core.profile import PartProfile, PieceProfile
from planner.services.sheets.player.line import Block, Consequence, Line
from planner.wording.study.sentences import sentence_of

MOST_LINES = 2
"""Lines about the instrument on a sheet. Source: house choice."""
_CONSEQUENCE = {
    FactKind.DRUMS_TUNED: Consequence.STOPS,
    FactKind.FIRST_NOTE: Consequence.STOPS,
    FactKind.STRUCK: Consequence.STOPS,
    FactKind.HIGH_POSITION: Consequence.SPOILS,
}


def instrument_lines(profile: PieceProfile, part: PartProfile) -> Iterator[Line]:
    """The heaviest lines about the instrument; none where the page leaves a doubt."""
    found = [fact for fact in profile.facts_for(part.name) if fact.kind in _CONSEQUENCE]
    for fact in sorted(found, key=lambda fact: -fact.weight)[:MOST_LINES]:
        block = Block.MANNER if fact.kind is FactKind.HIGH_POSITION else Block.START
        yield Line(block, sentence_of(fact, profile), _CONSEQUENCE[fact.kind], fact.weight, (fact,))
