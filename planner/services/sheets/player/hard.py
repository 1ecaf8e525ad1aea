"""The hardest bars of a part: where, why, and how to get over them."""

from collections import Counter
from collections.abc import Iterator

from planner.core.difficulty import ChallengeKind
from planner.core.fact import FactKind
from planner.core.profile import PartProfile, PieceProfile, Spot
from planner.services.sheets.player.line import Block, Consequence, Line, PassageMusic
from planner.wording.player_sheet import hard_words, place_of

MOST = 3
"""Hard bars on a sheet. Source: house choice: what a player keeps in mind through a reading."""
MOST_ALIKE = 2
"""Of them with the same kind of challenge. Source: house choice: the next one is met in the same way."""
HEAVIEST, OTHERS = 0.86, 0.69
"""Weight of the line about the heaviest place, and of the others. Source: house choice: the notes outside the
signature come before them, a long repeat before the second of them, as for a coach."""
AROUND = 1
"""Bars engraved after a hard one, to see where it leads. Source: house choice."""
LONGEST = 4
"""Most bars engraved of one place. Source: house choice: one line of music."""
_STOPPING = frozenset({
    ChallengeKind.ENTRANCE_AFTER_REST, ChallengeKind.EXPOSED_ENTRANCE, ChallengeKind.QUICK_CHANGE,
    ChallengeKind.METER_CHANGE,
})  # fmt: skip


def hard_lines(profile: PieceProfile, part: PartProfile) -> Iterator[Line]:
    """The heaviest places in the order of the page, an entrance after a long rest among them if any."""
    facts = {
        fact.places[0][0]: (fact,) for fact in profile.facts_for(part.name) if fact.kind is FactKind.SPOT
    }
    advised: set[ChallengeKind] = set()
    places = _heaviest(part.spots)
    heaviest = max((spot.weight for spot in places), default=0.0)
    for spot in places:
        first, last = place_of(spot)
        until = min(profile.measures - 1, first + LONGEST - 1, last + AROUND)
        music = PassageMusic(first, until, (first, min(last, until)))
        grave = Consequence.STOPS if spot.kinds[0] in _STOPPING else Consequence.SPOILS
        words = hard_words(spot, profile, with_advice=spot.kinds[0] not in advised)
        advised.add(spot.kinds[0])
        weight = HEAVIEST if spot.weight == heaviest else OTHERS
        yield Line(Block.HARD, words, grave, weight, facts.get(spot.measure, ()), music)


def _heaviest(spots: tuple[Spot, ...]) -> list[Spot]:
    """The heaviest, of several with the same challenge the first."""
    by_challenge: dict[object, Spot] = {}
    for spot in spots:
        first = spot.challenges[:1]
        if first:
            what = (first[0].kind, first[0].notes, first[0].terms, first[0].numbers)
            by_challenge.setdefault(what, spot)
    ranked = sorted(by_challenge.values(), key=lambda spot: (-spot.weight, spot.measure))
    each = Counter[ChallengeKind]()
    kept: list[Spot] = []
    for spot in ranked:
        if len(kept) < MOST and each[spot.kinds[0]] < MOST_ALIKE:
            kept.append(spot)
            each[spot.kinds[0]] += 1
    entrances = [spot for spot in ranked if ChallengeKind.ENTRANCE_AFTER_REST in spot.kinds]
    if entrances and not any(spot in kept for spot in entrances):
        kept[-1] = entrances[0]
    return sorted(kept, key=lambda spot: spot.measure)
