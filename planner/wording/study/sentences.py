"""The study's facts in words: one sentence for each fact."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from planner.core.fact import Fact, FactKind, Topic
from planner.core.profile import PieceProfile
from planner.wording.study import (
    accidentals,
    beginnings,
    breath,
    dynamics,
    expression,
    fit,
    form,
    instrument,
    melody,
    page,
    patterns,
    roadmap,
    spots,
    time,
    together,
    tonal,
)  # fmt: skip

Wording = Callable[[Fact, PieceProfile], str]
"""Turns a fact of a profile into one sentence."""

SENTENCES: Mapping[FactKind, Wording] = {
    **time.SENTENCES,
    **roadmap.SENTENCES,
    **tonal.SENTENCES,
    **form.SENTENCES,
    **melody.SENTENCES,
    **patterns.SENTENCES,
    **spots.SENTENCES,
    **accidentals.SENTENCES,
    **dynamics.SENTENCES,
    **expression.SENTENCES,
    **fit.SENTENCES,
    **together.SENTENCES,
    **beginnings.SENTENCES,
    **page.SENTENCES,
    **breath.SENTENCES,
    **instrument.SENTENCES,
}
"""For each kind of fact the function that words it."""

POINTS: frozenset[FactKind] = time.POINTS | tonal.POINTS | form.POINTS | patterns.POINTS
"""Kinds that tell where something begins: their statement has no end."""


@dataclass(frozen=True, slots=True)
class Statement:
    """A fact in words: one true sentence about the piece or about one part (``part`` empty: everyone).

    ``measure`` and ``end_measure`` are where it holds, 0-based; None for the whole piece.
    """

    topic: Topic
    sentence: str
    part: str = ""
    measure: int | None = None
    end_measure: int | None = None


def sentence_of(fact: Fact, profile: PieceProfile) -> str:
    """One fact of a profile as a sentence."""
    return SENTENCES[fact.kind](fact, profile)


def sentences_of(facts: Iterable[Fact], profile: PieceProfile) -> tuple[str, ...]:
    """Facts of a profile as sentences in the same order, none twice."""
    return tuple(dict.fromkeys(sentence_of(fact, profile) for fact in facts))


def statements_of(profile: PieceProfile) -> tuple[Statement, ...]:
    """Every fact of a profile as a sentence with what it is about, in reading order; none is told twice."""
    return tuple(
        Statement(
            topic=fact.topic,
            sentence=sentence_of(fact, profile),
            part=fact.part,
            measure=fact.measure,
            end_measure=None if fact.kind in POINTS else fact.end_measure,
        )
        for fact in profile.facts_for("", *(part.name for part in profile.parts))
        if not spots.is_in_a_spot(fact, profile)
    )
