"""The rhythm a player taps before the first note."""

from collections.abc import Iterator
from fractions import Fraction

from planner.core.fact import Fact, FactKind
from planner.core.profile import PartProfile, PieceProfile
from planner.services.sheets.player.line import Block, Consequence, Line, RhythmMusic
from planner.wording.counting import counts_under
from planner.wording.player_sheet import tap_words
from planner.wording.study.sentences import sentence_of

_BEATS = frozenset({FactKind.OFFBEATS, FactKind.AGAINST_METER, FactKind.AGAINST_TRIPLETS})


def rhythm_lines(profile: PieceProfile, part: PartProfile) -> Iterator[Line]:
    """The rhythm to tap, and where the part goes against the beat."""
    for fact in profile.facts_for(part.name):
        if fact.kind is FactKind.RHYTHM_TO_TAP:
            counts = counts_under(
                _exact(fact.each("onset_quarters")), _exact(fact.each("pulse_quarters")),
                _exact((fact.number("bar_quarters"),))[0],
            )  # fmt: skip
            if counts:
                yield _tapped(profile, fact, counts)
        elif fact.kind in _BEATS:
            yield Line(Block.RHYTHM, sentence_of(fact, profile), Consequence.SPOILS, fact.weight, (fact,))


def _tapped(profile: PieceProfile, fact: Fact, counts: tuple[tuple[Fraction, str], ...]) -> Line:
    music = RhythmMusic(fact.places[0][0], tuple((float(at), word) for at, word in counts))
    return Line(
        Block.RHYTHM, tap_words(fact, profile), Consequence.SPOILS, 0.95, (fact,), music, is_kept=True
    )


def _exact(quarters: tuple[float, ...]) -> tuple[Fraction, ...]:
    return tuple(Fraction(each).limit_denominator(96) for each in quarters)
