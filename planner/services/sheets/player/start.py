"""What a player takes in first: how it is counted off, how fast, which way through the page."""

from collections.abc import Iterator
from dataclasses import replace

from planner.core.fact import FactKind
from planner.core.profile import PartProfile, PieceProfile
from planner.core.tempo_places import tempo_places
from planner.services.sheets.player.line import Block, Consequence, Line
from planner.wording.player_sheet import is_plain, meter_change_words, roadmap_words
from planner.wording.study.sentences import sentence_of

_CONSEQUENCE = {
    FactKind.MARKS_LACKING: Consequence.STOPS,
    FactKind.OWN_METER: Consequence.STOPS,
    FactKind.CLEF_CHANGES: Consequence.STOPS,
}


def start_lines(profile: PieceProfile, part: PartProfile) -> Iterator[Line]:
    """The roadmap where it leaves the page order, and every change of meter, clef and tempo."""
    for fact in profile.facts_for("", part.name):
        if fact.kind is FactKind.ROADMAP:
            words = roadmap_words(profile)
            yield Line(Block.START, words, Consequence.STOPS, 1.0, (fact,), is_kept=True)
        elif fact.kind is FactKind.METER_CHANGES:
            yield Line(Block.START, meter_change_words(profile), Consequence.STOPS, 0.95, (fact,))
        elif fact.kind is FactKind.TEMPO_TURNS:
            played = _until_the_end(profile, part)
            if not _explained_elsewhere(played):
                yield Line(Block.START, sentence_of(fact, played), Consequence.STOPS, fact.weight, (fact,))
        elif fact.kind is FactKind.CLEF_CHANGES and fact.number("staves") > 1:
            yield Line(Block.START, sentence_of(fact, profile), Consequence.NOTHING, fact.weight, (fact,))
        elif fact.kind in _CONSEQUENCE:
            yield Line(Block.START, sentence_of(fact, profile), _CONSEQUENCE[fact.kind], fact.weight, (fact,))


def _until_the_end(profile: PieceProfile, part: PartProfile) -> PieceProfile:
    """The piece without the changes of tempo after the last bar in which the part sounds."""
    return replace(
        profile,
        tempo_turns=tuple(each for each in profile.tempo_turns if not part.is_over_by(each.measure)),
        expression=tuple(each for each in profile.expression if not part.is_over_by(each.measure)),
    )


def _explained_elsewhere(profile: PieceProfile) -> bool:
    """Whether every change of tempo is a word without a number that the sheet explains among the others."""
    named = {text for fact in profile.facts if fact.kind is FactKind.WORDS for text in fact.terms}
    explained = {use.text for use in profile.expression if use.text in named and not is_plain(use)}
    return all(
        all(turn.source == "words" and turn.words in explained for turn in place.turns)
        and explained.issuperset(place.words)
        for place in tempo_places(profile)
    )
