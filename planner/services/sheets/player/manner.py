"""How a part is to be played: fermatas, changes of tempo, words on the page, articulation, breath."""

from collections.abc import Iterable, Iterator
from dataclasses import replace

from planner.core.fact import Fact, FactKind
from planner.core.glossary.changes import changes_in
from planner.core.glossary.meaning import meaning
from planner.core.glossary.terms import TermKind
from planner.core.profile import Expression, PartProfile, PieceProfile
from planner.services.sheets.player.line import Block, Consequence, Line
from planner.wording.player_sheet import fermata_words, is_plain, says_no, term_words
from planner.wording.study.sentences import sentence_of

_PLAIN = {FactKind.STYLE: Consequence.SPOILS, FactKind.BREATHS: Consequence.NOTHING,
          FactKind.PEDAL_HELD: Consequence.NOTHING}  # fmt: skip
_BY_INSTRUMENT = frozenset({FactKind.CHANGES, FactKind.PLAYERS, FactKind.DIVIDED})
_WEIGHT = {TermKind.TEMPO_CHANGE: 0.9, TermKind.TECHNIQUE: 0.8, TermKind.TEMPO: 0.5}


def manner_lines(profile: PieceProfile, part: PartProfile) -> Iterator[Line]:
    """The lines about expression."""
    for fact in profile.facts_for("", part.name):
        if fact.kind is FactKind.FERMATAS:
            held = tuple(place for place in fact.places if part.sounds_in(place[0]))
            if held:
                own = replace(fact, places=held)
                yield Line(Block.MANNER, fermata_words(own, profile), Consequence.STOPS, 0.95, (fact,))
        elif fact.kind is FactKind.WORDS:
            found = _until_the_end(_explained(profile, fact), part)
            uses = (use for use in found if not _is_elsewhere(use[0], profile, part))
            for alike in _alike(uses):
                kind = alike[0][0].kind
                grave = Consequence.STOPS if kind is TermKind.TEMPO_CHANGE else Consequence.SPOILS
                yield Line(Block.MANNER, term_words(alike, profile), grave, _WEIGHT.get(kind, 0.4), (fact,))
        elif fact.kind in _PLAIN:
            yield Line(Block.MANNER, sentence_of(fact, profile), _PLAIN[fact.kind], fact.weight, (fact,))


_Use = tuple[Expression, list[int]]
"""Words on the page, and every bar in which they stand."""


def _until_the_end(uses: Iterable[_Use], part: PartProfile) -> Iterator[_Use]:
    """Words without the bars after the last in which the part sounds."""
    for use, measures in uses:
        kept = [at for at in measures if not part.is_over_by(at)]
        if kept:
            yield use, kept


def _alike(uses: Iterable[_Use]) -> list[list[_Use]]:
    """The words that need to be explained, those that mean the same together."""
    found: dict[object, list[_Use]] = {}
    for use, measures in uses:
        if not (is_plain(use) or says_no(use.text)):
            found.setdefault((use.kind, meaning(use.terms)), []).append((use, measures))
    return list(found.values())


def _explained(profile: PieceProfile, fact: Fact) -> list[_Use]:
    """Each text of a page once, with every bar in which it stands there."""
    uses = {(use.measure, use.text): use for use in profile.expression if use.terms}
    found: dict[str, _Use] = {}
    for text, (measure, _) in zip(fact.terms, fact.places, strict=True):
        use = uses.get((measure, text))
        if use is not None:
            found.setdefault(text.casefold(), (use, []))[1].append(measure)
    return list(found.values())


_SHARED = frozenset({"a 2", "a2", "a due", "solo", "tutti"})
_DIVIDED = frozenset({"div", "divisi", "unis", "unisono", "geteilt", "zusammen", "divisé", "à l'unisson"})
"""Terms that a line about who plays makes plain."""


def _is_elsewhere(use: Expression, profile: PieceProfile, part: PartProfile) -> bool:
    """Whether a line about the instrument says what a text on the page asks for."""
    facts = {fact.kind: fact for fact in profile.facts_for(part.name) if fact.kind in _BY_INSTRUMENT}
    terms = {one.term for one in use.terms}
    changed = changes_in(use.text)
    return (
        (bool(changed) and FactKind.CHANGES in facts and set(changed) <= set(facts[FactKind.CHANGES].terms))
        or (FactKind.PLAYERS in facts and terms <= _SHARED)
        or (FactKind.DIVIDED in facts and terms <= _DIVIDED)
    )
