"""The rhythm a player taps before the first note."""

from collections.abc import Iterator
from fractions import Fraction

from planner.core.fact import Fact, FactKind
from planner.core.profile import PartProfile, PieceProfile
from planner.services.sheets.player.line import Block, Consequence, Line, RhythmMusic
from planner.wording.player_sheet import tap_words
from planner.wording.study.sentences import sentence_of
from planner.wording.study.time import tap_counts

_BEATS = frozenset({FactKind.OFFBEATS, FactKind.AGAINST_METER, FactKind.AGAINST_TRIPLETS})


def rhythm_lines(profile: PieceProfile, part: PartProfile) -> Iterator[Line]:
    """The rhythm to tap, and where the part goes against the beat."""
    for fact in profile.facts_for("", part.name):
        if fact.kind is FactKind.RHYTHM_TO_TAP:
            counts = tap_counts(fact)
            if counts:
                yield _tapped(profile, fact, counts)
        elif fact.kind in _BEATS:
            yield Line(Block.RHYTHM, sentence_of(fact, profile), Consequence.SPOILS, fact.weight, (fact,))


def _tapped(profile: PieceProfile, fact: Fact, counts: tuple[tuple[Fraction, str], ...]) -> Line:
    music = RhythmMusic(fact.places[0][0], tuple((float(at), word) for at, word in counts))
    words = tap_words(fact, profile)
    return Line(Block.RHYTHM, words, Consequence.SPOILS, 0.95, (fact,), music, is_kept=True)
