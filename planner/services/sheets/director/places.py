"""Where the ensemble has to look together: places that are hard for several parts, and who enters where."""

from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from planner.core.difficulty import Challenge, ChallengeKind
from planner.core.fact import Place
from planner.core.profile import PartProfile, Spot

MOST_PLACES = 3
"""Places for the ensemble. House choice: what can be mended between two readings."""
LONGEST_PLACE = 4
"""Bars of a place at most. House choice: two usual half phrases."""
LEAST_PARTS = 2
"""Parts that a place concerns at least."""
MOST_KINDS = 2
"""Reasons of a place that are given. House choice."""
ENTRANCES = (ChallengeKind.ENTRANCE_AFTER_REST, ChallengeKind.EXPOSED_ENTRANCE)


@dataclass(frozen=True, slots=True)
class Concern:
    """What makes a place hard, and for which parts, in score order."""

    kind: ChallengeKind
    parts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class EnsemblePlace:
    """A place that is hard for several parts; ``parts`` in score order, the commonest concern first."""

    place: Place
    parts: tuple[str, ...]
    concerns: tuple[Concern, ...]


def ensemble_places(parts: Sequence[PartProfile], measures: int) -> tuple[EnsemblePlace, ...]:
    """The places where most weight of several parts' hard spots falls together, in order of the bars.

    A place runs over the bars around the heaviest one that the same spots cover, at most ``LONGEST_PLACE``.
    No two of them share a spot.

    Args:
        parts: The parts that are read, in score order.
        measures: Written measures of the piece.
    """
    spots = [(at, spot) for at, part in enumerate(parts) for spot in part.spots]
    found: list[EnsemblePlace] = []
    while len(found) < MOST_PLACES:
        weights = _weights(spots, measures)
        heaviest = max(range(measures), key=lambda at: (weights[at], -at), default=None)
        if heaviest is None or not weights[heaviest]:
            break
        here = [(at, spot) for at, spot in spots if spot.measure <= heaviest <= end_of(spot)]
        found.append(_place(parts, here, heaviest))
        first, last = found[-1].place
        spots = [(at, spot) for at, spot in spots if end_of(spot) < first or spot.measure > last]
    return tuple(sorted(found, key=lambda each: each.place))


def _weights(spots: Sequence[tuple[int, Spot]], measures: int) -> list[float]:
    """By measure the weight of the spots of its parts together; 0 where fewer than two parts have one."""
    weights, concerned = [0.0] * measures, [set[int]() for _ in range(measures)]
    for at, spot in spots:
        for measure in range(spot.measure, min(end_of(spot), measures - 1) + 1):
            weights[measure] += spot.weight
            concerned[measure].add(at)
    return [weights[at] if len(concerned[at]) >= LEAST_PARTS else 0.0 for at in range(measures)]


def _place(parts: Sequence[PartProfile], spots: Sequence[tuple[int, Spot]], heaviest: int) -> EnsemblePlace:
    first = max(min(spot.measure for _, spot in spots), heaviest - LONGEST_PLACE // 2)
    last = min(max(end_of(spot) for _, spot in spots), first + LONGEST_PLACE - 1)
    kinds: dict[ChallengeKind, set[int]] = {}
    weight: Counter[ChallengeKind] = Counter()
    for at, spot in spots:
        for challenge in spot.challenges:
            if challenge.measure <= last and last_of(challenge) >= first:
                kinds.setdefault(challenge.kind, set()).add(at)
                weight[challenge.kind] += round(1000 * challenge.weight)
    ranked = sorted(kinds, key=lambda kind: (-weight[kind], kind))
    concerns = [Concern(kind, tuple(parts[at].name for at in sorted(kinds[kind]))) for kind in ranked]
    concerned = sorted({at for at, _ in spots})
    names = tuple(parts[at].name for at in concerned)
    return EnsemblePlace((first, last), names, tuple(concerns[:MOST_KINDS]))


def end_of(spot: Spot) -> int:
    """The last measure of a spot."""
    return spot.measure if spot.end_measure is None else spot.end_measure


def last_of(challenge: Challenge) -> int:
    """The last measure of a challenge."""
    return challenge.measure if challenge.end_measure is None else challenge.end_measure


@dataclass(frozen=True, slots=True)
class Cue:
    """An entrance that wants a look.

    Attributes:
        measure: Where.
        part: Who enters.
        rest: Bars of rest before it; 0 where it is not long.
        is_alone: No other part begins with it.
        has_tune: It takes the tune with it.
    """

    measure: int
    part: str
    rest: int = 0
    is_alone: bool = False
    has_tune: bool = False

    @property
    def weight(self) -> float:
        """How much a look is needed. House choices."""
        return min(self.rest, 32) / 16 + self.is_alone + self.has_tune


LONG_TUNE = 4
"""Bars of the tune from which its coming to a part is a cue. House choice: a usual half period."""


def cues_of(parts: Sequence[PartProfile], tunes: Mapping[str, Sequence[Place]]) -> tuple[Cue, ...]:
    """Entrances after long rests, those made alone, and where a part first takes the tune, in order.

    Args:
        parts: The parts that are read, in score order.
        tunes: By part, where it has the tune.
    """
    found: dict[tuple[int, int], Cue] = {}
    for at, part in enumerate(parts):
        taken = {first for first, _ in tunes.get(part.name, ())}
        for cue in _cues(part, taken):
            found[cue.measure, at] = cue
        long = [first for first, last in tunes.get(part.name, ()) if last - first + 1 >= LONG_TUNE]
        if long and long[0]:
            found.setdefault((long[0], at), Cue(long[0], part.name, has_tune=True))
    return tuple(found[where] for where in sorted(found))


def _cues(part: PartProfile, taken: Collection[int]) -> Iterator[Cue]:
    """Its entrances; ``taken`` are the measures in which the tune comes to it."""
    places: dict[int, dict[ChallengeKind, Challenge]] = {}
    for spot in part.spots:
        for challenge in spot.challenges:
            if challenge.kind in ENTRANCES:
                places.setdefault(challenge.measure, {})[challenge.kind] = challenge
    for measure, kinds in places.items():
        rested = kinds.get(ChallengeKind.ENTRANCE_AFTER_REST)
        yield Cue(
            measure,
            part.name,
            rest=int(rested.number("bars")) if rested else 0,
            is_alone=ChallengeKind.EXPOSED_ENTRANCE in kinds,
            has_tune=measure in taken,
        )
