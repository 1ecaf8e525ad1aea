"""Sentences about how the parts' rhythms stand to each other, and about accents and notes off the beat."""

from planner.core.fact import Fact, FactKind
from planner.core.profile import PieceProfile
from planner.wording.words import bar_names, bar_spans, bars, some_of


def one_rhythm(fact: Fact, profile: PieceProfile) -> str:
    """Where the parts move together."""
    return f"All parts move together, in one rhythm, in {bar_spans(bar_names(profile), fact.places)}."


def against_triplets(fact: Fact, profile: PieceProfile) -> str:
    """Where even notes stand against triplets, and whose."""
    whose = f" of {some_of(fact.parts)}" if fact.parts else " in other parts"
    where = bar_spans(bar_names(profile), fact.places)
    return f"You divide the beat in two against triplets{whose} in {where}."


def accented_beats(fact: Fact, profile: PieceProfile) -> str:
    """The beat that has the accents, and over which bars."""
    where = bars(bar_names(profile), *fact.places[0])
    return f"The accents are on beat {int(fact.number('beat'))}, not on the downbeat, in {where}."


def offbeats(fact: Fact, profile: PieceProfile) -> str:
    """Where every note is off the beat."""
    return f"You play on the offbeats only in {bar_spans(bar_names(profile), fact.places)}."


SENTENCES = {
    FactKind.OFFBEATS: offbeats,
    FactKind.ONE_RHYTHM: one_rhythm,
    FactKind.AGAINST_TRIPLETS: against_triplets,
    FactKind.ACCENTED_BEATS: accented_beats,
}
