"""Sentences about form: sections, the return of the opening, phrases."""

from planner.core.fact import Fact, FactKind
from planner.core.profile import FormSection, PieceProfile
from planner.wording.words import bar_list, bar_names, bars, counted, listed

MOST_LENGTHS = 8
"""Most phrases whose lengths are given one by one. House choice."""


def sections(fact: Fact, profile: PieceProfile) -> str:
    """The sections in order, with their bars."""
    shown = profile.form[: int(fact.number("shown"))]
    each = ", ".join(f"{section.label} ({_bars_of(section, profile)})" for section in shown)
    more = " and so on" if len(shown) < len(profile.form) else ""
    return f"Sections: {each}{more}."


def _bars_of(section: FormSection, profile: PieceProfile) -> str:
    return bars(bar_names(profile), section.measure, section.end_measure)


def opening_returns(fact: Fact, profile: PieceProfile) -> str:
    """Where the melody of the first bars comes again."""
    where = bar_list(bar_names(profile), [first for first, _ in fact.places])
    return f"The opening melody returns in {where}."


def phrases(fact: Fact, profile: PieceProfile) -> str:
    """How long the phrases are: all of them, one by one, or most of them."""
    many, usual, alike = (int(fact.number(name)) for name in ("phrases", "usual", "alike"))
    if alike == many:
        return f"All {counted(many)} phrases have {counted(usual)} bars."
    if many <= MOST_LENGTHS:
        lengths = [phrase.end_measure - phrase.measure + 1 for phrase in profile.phrases]
        return f"Phrases of {listed([counted(length) for length in lengths])} bars."
    return f"{alike} of the {many} phrases have {counted(usual)} bars."


SENTENCES = {
    FactKind.SECTIONS: sections,
    FactKind.OPENING_RETURNS: opening_returns,
    FactKind.PHRASES: phrases,
}
POINTS = frozenset({FactKind.OPENING_RETURNS})
