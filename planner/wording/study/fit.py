"""Sentences about the minutes of a reading and the passage to read."""

from collections.abc import Callable, Mapping

from planner.core.fact import Fact, FactKind
from planner.core.profile import Excerpt, PieceProfile
from planner.wording.words import bar_names, bars, listed


def excerpt_reason(excerpt: Excerpt) -> str:
    """Why a passage stands on its own.

    Example:
        >>> excerpt_reason(Excerpt(0, 15, 1.0, begins_section=True, keeps=("rhythm", "key")))
        'whole phrases from the beginning of a section, with most of what the piece asks in rhythm and key'
    """
    kept = f", with most of what the piece asks in {listed(excerpt.keeps)}" if excerpt.keeps else ""
    return f"{_stretch(excerpt)}{kept}"


def _stretch(excerpt: Excerpt) -> str:
    if excerpt.is_whole:
        return "the whole piece once through"
    if excerpt.begins_section and excerpt.ends_closed:
        return "whole phrases, from the beginning of a section to a close"
    if excerpt.begins_section:
        return "whole phrases from the beginning of a section"
    return "whole phrases to a close" if excerpt.ends_closed else "whole phrases"


def _taken(fact: Fact) -> str:
    """How long a reading takes, step by step; the study takes what rounding leaves."""
    total = fact.number("total")
    hearing, first, fixing, second = (
        round(fact.number(step), 1) for step in ("hearing", "first", "fixing", "second")
    )
    study = total - (hearing + first + fixing + second)
    steps = (
        f"study {study:.1f}, hearing {hearing:.1f}, first reading {first:.1f}, "
        f"fixing {fixing:.1f}, second reading {second:.1f}"
    )
    return f"A reading takes about {total:g} minutes ({steps})"


def whole_fits(fact: Fact, _profile: PieceProfile) -> str:
    """The whole piece can be read."""
    return f"{_taken(fact)}: the whole piece fits into {fact.number('limit'):g}."


def passage_fits(fact: Fact, profile: PieceProfile) -> str:
    """Only a passage can be read."""
    [place] = fact.places
    excerpt = next(each for each in profile.excerpts if (each.measure, each.end_measure) == place)
    where = bars(bar_names(profile), *place)
    return f"{_taken(fact)}: for {fact.number('limit'):g} minutes read {where}, {excerpt_reason(excerpt)}."


def nothing_fits(fact: Fact, _profile: PieceProfile) -> str:
    """Nothing can be read in the time."""
    return f"{_taken(fact)}: more than {fact.number('limit'):g}, and no passage of whole phrases fits."


SENTENCES: Mapping[FactKind, Callable[[Fact, PieceProfile], str]] = {
    FactKind.WHOLE_FITS: whole_fits,
    FactKind.PASSAGE_FITS: passage_fits,
    FactKind.NOTHING_FITS: nothing_fits,
}
