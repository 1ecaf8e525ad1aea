"""How a part is to be played: fermatas, changes of tempo, words on the page, articulation, breath."""

from collections.abc import Iterable, Iterator

from planner.core.fact import FactKind
from planner.core.glossary.terms import TermKind
from planner.core.profile import Expression, PartProfile, PieceProfile
from planner.services.sheets.player.line import Block, Consequence, Line
from planner.wording.player_sheet import fermata_words, is_plain, says_no, term_words
from planner.wording.study.expression import meaning
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
            for alike in _alike(_explained(profile, fact.terms)):
                kind = alike[0][0].kind
                grave = Consequence.STOPS if kind is TermKind.TEMPO_CHANGE else Consequence.SPOILS
                yield Line(Block.MANNER, term_words(alike, profile), grave, _WEIGHT.get(kind, 0.4), (fact,))
        elif fact.kind in _PLAIN:
            yield Line(Block.MANNER, sentence_of(fact, profile), _PLAIN[fact.kind], fact.weight, (fact,))


_Use = tuple[Expression, list[int]]
"""Words on the page, and every bar in which they stand."""


def _alike(uses: Iterable[_Use]) -> list[list[_Use]]:
    """The words that need to be explained, those that mean the same together."""
    found: dict[object, list[_Use]] = {}
    for use, measures in uses:
        if not (is_plain(use) or says_no(use.text)):
            found.setdefault((use.kind, meaning(use.terms)), []).append((use, measures))
    return list(found.values())


def _explained(profile: PieceProfile, texts: tuple[str, ...]) -> list[_Use]:
    """Each text once, with every bar in which it stands."""
    found: dict[str, tuple[Expression, list[int]]] = {}
    for use in profile.expression:
        if use.text in texts and use.terms:
            _, measures = found.setdefault(use.text.casefold(), (use, []))
            if use.measure not in measures:
                measures.append(use.measure)
    return list(found.values())
