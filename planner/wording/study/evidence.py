"""Where a sentence of the study comes from: its rule, what was counted, where it holds, how sure it is."""

from collections.abc import Iterator, Mapping, Sequence

from planner.core.fact import Fact, FactKind, Place
from planner.core.profile import PieceProfile, Spot
from planner.wording.study.rules import CHALLENGE_RULES, PATTERN_RULES, RULES
from planner.wording.words import bar_names, bar_spans, count_of, percent

_SURE = 0.995
"""From this certainty on nothing is in doubt."""
_MOST_PLACES = 8
"""Most places of a reason that are named. House choice."""


def evidence_of(
    fact: Fact, profile: PieceProfile, places: Sequence[Place], thresholds: Mapping[str, float]
) -> tuple[str, ...]:
    """What a fact rests on, sentence by sentence.

    Args:
        fact: One of the profile's.
        profile: The study.
        places: The bars that it speaks of, as written measures.
        thresholds: The numbers that the rules name, as the study holds them.
    """
    rules = [rule.format_map(thresholds) for rule in _rules(fact, profile)]
    return (*rules, *_counted(fact, profile), *_extent(places, profile), *_certainty(fact))


def _rules(fact: Fact, profile: PieceProfile) -> Iterator[str]:
    if fact.kind is FactKind.PATTERN:
        yield PATTERN_RULES[profile.part(fact.part).patterns[int(fact.number("pattern"))].kind]
        return
    yield RULES[fact.kind]
    spot = _spot_of(fact, profile)
    if spot is not None:
        yield from (CHALLENGE_RULES[kind] for kind in dict.fromkeys(spot.kinds))


def _spot_of(fact: Fact, profile: PieceProfile) -> Spot | None:
    if fact.kind is not FactKind.SPOT:
        return None
    return next((each for each in profile.part(fact.part).spots if each.measure == fact.measure), None)


def _counted(fact: Fact, profile: PieceProfile) -> Iterator[str]:
    """What was counted for it beside its places."""
    if fact.kind is FactKind.PATTERN:
        found = profile.part(fact.part).patterns[int(fact.number("pattern"))]
        yield f"It covers {percent(found.covers)} of the part's notes."
    spot = _spot_of(fact, profile)
    if spot is not None:
        yield f"It weighs {spot.weight:.1f}."
    if fact.kind is FactKind.OUTSIDE_SIGNATURE:
        part = profile.part(fact.part)
        uses = [use for use in part.accidentals if use.kind == "first"]
        times = sum(use.times for use in uses)
        yield f"{count_of(times, 'note')} of {part.notes}, under {count_of(len(uses), 'name')}."


def _extent(places: Sequence[Place], profile: PieceProfile) -> Iterator[str]:
    """In how many places and bars it holds."""
    bars = {measure for first, last in places for measure in range(first, last + 1)}
    if len(places) == 1:
        yield f"{count_of(len(bars), 'bar')} of {profile.measures}."
    elif places:
        yield f"{count_of(len(places), 'place')}, {count_of(len(bars), 'bar')} of {profile.measures}."


def _certainty(fact: Fact) -> Iterator[str]:
    if fact.certainty < _SURE:
        yield f"The study is about {percent(fact.certainty)} sure."


FROM_THE_PAGE = "Read from this part's page."
"""Behind what the page itself says, which no rule has worked out."""


def care_reason(family: str, profile: PieceProfile, loud: Sequence[Place]) -> str:
    """Why the caution of a part's sheet is what it is.

    Args:
        family: Of its instrument; empty where it is not known.
        profile: The study.
        loud: Where the part is loud, as written measures.
    """
    own = f"For {_FAMILIES[family]}" if family in _FAMILIES else "For a part whose instrument is not known"
    if not loud:
        return f"{own}."
    where = bar_spans(bar_names(profile), loud[:_MOST_PLACES])
    more = len(loud) - _MOST_PLACES
    return f"{own}; ff, sfz or louder in {where}{f', and {more} more' if more > 0 else ''}."


_FAMILIES: Mapping[str, str] = {
    "brass": "the brass", "woodwind": "the woodwinds", "strings": "the strings", "plucked": "plucked strings",
    "percussion": "the percussion", "keyboard": "a keyboard", "voice": "a singer",
}  # fmt: skip
