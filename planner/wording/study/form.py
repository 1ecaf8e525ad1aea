"""Sentences about form: sections, the return of the opening, phrases."""

from collections.abc import Mapping

from planner.core.fact import Fact, FactKind
from planner.core.profile import CODA, INTRODUCTION, OPENING, FormSection, PieceProfile
from planner.wording.words import bar_list, bar_names, bars, counted, listed

ROLES = {INTRODUCTION: "introduction", CODA: "coda"}
"""Sections that are called by what they are."""
MOST_LENGTHS = 8
"""Most phrases whose lengths are given one by one. House choice."""


def sections(fact: Fact, profile: PieceProfile) -> str:
    """The sections in order, by the names on the page where it has some, with their bars."""
    shown = profile.form[: int(fact.number("shown"))]
    first = {section.label: section for section in reversed(profile.form) if not section.is_variant}
    each = ", ".join(_one(section, first, profile) for section in shown)
    more = " and so on" if len(shown) < len(profile.form) else ""
    return f"Sections: {each}{more}."


def _one(section: FormSection, first: Mapping[str, FormSection], profile: PieceProfile) -> str:
    """One section: its name, what it is or what it brings again, and its bars."""
    where = _bars_of(section, profile)
    named = section.name.strip()
    if section.label in ROLES:
        role = ROLES[section.label]
        if not named or role in named.casefold() or named.casefold() in role:
            return f"{named or role} ({where})"
        return f"{named}, the {role} ({where})"
    original = first.get(section.tune, section)
    if original is section or not (named or original.name or original.label == OPENING):
        return f"{named or _own_name(section)} ({where})"
    again = f"{_referred(original, profile)} {'varied' if section.is_variant else 'again'}"
    return f"{named} ({where}, {again})" if named else f"{again} ({where})"


def _own_name(section: FormSection) -> str:
    """Its letter; a new tune under a printed letter has none of its own."""
    return "a new tune" if " " in section.label else section.label


def _referred(section: FormSection, profile: PieceProfile) -> str:
    """How a later section speaks of an earlier one."""
    if section.name:
        return section.name
    if section.label == OPENING:
        return "the opening"
    return _bars_of(section, profile) if " " in section.label else section.label


def _bars_of(section: FormSection, profile: PieceProfile) -> str:
    return bars(bar_names(profile), section.measure, section.end_measure)


def opening_returns(fact: Fact, profile: PieceProfile) -> str:
    """Where the melody of the first bars comes again."""
    where = bar_list(bar_names(profile), [first for first, _ in fact.places])
    return f"The opening melody returns in {where}."


def phrases(fact: Fact, _profile: PieceProfile) -> str:
    """How long the phrases are: all of them, one by one, or most of them."""
    many, usual, alike = (int(fact.number(name)) for name in ("phrases", "usual", "alike"))
    if alike == many:
        return f"All {counted(many)} phrases have {counted(usual)} bars."
    if many <= MOST_LENGTHS:
        lengths = [int(length) for length in fact.each("length")]
        return f"Phrases of {listed([counted(length) for length in lengths])} bars."
    return f"{alike} of the {many} phrases have {counted(usual)} bars."


SENTENCES = {
    FactKind.SECTIONS: sections,
    FactKind.OPENING_RETURNS: opening_returns,
    FactKind.PHRASES: phrases,
}
POINTS = frozenset({FactKind.OPENING_RETURNS})
