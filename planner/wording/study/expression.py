"""Sentences about how to play: articulation, style, fermatas, and what the words on the page mean."""

from collections.abc import Mapping, Sequence

from planner.core.fact import Fact, FactKind
from planner.core.glossary.terms import DEGREES, glossary
from planner.core.profile import Articulation, PieceProfile, TermUse
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


_NOT_TOO = dict.fromkeys(("but not too much", "not too much", "not too"), "not too")
BEFORE_ADJECTIVE = _NOT_TOO | {
    "very much": "very", "a little": "somewhat", "not so much": "not so", "almost like": "almost",
}  # fmt: skip
BEFORE_COMPARATIVE = dict.fromkeys(_NOT_TOO, "not too much") | {
    "very much": "much", "very": "much", "rather": "somewhat", "almost like": "almost", "always": "steadily",
}  # fmt: skip
BEFORE_NOUN = dict.fromkeys(_NOT_TOO, "not too much") | {
    "very much": "much", "very": "much", "rather": "some", "somewhat": "some", "almost like": "almost",
}  # fmt: skip
AFTERWARDS = dict.fromkeys(_NOT_TOO, "not too much so") | {
    "very much": "very much so", "very": "very much so", "more": "more so", "less": "less so",
    "rather": "rather so", "somewhat": "somewhat so",
}  # fmt: skip
"""What degree words become beside a meaning; one that is not named stays as it is."""


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
        'getting much slower; sweetly, gently'
    """
    kept: list[str] = []
    for use in terms:
        found = to_degree(glossary()[use.term].meaning, [DEGREES[degree] for degree in use.degrees])
        if not any(found in other for other in kept):
            kept.append(found)
    return "; ".join(kept)


def to_degree(plain: str, degrees: Sequence[str]) -> str:
    """A meaning with the words for how much, where English wants them.

    Example:
        >>> to_degree("quick and bright", ["a little", "less"]), to_degree("with life", ["more"])
        ('a little less quick and bright', 'with more life')
        >>> to_degree("getting slower", ["little by little"]), to_degree("in march time", ["very"])
        ('getting slower little by little', 'in march time, very much so')
    """
    by_and_by = [each for each in degrees if each == "little by little"]
    rest = [each for each in degrees if each not in by_and_by]
    compares = any(each in ("more", "less") for each in rest)
    first, _, after = plain.partition(" ")
    if rest and first == "getting":
        plain = f"getting {_joined(rest, BEFORE_COMPARATIVE)} {after}"
    elif rest and first == "with":
        plain = f"with {_joined(rest, BEFORE_NOUN)} {after}"
    elif rest and first in ("at", "in", "like", "as", "the", "back", "count"):
        plain = f"{plain}, {_joined(rest, AFTERWARDS)}"
    elif rest and not plain.startswith(_joined(rest, BEFORE_ADJECTIVE)):
        plain = f"{_joined(rest, {} if compares else BEFORE_ADJECTIVE)} {plain}"
    return " ".join((plain, *by_and_by))


def _joined(degrees: Sequence[str], forms: Mapping[str, str]) -> str:
    return " ".join(forms.get(each, each) for each in degrees)


def fermatas(fact: Fact, profile: PieceProfile) -> str:
    """Where a fermata stops the piece."""
    return f"Fermata in {bar_list(bar_names(profile), [first for first, _ in fact.places])}."


SENTENCES = {
    FactKind.ARTICULATIONS: articulations,
    FactKind.STYLE: style,
    FactKind.WORDS: words,
    FactKind.FERMATAS: fermatas,
}
