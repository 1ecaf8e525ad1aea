"""What a player takes in first: how it is counted off, how fast, which way through the page."""

from collections.abc import Iterator
from dataclasses import replace

from planner.core.fact import FactKind
from planner.core.profile import PartProfile, PieceProfile, TempoTurn
from planner.services.sheets.player.line import Block, Consequence, Line
from planner.wording.player_sheet import meter_change_words, roadmap_words
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
            turns = _explained_nowhere_else(profile)
            if turns:
                words = sentence_of(fact, replace(profile, tempo_turns=turns))
                yield Line(Block.START, words, Consequence.STOPS, fact.weight, (fact,))
        elif fact.kind is FactKind.CLEF_CHANGES and fact.number("staves") > 1:
            yield Line(Block.START, sentence_of(fact, profile), Consequence.NOTHING, fact.weight, (fact,))
        elif fact.kind in _CONSEQUENCE:
            yield Line(Block.START, sentence_of(fact, profile), _CONSEQUENCE[fact.kind], fact.weight, (fact,))


def _explained_nowhere_else(profile: PieceProfile) -> tuple[TempoTurn, ...]:
    """The changes of tempo but for words without a number that the sheet explains among the others."""
    spoken = {text for fact in profile.facts if fact.kind is FactKind.WORDS for text in fact.terms}
    return tuple(turn for turn in profile.tempo_turns if turn.source != "words" or turn.words not in spoken)
