"""The words on a part's page that the glossary knows."""

import re
from collections.abc import Iterable, Iterator, Sequence
from functools import cache

from planner.core.fact import Fact, FactKind, named
from planner.core.glossary.terms import DEGREES, TermKind, glossary
from planner.core.profile import Expression, TermUse

ONLY_IN_SHORT = frozenset(
    {"swing", "straight", "open", "play", "mute", "cue", "march", "warm", "broad", "kurz", "wild"}
)
SHORT = 3
"""Everyday words count as terms only in a text of at most this many words. House choice."""

MOST_WORDS = 10
"""Words that a fact names for one part; more are left to the page. House choice."""

MOST_BARS = 6
"""Bars that are named of a word that comes again and again. House choice."""

_SWELL_ONLY = re.compile(r"\W*(?:cresc|decresc|dimin?)\w*\W*", re.IGNORECASE)


@cache
def _finder() -> re.Pattern[str]:
    words = sorted((*glossary(), *DEGREES), key=lambda text: (-len(text), text))
    return re.compile(r"(?<!\w)(" + "|".join(map(re.escape, words)) + r")(?!\w)")


@cache
def terms_in(text: str) -> tuple[TermUse, ...]:
    """The terms in a text in order, each with the degree words beside it.

    Example:
        >>> terms_in("Poco a poco cresc. molto")
        (TermUse(term='cresc', degrees=('poco a poco', 'molto')),)
        >>> terms_in("Verse 2")
        ()
    """
    found: list[TermUse] = []
    waiting: list[str] = []
    words = len(text.split())
    for match in _finder().finditer(text.casefold().replace("’", "'")):
        word = match.group(1)
        if word in ONLY_IN_SHORT and words > SHORT:
            continue
        if word in DEGREES and not (word in glossary() and words == 1):
            if found:
                found[-1] = TermUse(found[-1].term, (*found[-1].degrees, word))
            else:
                waiting.append(word)
        elif word in glossary():
            found.append(TermUse(word, tuple(waiting)))
            waiting = []
    return tuple(found)


def expressions_in(words: Iterable[tuple[int, str]]) -> tuple[Expression, ...]:
    """Of texts with their measures, those in which the glossary knows a word; the same one once a measure."""
    found: dict[Expression, None] = {}
    for measure, text in words:
        terms = terms_in(text) if text else ()
        if terms:
            found[Expression(measure, text, _leading_kind(terms), terms)] = None
    return tuple(found)


def _leading_kind(terms: Sequence[TermUse]) -> TermKind:
    """What the words are about: speed before anything else."""
    kinds = [glossary()[use.term].kind for use in terms]
    return next((kind for kind in kinds if kind in (TermKind.TEMPO, TermKind.TEMPO_CHANGE)), kinds[0])


def word_facts(found: Sequence[Expression], name: str) -> Iterator[Fact]:
    """The words a reader should know, each with its bars; swells count among the dynamics."""
    by_text: dict[str, dict[int, Expression]] = {}
    for each in found:
        if not _SWELL_ONLY.fullmatch(each.text):
            by_text.setdefault(each.text.casefold(), {}).setdefault(each.measure, each)
    shown = [use for uses in list(by_text.values())[:MOST_WORDS] for use in list(uses.values())[:MOST_BARS]]
    if shown:
        yield Fact(
            FactKind.WORDS,
            name,
            places=tuple((each.measure, each.measure) for each in shown),
            terms=tuple(each.text for each in shown),
            numbers=named(more=max(0, len(by_text) - MOST_WORDS)),
            weight=0.6,
        )
