"""Sentences about how to play: articulation, style, fermatas, and what the words on the page mean."""

from collections.abc import Sequence

from planner.core.fact import Fact, FactKind
from planner.core.glossary.meaning import meaning
from planner.core.glossary.terms import glossary
from planner.core.profile import Articulation, PieceProfile, TermUse
from planner.wording.study.time import quoted_words
from planner.wording.words import bar_list, bar_names, bars, in_one_breath, listed, span

ARTICULATION_NAMES: dict[str, tuple[str, str]] = {
    "staccato": ("staccato", "staccatos"),
    "staccatissimo": ("staccatissimo", "staccatissimos"),
    "spiccato": ("spiccato", "spiccatos"),
    "accent": ("accent", "accents"),
    "strong-accent": ("marcato accent", "marcato accents"),
    "tenuto": ("tenuto", "tenutos"),
    "detached-legato": ("tenuto with dot", "tenutos with dot"),
    "breath-mark": ("breath mark", "breath marks"),
    "caesura": ("caesura", "caesuras"),
    "scoop": ("scoop", "scoops"),
    "falloff": ("fall", "falls"),
    "doit": ("lift", "lifts"),
    "plop": ("drop into the note", "drops into the note"),
    "stress": ("stress mark", "stress marks"),
    "unstress": ("unstress mark", "unstress marks"),
}
"""MusicXML articulation names in trade words, one and several."""

MOST_KINDS = 4
"""Most kinds of articulation that are named. House choice."""


def articulations(fact: Fact, profile: PieceProfile) -> str:
    """The usual kinds of articulation, each with the bar it is first met in."""
    every = profile.part(fact.part).articulations
    usual = sorted(every, key=lambda found: -found.count)[:MOST_KINDS]
    each = []
    for found in (found for found in every if found in usual):
        where = bars(bar_names(profile), found.measure)
        each.append(f"{_kind_name(found)} {'from' if found.count > 1 else 'in'} {where}")
    return f"Articulation: {listed(each)}."


def _kind_name(found: Articulation) -> str:
    plain = found.name.replace("-", " ")
    one, several = ARTICULATION_NAMES.get(found.name, (plain, f"{plain} marks"))
    return f"{'an' if one[0] in 'aeiou' else 'a'} {one}" if found.count == 1 else several


def style(fact: Fact, profile: PieceProfile) -> str:
    """Each style with the bars it holds in."""
    by_style: dict[str, list[str]] = {}
    for name, place in zip(fact.terms, fact.places, strict=True):
        by_style.setdefault(name, []).append(span(bar_names(profile), *place))
    each = "; ".join(f"{name} in {in_one_breath(places)}" for name, places in by_style.items())
    return f"Mostly {each}."


def words(fact: Fact, profile: PieceProfile) -> str:
    """Words on the page with their bars, and what those mean that do not say it themselves."""
    terms = {(found.measure, found.text): found.terms for found in profile.expression}
    by_text: dict[str, list[tuple[str, int]]] = {}
    for text, (measure, _) in zip(fact.terms, fact.places, strict=True):
        by_text.setdefault(text.casefold(), []).append((text, measure))
    each = []
    for found in by_text.values():
        text, first = found[0]
        sense = "" if says_itself(terms[first, text]) else meaning(terms[first, text])
        where = f"{quoted_words(text)} in {bar_list(bar_names(profile), [at for _, at in found])}"
        each.append(f"{where}: {sense}" if sense else where)
    more = int(fact.number("more"))
    return f"Words: {'; '.join(each)}{f'; and {more} more' if more else ''}."


def says_itself(terms: Sequence[TermUse]) -> bool:
    """Whether words are everyday English, which needs no explaining.

    Example:
        >>> says_itself((TermUse("flowing"),)), says_itself((TermUse("stagger breath"),))
        (True, False)
    """
    return all(glossary()[use.term].is_plain for use in terms)


def fermatas(fact: Fact, profile: PieceProfile) -> str:
    """Where a fermata stops the piece."""
    return f"Fermata in {bar_list(bar_names(profile), [first for first, _ in fact.places])}."


SENTENCES = {
    FactKind.ARTICULATIONS: articulations,
    FactKind.STYLE: style,
    FactKind.WORDS: words,
    FactKind.FERMATAS: fermatas,
}
