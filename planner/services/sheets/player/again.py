"""What saves a player effort: bars that come back, sequences, who has the tune and who plays the same."""

from collections.abc import Iterator

from planner.core.fact import Fact, FactKind
from planner.core.profile import PartProfile, Pattern, PatternKind, PieceProfile
from planner.services.sheets.player.line import Block, Consequence, Line
from planner.wording.player_sheet import repeat_words
from planner.wording.study.sentences import sentence_of

_TUNE = frozenset({FactKind.HAS_TUNE, FactKind.DOUBLES_TUNE, FactKind.ACCOMPANIES, FactKind.ANSWERS})

LONG_BARS, LONG_REPEAT = 3, 0.7
"""Bars of a repeat that saves a player much, and its weight. Source: house choice."""


def again_lines(profile: PieceProfile, part: PartProfile) -> Iterator[Line]:
    """One line about the tune, then what repeats, the heaviest first."""
    facts = profile.facts_for(part.name)
    tune = max((f for f in facts if f.kind in _TUNE), key=lambda f: f.weight, default=None)
    if tune is not None:
        yield Line(Block.AGAIN, sentence_of(tune, profile), Consequence.SPOILS, 0.6, (tune,))
    patterns = [fact for fact in facts if fact.kind is FactKind.PATTERN]
    has_doubling = False
    for fact in sorted(patterns, key=lambda fact: -fact.weight):
        doubles = part.patterns[int(fact.number("pattern"))].kind is PatternKind.UNISON
        if not (doubles and has_doubling) and not (tune and _says_the_same(fact, tune, part)):
            has_doubling |= doubles
            words, grave, weight = sentence_of(fact, profile), Consequence.NOTHING, fact.weight
            if _saves_much(part.patterns[int(fact.number("pattern"))]):
                words, grave, weight = repeat_words(words), Consequence.SPOILS, LONG_REPEAT
            yield Line(Block.AGAIN, words, grave, weight, (fact,))


def _saves_much(found: Pattern) -> bool:
    """Whether whole bars come back as they were, and enough of them to save a player the reading."""
    first, last = found.places[0]
    return found.kind is PatternKind.REPEAT and not any(found.steps) and last - first + 1 >= LONG_BARS


def _says_the_same(fact: Fact, tune: Fact, part: PartProfile) -> bool:
    """Whether a doubling is with those whose tune the part doubles, at the same places."""
    found = part.patterns[int(fact.number("pattern"))]
    return (
        found.kind is PatternKind.UNISON
        and tune.kind is FactKind.DOUBLES_TUNE
        and set(tune.parts) <= set(found.with_parts)
        and all(any(a <= first and last <= b for a, b in tune.places) for first, last in found.places)
    )
