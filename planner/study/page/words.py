"""The words on a part's page that the glossary knows."""

import re
from collections.abc import Iterable, Iterator, Sequence
from functools import cache

from planner.core.fact import Fact, FactKind, named
from planner.core.glossary.meaning import says_again
from planner.core.glossary.reading import terms_in
from planner.core.glossary.terms import TermKind, glossary
from planner.core.profile import Expression
from planner.study.time.tempo_changes import moves_tempo, tempo_change
from planner.study.time.tempo_words import tempo_word

MOST_WORDS = 10
"""Words that a fact names for one part; more are left to the page. House choice."""

TEMPO_KINDS = frozenset({TermKind.TEMPO, TermKind.TEMPO_CHANGE})
"""What holds for everybody, on whatever staff it stands."""

_SWELL_ONLY = re.compile(r"\W*(?:cresc?|decre?sc?|dimin)\w*\W*", re.IGNORECASE)


def expressions_in(words: Iterable[tuple[int, str]]) -> tuple[Expression, ...]:
    """Of texts with their measures, those that are understood or change the tempo; each once a measure."""
    found: dict[Expression, None] = {}
    for measure, text in words:
        kind = kind_of(text) if text else None
        if kind is not None:
            found[Expression(measure, text, kind, terms_in(text), moves_tempo(text))] = None
    return tuple(found)


@cache
def kind_of(text: str) -> TermKind | None:
    """What a text is about: speed before anything else; None where nothing is known of it.

    Example:
        >>> kind_of("Allegro con brio"), kind_of("Etwas ruhiger"), kind_of("Verse 2")
        (<TermKind.TEMPO: 'tempo'>, <TermKind.TEMPO_CHANGE: 'tempo change'>, None)
    """
    kinds = [glossary()[use.term].kind for use in terms_in(text)]
    known = next((kind for kind in kinds if kind in TEMPO_KINDS), None)
    if known is not None or TermKind.DYNAMICS in kinds:
        return known or kinds[0]
    if kinds and set(kinds) == {TermKind.TECHNIQUE} and not moves_tempo(text):
        return TermKind.TECHNIQUE
    if tempo_change(text) is not None:
        return TermKind.TEMPO_CHANGE
    speed = tempo_word(text) if kinds else None
    if speed is not None and not speed.is_mood:
        return TermKind.TEMPO
    return kinds[0] if kinds else None


def word_facts(found: Sequence[Expression], name: str) -> Iterator[Fact]:
    """The words a reader should know, each with all its bars; of two that mean the same in one bar the first.

    Swells count among the dynamics.
    """
    by_text: dict[str, dict[int, Expression]] = {}
    meant: dict[int, list[Expression]] = {}
    for each in found:
        here = meant.setdefault(each.measure, [])
        is_new = each.terms and not any(says_again(other.terms, each.terms) for other in here)
        if is_new and not _SWELL_ONLY.fullmatch(each.text):
            here.append(each)
            by_text.setdefault(each.text.casefold(), {}).setdefault(each.measure, each)
    shown = [use for uses in list(by_text.values())[:MOST_WORDS] for use in uses.values()]
    if shown:
        yield Fact(
            FactKind.WORDS,
            name,
            places=tuple((each.measure, each.measure) for each in shown),
            terms=tuple(each.text for each in shown),
            numbers=named(more=max(0, len(by_text) - MOST_WORDS)),
            weight=0.6,
        )
