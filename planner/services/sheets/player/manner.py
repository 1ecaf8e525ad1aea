"""How a part is to be played: fermatas, changes of tempo, words on the page, articulation, breath."""

from collections.abc import Iterator

from planner.core.fact import Fact, FactKind
from planner.core.glossary.terms import TermKind
from planner.core.profile import Expression, PartProfile, PieceProfile
from planner.services.sheets.player.line import Block, Consequence, Line
from planner.wording.player_sheet import fermata_words, is_plain, says_no, term_words
from planner.wording.study.sentences import sentence_of

_PLAIN = {FactKind.STYLE: Consequence.SPOILS, FactKind.BREATHS: Consequence.NOTHING,
          FactKind.PEDAL_HELD: Consequence.NOTHING}  # fmt: skip
_WEIGHT = {TermKind.TEMPO_CHANGE: 0.9, TermKind.TECHNIQUE: 0.8, TermKind.TEMPO: 0.5}


def manner_lines(profile: PieceProfile, part: PartProfile) -> Iterator[Line]:
    """The lines about expression."""
    for fact in profile.facts_for("", part.name):
        if fact.kind is FactKind.FERMATAS:
            yield Line(Block.MANNER, fermata_words(fact, profile), Consequence.STOPS, 0.95, (fact,))
        elif fact.kind is FactKind.WORDS:
            for use, measures in _explained(profile, fact):
                if is_plain(use) or says_no(use.text):
                    continue
                grave = Consequence.STOPS if use.kind is TermKind.TEMPO_CHANGE else Consequence.SPOILS
                weight = _WEIGHT.get(use.kind, 0.4)
                yield Line(Block.MANNER, term_words(use, measures, profile), grave, weight, (fact,))
        elif fact.kind in _PLAIN:
            yield Line(Block.MANNER, sentence_of(fact, profile), _PLAIN[fact.kind], fact.weight, (fact,))


def _explained(profile: PieceProfile, fact: Fact) -> list[tuple[Expression, list[int]]]:
    """Each text of a page once, with every bar in which it stands there."""
    uses = {(use.measure, use.text): use for use in profile.expression if use.terms}
    found: dict[str, tuple[Expression, list[int]]] = {}
    for text, (measure, _) in zip(fact.terms, fact.places, strict=True):
        use = uses.get((measure, text))
        if use is not None:
            found.setdefault(text.casefold(), (use, []))[1].append(measure)
    return list(found.values())
