"""What a player is told of the tune: only what is beyond doubt, and whom the part plays along with."""

from collections.abc import Iterator
from dataclasses import replace

from planner.core.fact import Fact, FactKind, Place
from planner.core.instruments import family_of
from planner.core.profile import PartProfile, PieceProfile
from planner.services.sheets.player.line import Block, Consequence, Line
from planner.wording.player_sheet import accompanied_words, mostly_tune_words
from planner.wording.study.sentences import sentence_of

MOST_OF_IT = 2 / 3
"""Share of the bars from which somebody has the tune most of the time. Source: house choice."""
LEAST_CERTAIN = 1 / 3
"""Share of the bars in which that must be beyond doubt. Source: house choice."""
WEIGHT = 0.6
"""Of what is known of the tune. Source: house choice."""


def tune_lines(profile: PieceProfile, part: PartProfile) -> Iterator[Line]:
    """At most one line: where the part has the tune, else whom it answers, else whom it accompanies."""
    facts = profile.facts_for(part.name)
    for kind, words_of in ((FactKind.HAS_TUNE, _own), (FactKind.ANSWERS, sentence_of)):
        for fact in facts:
            words = words_of(fact, profile) if fact.kind is kind else ""
            if words:
                yield Line(Block.AGAIN, words, Consequence.SPOILS, WEIGHT, (fact,))
                return
    led = [fact for fact in facts if fact.kind is FactKind.ACCOMPANIES and _leads(fact)]
    if led and family_of(part.instrument) != "percussion":
        fact = max(led, key=lambda each: sum(each.each("share")))
        words = accompanied_words(fact) if fact.places else sentence_of(fact, profile)
        yield Line(Block.AGAIN, words, Consequence.SPOILS, WEIGHT, (fact,))


def _leads(fact: Fact) -> bool:
    """Whether one part has the tune in most of the bars that this one plays."""
    return not fact.places or sum(fact.each("share")) >= MOST_OF_IT


def _own(fact: Fact, profile: PieceProfile) -> str:
    """Where a part has the tune; of a long one only that, of others the bars that nothing cuts off."""
    if not fact.places:
        return sentence_of(fact, profile)
    certain = sum(last - first + 1 for first, last in fact.places)
    if _claimed(fact.part, profile) >= MOST_OF_IT and certain >= LEAST_CERTAIN * profile.measures:
        return mostly_tune_words()
    whole = tuple(place for place in fact.places if _is_whole(place, profile))
    return sentence_of(replace(fact, places=whole, numbers=()), profile) if whole else ""


def _claimed(name: str, profile: PieceProfile) -> float:
    """In which share of the bars a part most likely has the tune."""
    ends = [*(span.measure for span in profile.melody), profile.measures][1:]
    own = [end - span.measure for span, end in zip(profile.melody, ends, strict=True) if span.part == name]
    return sum(own) / max(profile.measures, 1)


def _is_whole(place: Place, profile: PieceProfile) -> bool:
    """Whether some bars of a tune begin and end with a phrase, or where another part takes over."""
    first, last = place
    starts = {phrase.measure for phrase in profile.phrases}
    ends = {phrase.end_measure for phrase in profile.phrases} | {profile.measures - 1}
    for span in profile.melody:
        starts |= {span.measure, span.measure + (span.offset_quarters > 0)}
        ends |= {span.measure - 1, span.measure - 1 + (span.offset_quarters > 0)}
    return first in starts and last in ends
