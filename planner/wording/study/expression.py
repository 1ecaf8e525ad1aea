"""Sentences about how to play: articulation, style, fermatas, and what the words on the page mean."""

from collections.abc import Sequence

from planner.core.fact import Fact, FactKind
from planner.core.glossary.terms import DEGREES, glossary
from planner.core.profile import Articulation, PieceProfile, TermUse
from planner.wording.words import bar_list, bar_names, bars, in_one_breath, listed, span

ARTICULATION_NAMES: dict[str, tuple[str, str]] = {
    "staccato": ("staccato", "staccatos"),
    "staccatissimo": ("staccatissimo", "staccatissimos"),
    "spiccato": ("spiccato", "spiccatos"),
    "accent": ("accent", "accents"),
    "strong-accent": ("roof accent", "roof accents"),
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
    """The usual kinds of articulation, with how many there are of each."""
    every = profile.part(fact.part).articulations
    usual = sorted(every, key=lambda found: -found.count)[:MOST_KINDS]
    each = []
    for found in (found for found in every if found in usual):
        place = "from" if found.count > 1 else "in"
        where = bars(bar_names(profile), found.measure)
        each.append(f"{found.count} {_kind_name(found)} {place} {where}")
    return f"Articulation: {listed(each)}."


def _kind_name(found: Articulation) -> str:
    plain = found.name.replace("-", " ")
    one, several = ARTICULATION_NAMES.get(found.name, (plain, f"{plain} marks"))
    return one if found.count == 1 else several


def style(fact: Fact, profile: PieceProfile) -> str:
    """Each style with the bars it holds in."""
    by_style: dict[str, list[str]] = {}
    for name, place in zip(fact.terms, fact.places, strict=True):
        by_style.setdefault(name, []).append(span(bar_names(profile), *place))
    each = "; ".join(f"{name} in {in_one_breath(places)}" for name, places in by_style.items())
    return f"Mostly {each}."


def words(fact: Fact, profile: PieceProfile) -> str:
    """Words on the page with their bar and meaning."""
    terms = {(found.measure, found.text): found.terms for found in profile.expression}
    by_text: dict[str, list[tuple[str, int]]] = {}
    for text, (measure, _) in zip(fact.terms, fact.places, strict=True):
        by_text.setdefault(text.casefold(), []).append((text, measure))
    each = [
        f"“{found[0][0]}” in {bar_list(bar_names(profile), [at for _, at in found])}: "
        f"{meaning(terms[found[0][1], found[0][0]])}"
        for found in by_text.values()
    ]
    more = int(fact.number("more"))
    return f"Words: {'; '.join(each)}{f'; and {more} more' if more else ''}."


def meaning(terms: Sequence[TermUse]) -> str:
    """What words on the page mean; a meaning that an earlier one already holds is left out.

    Example:
        >>> meaning((TermUse("rit", ("molto",)), TermUse("dolce")))
        'getting slower, very much; sweetly, gently'
    """
    kept: list[str] = []
    for use in terms:
        found = ", ".join((glossary()[use.term].meaning, *(DEGREES[degree] for degree in use.degrees)))
        if not any(found in other for other in kept):
            kept.append(found)
    return "; ".join(kept)


def fermatas(fact: Fact, profile: PieceProfile) -> str:
    """Where a fermata stops the piece."""
    return f"Fermata in {bar_list(bar_names(profile), [first for first, _ in fact.places])}."


SENTENCES = {
    FactKind.ARTICULATIONS: articulations,
    FactKind.STYLE: style,
    FactKind.WORDS: words,
    FactKind.FERMATAS: fermatas,
}
