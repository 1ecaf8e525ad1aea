"""The hard places of each part: where a player should look first, and why."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from planner.core.difficulty import Challenge, ChallengeKind
from planner.core.fact import Fact, FactKind
from planner.core.profile import Spot
from planner.study.difficulty.evidence import Evidence, gather
from planner.study.difficulty.rhythm_dimensions import beats_of
from planner.study.facts import StudyFacts
from planner.study.lines.technique import technique_challenges
from planner.study.notes.columns import Bools, Columns, Floats
from planner.study.spots.entrances import find_entrances
from planner.study.spots.page_challenges import page_challenges
from planner.study.spots.pitch_challenges import pitch_challenges
from planner.study.spots.rhythm_challenges import cross_rhythms, rhythm_challenges

MOST_SPOTS = 5
"""Spots a player can look at in the study time.

Source: house choice: half a minute of the study and about six seconds a place. Entrances after long rests
come on top: who misses one is lost, however easy the notes are.
"""
LEAST_WEIGHT = 0.45
"""Weight below which a bar is not worth a look. Source: house choice: half a leap of an octave."""
LONGEST_PASSAGE = 4
"""Bars in one spot. Source: house choice: what an eye takes in at a glance of some seconds."""
MOST_REASONS = 3


@dataclass(frozen=True, slots=True)
class SpotStudy:
    """Spots of each part in score order, hardest first, and a fact for each.

    ``weights`` is the difficulty of each written measure for each part.
    """

    by_part: tuple[tuple[Spot, ...], ...]
    facts: tuple[Fact, ...] = ()
    weights: tuple[tuple[float, ...], ...] = ()


def find_spots(columns: Columns, facts: StudyFacts, evidence: Evidence | None = None) -> SpotStudy:
    """The hardest places of every part.

    Args:
        columns: The score.
        facts: What the study settled before.
        evidence: What was measured for the levels; measured anew when not given.
    """
    evidence = evidence or gather(columns, facts)
    crossed = cross_rhythms(evidence.parts, beats_of(columns, facts), columns)
    entrances = find_entrances(evidence, columns)
    by_part: list[tuple[Spot, ...]] = []
    weights: list[tuple[float, ...]] = []
    others: list[Fact] = []
    for index, each in enumerate(evidence.parts):
        challenges = [*crossed.get(index, ()), *entrances[index]]
        if each:
            challenges += pitch_challenges(each, columns)
            challenges += rhythm_challenges(each, columns, facts)
            challenges += page_challenges(each, columns, facts)
            challenges += technique_challenges(each, facts)
        by_measure = weigh(challenges, len(columns.measure_start))
        by_part.append(passages(challenges, by_measure, MOST_SPOTS))
        others += _other_challenges(columns.parts[index].part.name, challenges, by_part[-1])
        weights.append(tuple(np.round(by_measure, 3).tolist()))
    return SpotStudy(tuple(by_part), (*_facts(columns, by_part), *others), tuple(weights))


def hard_bars(columns: Columns, spots: SpotStudy) -> dict[str, tuple[int, ...]]:
    """By the name of a part the bars in which the heaviest challenge of each spot begins."""
    return {
        part.part.name: tuple(spot.challenges[0].measure for spot in found)
        for part, found in zip(columns.parts, spots.by_part, strict=True)
    }


def _other_challenges(part: str, challenges: list[Challenge], spots: tuple[Spot, ...]) -> Iterator[Fact]:
    """Of each kind that is the heaviest of no spot the heaviest, where it is worth a look."""
    led = {spot.kinds[0] for spot in spots}
    heaviest: dict[ChallengeKind, Challenge] = {}
    for each in sorted(challenges, key=lambda each: (-each.weight, each.measure)):
        if each.kind not in led and each.weight >= LEAST_WEIGHT:
            heaviest.setdefault(each.kind, each)
    for kind, each in heaviest.items():
        last = each.measure if each.end_measure is None else each.end_measure
        yield Fact(
            FactKind.CHALLENGE, part, ((each.measure, last),), notes=each.notes,
            terms=(kind.value, *each.terms), numbers=each.numbers,
            weight=round(each.weight / (1.0 + each.weight), 3),
        )  # fmt: skip


def weigh(challenges: list[Challenge], count: int) -> Floats:
    """Difficulty of each measure: of each kind the heaviest counts whole, further ones a quarter."""
    heaviest: dict[tuple[int, ChallengeKind], float] = defaultdict(float)
    total = np.zeros(count)
    for challenge in challenges:
        for measure in range(challenge.measure, (challenge.end_measure or challenge.measure) + 1):
            key = (measure, challenge.kind)
            best = heaviest[key]
            total[measure] += max(challenge.weight - best, 0.0) * 0.75 + challenge.weight * 0.25
            heaviest[key] = max(best, challenge.weight)
    return total


def passages(challenges: list[Challenge], weights: Floats, most: int) -> tuple[Spot, ...]:
    """The heaviest bars, neighbours merged, and every entrance after a long rest; hardest first."""
    taken = np.zeros(len(weights), dtype=np.bool_)
    spots: list[Spot] = []
    covered: list[Challenge] = []
    least = max(LEAST_WEIGHT, _usual(weights))
    for measure in np.lexsort((np.arange(len(weights)), -weights)).tolist():
        if len(spots) == most or weights[measure] < least:
            break
        if taken[measure]:
            continue
        first, last = _grow(measure, weights, taken, 0.7 * float(weights[measure]))
        kept = _heaviest(first, last, challenges)
        first, last = _with_run(first, last, kept, taken)
        taken[first : last + 1] = True
        if all(challenge in covered for challenge in kept):
            continue  # the rest of a run that is a spot already
        covered += [challenge for challenge in kept if challenge.end_measure]
        spots.append(_spot(first, last, kept, float(weights[first : last + 1].max())))
    for entrance in challenges:
        at = entrance.measure
        if entrance.kind is ChallengeKind.ENTRANCE_AFTER_REST and not taken[at]:
            spots.append(_spot(at, at, _heaviest(at, at, challenges), float(weights[at])))
    return tuple(sorted(spots, key=lambda spot: (-spot.weight, spot.measure)))


def _with_run(first: int, last: int, kept: list[Challenge], taken: Bools) -> tuple[int, int]:
    """The passage with the whole of its run, unless that reaches into another spot."""
    for run in kept:
        if run.kind is ChallengeKind.RUN:
            begin, end = min(first, run.measure), max(last, run.end_measure or run.measure)
            return (first, last) if taken[begin : end + 1].any() else (begin, end)
    return first, last


def _usual(weights: Floats) -> float:
    """Where everything is hard, only what stands out is a spot."""
    heavy = weights[weights > 0]
    return float(np.median(heavy)) if heavy.size else 0.0


def _grow(measure: int, weights: Floats, taken: Bools, least: float) -> tuple[int, int]:
    first = last = measure
    while last + 1 < len(weights) and last - first + 1 < LONGEST_PASSAGE:
        if taken[last + 1] or weights[last + 1] < least:
            break
        last += 1
    while first > 0 and last - first + 1 < LONGEST_PASSAGE:
        if taken[first - 1] or weights[first - 1] < least:
            break
        first -= 1
    return first, last


def _heaviest(first: int, last: int, challenges: list[Challenge]) -> list[Challenge]:
    """The heaviest challenge of each kind in a passage, heaviest first; an entrance after a rest stays."""
    inside = [c for c in challenges if c.measure <= last and (c.end_measure or c.measure) >= first]
    inside.sort(key=lambda challenge: (-challenge.weight, challenge.measure, challenge.kind))
    chosen: dict[ChallengeKind, Challenge] = {}
    for challenge in inside:
        chosen.setdefault(challenge.kind, challenge)
    reasons = list(chosen.values())
    entrance = [each for each in reasons[MOST_REASONS:] if each.kind is ChallengeKind.ENTRANCE_AFTER_REST]
    return [*reasons[: MOST_REASONS - len(entrance)], *entrance]


def _spot(first: int, last: int, kept: list[Challenge], weight: float) -> Spot:
    challenges = tuple(replace(challenge, weight=round(challenge.weight, 3)) for challenge in kept)
    return Spot(first, challenges, last, round(weight, 2))


def _facts(columns: Columns, by_part: list[tuple[Spot, ...]]) -> tuple[Fact, ...]:
    return tuple(
        _fact(part.part.name, spot)
        for part, spots in zip(columns.parts, by_part, strict=True)
        for spot in spots
    )


def _fact(part: str, spot: Spot) -> Fact:
    place = (spot.measure, spot.measure if spot.end_measure is None else spot.end_measure)
    weight = round(spot.weight / (1.0 + spot.weight), 3)
    return Fact(FactKind.SPOT, part, (place,), terms=tuple(spot.kinds), weight=weight)
