"""What saves a player effort: bars that come back, sequences, who has the tune and who plays the same."""

from collections.abc import Iterator, Sequence

from planner.core.fact import Fact, FactKind
from planner.core.profile import PartProfile, Pattern, PatternKind, PieceProfile
from planner.services.sheets.player.comebacks import new_level, worth_looking_up
from planner.services.sheets.player.line import Block, Consequence, Line
from planner.services.sheets.player.tune import tune_lines
from planner.wording.player_sheet import come_back_words, pattern_words
from planner.wording.study.sentences import sentence_of

LONG_BARS, LONG_REPEAT = 3, 0.87
"""Bars of a repeat that saves a player much, and its weight. Source: house choice."""
LEAST_BARS = 2
"""Fewest whole bars that are worth finding again; a single bar is read as fast as it is looked up. House
choice."""


def again_lines(profile: PieceProfile, part: PartProfile) -> Iterator[Line]:
    """One line about the tune, then what repeats, the heaviest first."""
    facts = profile.facts_for(part.name)
    yield from tune_lines(profile, part)
    found = {fact: part.patterns[int(fact.number("pattern"))] for fact in facts if _is_pattern(fact)}
    whole = {fact: each for fact, each in found.items() if _comes_back(each)}
    worth = {fact: worth_looking_up(profile, part, each) for fact, each in whole.items()}
    yield from _come_back(profile, part, {fact: each for fact, each in worth.items() if each is not None})
    tapped = {at for fact in facts if fact.kind is FactKind.RHYTHM_TO_TAP for at, _ in fact.places}
    is_led = any(fact.kind is FactKind.DOUBLES_TUNE for fact in facts)
    has_doubling = False
    for fact in sorted(found, key=lambda fact: -fact.weight):
        if not _saves_effort(found[fact], tapped):
            continue
        doubles = found[fact].kind is PatternKind.UNISON
        if not (doubles and has_doubling):
            has_doubling |= doubles
            words = pattern_words(found[fact], profile) or sentence_of(fact, profile)
            grave = Consequence.SPOILS if doubles and is_led else Consequence.NOTHING
            yield Line(Block.AGAIN, words, grave, fact.weight, (fact,))


def _is_pattern(fact: Fact) -> bool:
    return fact.kind is FactKind.PATTERN


def _comes_back(found: Pattern) -> bool:
    """Whether whole bars come back as they were."""
    is_whole = found.kind is PatternKind.REPEAT and found.fills_bars and not any(found.steps)
    return is_whole and _bars(found) >= LEAST_BARS


def _bars(found: Pattern) -> int:
    first, last = found.places[0]
    return last - first + 1


def _saves_effort(found: Pattern, tapped: set[int]) -> bool:
    """Whether a player reads less who knows of it.

    Not so where a repeat begins or ends inside a bar, or where a rhythm is tapped anyhow.
    """
    if found.kind is PatternKind.RHYTHM:
        return not any(first <= at <= last for first, last in found.places for at in tapped)
    if found.kind is PatternKind.REPEAT:
        return found.fills_bars and any(found.steps) and _bars(found) >= LEAST_BARS
    return True


def _come_back(profile: PieceProfile, part: PartProfile, found: dict[Fact, Pattern]) -> Iterator[Line]:
    """Bars that come back, those that come back equally far away in one line."""
    by_distance: dict[tuple[int, ...], list[Fact]] = {}
    for fact, each in sorted(found.items(), key=lambda one: one[1].places):
        first = each.places[0][0]
        by_distance.setdefault(tuple(place[0] - first for place in each.places[1:]), []).append(fact)
    for facts in by_distance.values():
        patterns = _apart([found[fact] for fact in facts])
        bars = sum(map(_bars, patterns))
        grave = Consequence.SPOILS if bars >= LONG_BARS else Consequence.NOTHING
        weight = LONG_REPEAT if bars >= LONG_BARS else max(fact.weight for fact in facts)
        kept = tuple(fact for fact in facts if found[fact] in patterns)
        level = new_level(part, patterns[0]) if len(patterns) == 1 else ""
        yield Line(Block.AGAIN, come_back_words(patterns, profile, level), grave, weight, kept)


def _apart(patterns: Sequence[Pattern]) -> list[Pattern]:
    """Those whose first places do not overlap, the first ones first."""
    kept: list[Pattern] = []
    for each in patterns:
        if not kept or each.places[0][0] > kept[-1].places[0][1]:
            kept.append(each)
    return kept
