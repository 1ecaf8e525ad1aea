"""The study's facts in words: one sentence for each fact."""

from collections.abc import Callable, Mapping

from planner.core.fact import Fact, FactKind
from planner.core.profile import TOPICS, PieceProfile, Statement
from planner.wording.study import (
    accidentals,
    dynamics,
    expression,
    fit,
    form,
    patterns,
    roadmap,
    spots,
    time,
    tonal,
)  # fmt: skip

Sayer = Callable[[Fact, PieceProfile], str]
"""Turns a fact of a profile into one sentence."""

SENTENCES: Mapping[FactKind, Sayer] = {
    **time.SENTENCES,
    **roadmap.SENTENCES,
    **tonal.SENTENCES,
    **form.SENTENCES,
    **patterns.SENTENCES,
    **spots.SENTENCES,
    **accidentals.SENTENCES,
    **dynamics.SENTENCES,
    **expression.SENTENCES,
    **fit.SENTENCES,
}
"""For each kind of fact the function that says it."""

POINTS: frozenset[FactKind] = time.POINTS | tonal.POINTS | form.POINTS | patterns.POINTS
"""Kinds that tell where something begins: their statement has no end."""


def sentence_of(fact: Fact, profile: PieceProfile) -> str:
    """One fact of a profile as a sentence."""
    return SENTENCES[fact.kind](fact, profile)


def statements_of(profile: PieceProfile) -> tuple[Statement, ...]:
    """Every fact of a profile as a sentence, in reading order."""
    rendered = [
        Statement(
            topic=str(fact.topic),
            sentence=sentence_of(fact, profile),
            part=fact.part,
            measure=fact.measure,
            end_measure=None if fact.kind in POINTS else fact.end_measure,
        )
        for fact in profile.facts
    ]
    order = {part.name: at for at, part in enumerate(profile.parts)}

    def place(said: Statement) -> tuple[int, int, int]:
        measure = -1 if said.measure is None else said.measure
        return TOPICS.index(said.topic), order.get(said.part, -1), measure

    return tuple(sorted((*profile.statements, *rendered), key=place))
