"""The rhythm a player taps before the first note, and where the part goes against the beat."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from planner.core.fact import Fact, FactKind, Place
from planner.core.profile import PartProfile, PieceProfile
from planner.services.questions.of_part import goes_straight
from planner.services.sheets.player.hard import hard_places
from planner.services.sheets.player.line import Block, Consequence, Line, RhythmMusic
from planner.wording.player_sheet import held_over_words, in_on_words, rests_words, tap_words
from planner.wording.study.sentences import sentence_of
from planner.wording.study.time import tap_counts

_AGAINST = frozenset({FactKind.AGAINST_METER, FactKind.AGAINST_TRIPLETS})
OFF_BEAT, RESTS, IN_ON, HELD_OVER = 0.92, 0.89, 0.86, 0.79
"""Weight of a part off the beat, of the rests to count, of bars that begin with a rest, and of those that
begin on a tied note. Source: house choice: who miscounts a rest is lost, who is late after one only once."""
LEAST_BARS = 2
"""Fewest bars in which a part comes in on the same beat after a rest. House choice: one is a hard bar."""
MOST_BARS = 8
"""Most bars of either kind; more are how the part goes, and nobody looks each up. House choice."""
MOST_RESTS = 3
"""Most rests that are named, the longest. House choice."""


def rhythm_lines(profile: PieceProfile, part: PartProfile) -> Iterator[Line]:
    """The rhythm to tap, the rests to count, and where the part goes against the beat."""
    facts = profile.facts_for("", part.name)
    off = [fact for fact in facts if fact.kind in (FactKind.OFFBEATS, FactKind.SAME_BEATS)]
    known = {at for fact in off for place in fact.places for at in range(place[0], place[1] + 1)}
    for fact in facts:
        if fact.kind is FactKind.RHYTHM_TO_TAP:
            counts = tap_counts(fact)
            if counts:
                yield _tapped(profile, fact, counts)
                known |= {first for first, _ in fact.places}
        elif fact in off:
            yield Line(Block.RHYTHM, sentence_of(fact, profile), Consequence.SPOILS, OFF_BEAT, (fact,))
        elif fact.kind in _AGAINST:
            yield Line(Block.RHYTHM, sentence_of(fact, profile), Consequence.SPOILS, fact.weight, (fact,))
    hard = {place[0] for place in hard_places(profile, part)}
    yield from _rests(profile, facts, hard)
    rested = {first for fact in facts if fact.kind is FactKind.COUNTED_RESTS for first, _ in fact.places}
    yield from _in_on(profile, facts, known | rested)
    for fact in facts:
        places = _without(fact, known | hard) if fact.kind is FactKind.BARS_BEGIN_TIED else ()
        if 0 < len(places) <= MOST_BARS:
            words = held_over_words(places, profile)
            yield Line(Block.RHYTHM, words, Consequence.SPOILS, HELD_OVER, (fact,))


def _tapped(profile: PieceProfile, fact: Fact, counts: tuple[tuple[Fraction, str], ...]) -> Line:
    music = RhythmMusic(fact.places[0][0], tuple((float(at), word) for at, word in counts))
    words = tap_words(fact, profile)
    return Line(Block.RHYTHM, words, Consequence.SPOILS, 0.95, (fact,), music, is_kept=True)


def _without(fact: Fact, known: set[int]) -> tuple[Place, ...]:
    return tuple(place for place in fact.places if place[0] not in known)


def _rests(profile: PieceProfile, facts: Sequence[Fact], hard: set[int]) -> Iterator[Line]:
    """The longest rests of which no hard bar speaks, and before which play goes straight on."""
    for fact in facts:
        if fact.kind is FactKind.COUNTED_RESTS:
            each = zip(fact.places, fact.each("bars"), fact.each("beat"), strict=True)
            open_ones = [
                (rest, place, beat)
                for place, rest, beat in each
                if place[0] not in hard and goes_straight(profile, place[0], int(rest))
            ]
            longest = sorted(sorted(open_ones, key=lambda one: -one[0])[:MOST_RESTS], key=lambda one: one[1])
            if longest:
                numbers = [pair for rest, _, beat in longest for pair in (("bars", rest), ("beat", beat))]
                kept = replace(fact, places=tuple(place for _, place, _ in longest), numbers=tuple(numbers))
                words = rests_words(kept, profile)
                yield Line(Block.RHYTHM, words, Consequence.SPOILS, RESTS, (fact,))


def _in_on(profile: PieceProfile, facts: Sequence[Fact], known: set[int]) -> Iterator[Line]:
    """The beat on which most of the bars begin that begin with a rest, those aside that others speak of."""
    found = [(fact, _without(fact, known)) for fact in facts if fact.kind is FactKind.BARS_BEGIN_SILENT]
    found = [(fact, places) for fact, places in found if LEAST_BARS <= len(places) <= MOST_BARS]
    for fact, places in sorted(found, key=lambda one: -len(one[1]))[:1]:
        words = in_on_words(replace(fact, places=places), profile)
        yield Line(Block.RHYTHM, words, Consequence.SPOILS, IN_ON, (fact,))
