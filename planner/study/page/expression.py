"""How a part is to be played: dynamics, articulations, style, and the words on its page."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace

from planner.core.fact import Fact, FactKind
from planner.core.profile import Articulation, DynamicUse, Expression
from planner.core.score import Part, Score
from planner.study.notes.columns import Columns
from planner.study.page.dynamics import dynamics_fact, dynamics_of
from planner.study.page.style import style_facts
from planner.study.page.words import TEMPO_KINDS, expressions_in, word_facts


@dataclass(frozen=True, slots=True)
class PartExpression:
    """A part's dynamics and hairpins in order of place, its articulations by kind, its words."""

    dynamics: tuple[DynamicUse, ...]
    articulations: tuple[Articulation, ...]
    words: tuple[Expression, ...] = ()


@dataclass(frozen=True, slots=True)
class ExpressionStudy:
    """Every part's expression in score order, the words of the piece, and the facts about them."""

    by_part: tuple[PartExpression, ...]
    words: tuple[Expression, ...] = ()
    facts: tuple[Fact, ...] = ()


def find_expression(columns: Columns) -> ExpressionStudy:
    """Dynamics, articulations, style and words of a score.

    Words of tempo hold for everybody, on whatever staff they stand, and so do those that head the piece or
    stand beside a metronome mark; all others hold for their part alone.

    Example:
        >>> from planner.study.notes.columns import columns_of
        >>> from planner.core.score import Score
        >>> find_expression(columns_of(Score("Empty", (), ()))).by_part
        ()
    """
    score = columns.score
    by_part = [_of_part(part.part) for part in columns.parts]
    tempo_words = expressions_in((mark.measure, mark.text) for mark in score.tempos)
    every = dict.fromkeys((*tempo_words, *(each for found in by_part for each in found.words)))
    words = sorted(every, key=lambda each: (each.measure, each.text))
    headings = {(mark.measure, mark.text) for mark in score.tempos if mark.bpm or mark.measure == 0}
    for_all = [each for each in every if each.kind in TEMPO_KINDS or (each.measure, each.text) in headings]
    for_all.sort(key=lambda each: each.measure)
    facts = [*word_facts(for_all, ""), *_fermatas(score)]
    for part, found in zip(columns.parts, by_part, strict=True):
        if len(part):
            own = [each for each in found.words if each not in for_all]
            facts += _facts(part.part, replace(found, words=tuple(own)), len(score.measures))
    return ExpressionStudy(tuple(by_part), tuple(words), tuple(facts))


def _of_part(part: Part) -> PartExpression:
    words = expressions_in((words.measure, words.text) for words in part.words)
    return PartExpression(dynamics_of(part), articulations_of(part), words)


def articulations_of(part: Part) -> tuple[Articulation, ...]:
    """Each kind of articulation with how often it stands and where first; a chord counts once."""
    counts: Counter[str] = Counter()
    first: dict[str, int] = {}
    for note in part.notes:
        if note.articulations and not note.in_chord:
            for name in note.articulations:
                counts[name] += 1
                first.setdefault(name, note.measure)
    kinds = sorted(counts, key=lambda name: (first[name], name))
    return tuple(Articulation(name, counts[name], first[name]) for name in kinds)


def _facts(part: Part, found: PartExpression, measures: int) -> Iterator[Fact]:
    yield dynamics_fact(part.name, found.dynamics)
    if found.articulations:
        yield Fact(FactKind.ARTICULATIONS, part.name, weight=0.4)
    yield from style_facts(part, measures)
    yield from word_facts(found.words, part.name)


def _fermatas(score: Score) -> Iterator[Fact]:
    """Where a fermata stops the piece, over a note or a bar line of any part."""
    measures = {note.measure for part in score.parts for note in part.notes if note.has_fermata}
    measures |= {measure.index for measure in score.measures if measure.closing_fermata}
    if measures:
        places = tuple((measure, measure) for measure in sorted(measures))
        yield Fact(FactKind.FERMATAS, places=places, weight=0.6)
