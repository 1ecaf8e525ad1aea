"""What a player does with the instrument: set-up, tuning, first note, changes, cues, uncommon fingerings."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from planner.core.difficulty import ChallengeKind
from planner.core.fact import Fact, FactKind
from planner.core.profile import PartProfile, PatternKind, PieceProfile
from planner.services.sheets.player.line import Block, Consequence, Line
from planner.wording.study.sentences import sentence_of

MOST_LINES = 4
"""Lines about the instrument that are offered to a sheet. Source: house choice."""
HURRIED_SECONDS = 6.0
"""A change with no more time than this can stop a reading; with more it is only to be known. House choice."""


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a kind of fact stands on a sheet, and what not knowing it does."""

    block: Block
    consequence: Consequence


_PLACES = {
    FactKind.DRUMS_TUNED: _Place(Block.START, Consequence.STOPS),
    FactKind.FIRST_NOTE: _Place(Block.START, Consequence.STOPS),
    FactKind.STRUCK: _Place(Block.START, Consequence.STOPS),
    FactKind.SWITCHES: _Place(Block.MANNER, Consequence.STOPS),
    FactKind.CHANGES: _Place(Block.MANNER, Consequence.STOPS),
    FactKind.CUES: _Place(Block.MANNER, Consequence.STOPS),
    FactKind.DIVIDED: _Place(Block.MANNER, Consequence.SPOILS),
    FactKind.PLAYERS: _Place(Block.MANNER, Consequence.SPOILS),
    FactKind.SAME_BARS: _Place(Block.AGAIN, Consequence.SPOILS),
    FactKind.HIGH_POSITION: _Place(Block.MANNER, Consequence.SPOILS),
    FactKind.ROLLS: _Place(Block.MANNER, Consequence.NOTHING),
}
_FINGERED = {FactKind.FINGERINGS: Consequence.SPOILS, FactKind.FIRST_POSITION: Consequence.NOTHING}


def instrument_lines(profile: PieceProfile, part: PartProfile) -> Iterator[Line]:
    """The heaviest lines about the instrument; none where the page leaves a doubt."""
    found = [new for fact in profile.facts_for(part.name) if (new := _not_elsewhere(fact, part))]
    for fact in sorted(found, key=lambda fact: -fact.weight)[:MOST_LINES]:
        place = _PLACES[fact.kind]
        grave = place.consequence
        if fact.kind is FactKind.CHANGES and min(fact.each("seconds"), default=0.0) > HURRIED_SECONDS:
            grave = Consequence.SPOILS
        yield Line(place.block, sentence_of(fact, profile), grave, fact.weight, (fact,))


def fingering_lines(profile: PieceProfile, part: PartProfile) -> Iterator[Line]:
    """Which notes are fingered in a way that readers of this level may not know."""
    for fact in profile.facts_for(part.name):
        if fact.kind in _FINGERED:
            yield Line(Block.KEY, sentence_of(fact, profile), _FINGERED[fact.kind], fact.weight, (fact,))


def _not_elsewhere(fact: Fact, part: PartProfile) -> Fact | None:
    """A fact of this room less what another line of the sheet has; None where nothing is left."""
    if fact.kind not in _PLACES:
        return None
    if fact.kind is FactKind.SAME_BARS and any(each.kind is PatternKind.OSTINATO for each in part.patterns):
        return None
    return _without_hard_changes(fact, part) if fact.kind is FactKind.CHANGES else fact


def _without_hard_changes(fact: Fact, part: PartProfile) -> Fact | None:
    """Changes without those that stand among the hardest bars, which tell their seconds."""
    hard = {
        spot.measure
        for spot in part.spots
        if spot.challenges and spot.challenges[0].kind is ChallengeKind.QUICK_CHANGE
    }
    opening = int(fact.number("opening"))
    timed = zip(fact.terms[opening:], fact.places[opening:], fact.each("seconds"), strict=True)
    kept = [each for each in timed if each[1][0] not in hard]
    if not kept and not opening:
        return None
    return replace(
        fact,
        terms=(*fact.terms[:opening], *(term for term, _, _ in kept)),
        places=(*fact.places[:opening], *(place for _, place, _ in kept)),
        numbers=(("opening", opening), *(("seconds", seconds) for *_, seconds in kept)),
    )
