"""How a part is to be played: dynamics, articulations, slurs, and the words on its page."""

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from planner.core.profile import Articulation, DynamicUse, Expression, Statement
from planner.core.score import Part, Score
from planner.study.notes.columns import Columns
from planner.study.page.dynamics import dynamics_of, say_dynamics
from planner.study.page.glossary import Term, terms_in
from planner.study.page.style import StyleTurn, style_turns
from planner.study.statements import bar_list, listed, numbers

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

_SWELL_ONLY = re.compile(r"\W*(?:cresc|decresc|dimin?)\w*\W*", re.IGNORECASE)

MOST_WORDS = 10
"""Words told for one part; more are left to the page. House choice."""


@dataclass(frozen=True, slots=True)
class PartExpression:
    """A part's dynamics and hairpins in order of place, its articulations by kind, its words."""

    dynamics: tuple[DynamicUse, ...]
    articulations: tuple[Articulation, ...]
    terms: tuple[Expression, ...] = ()


@dataclass(frozen=True, slots=True)
class ExpressionStudy:
    """Every part's expression in score order, the words of the piece, and what to say."""

    by_part: tuple[PartExpression, ...]
    terms: tuple[Expression, ...] = ()
    statements: tuple[Statement, ...] = ()


def find_expression(columns: Columns) -> ExpressionStudy:
    """Dynamics, articulations and words of a score.

    Example:
        >>> from planner.study.notes.columns import columns_of
        >>> from planner.core.score import Score
        >>> find_expression(columns_of(Score("Empty", (), ()))).by_part
        ()
    """
    score = columns.score
    tempo_terms = _terms((mark.measure, mark.text) for mark in score.tempos)
    by_part, said = [], list(_say_words(score, tempo_terms, ""))
    said += _say_fermatas(score)
    for part in columns.parts:
        found = _of_part(part.part)
        by_part.append(found)
        if len(part):
            said += _say_part(score, part.part, found)
    every = dict.fromkeys((*tempo_terms, *(term for found in by_part for term in found.terms)))
    terms = sorted(every, key=lambda term: (term.measure, term.text))
    return ExpressionStudy(tuple(by_part), tuple(terms), tuple(said))


def _of_part(part: Part) -> PartExpression:
    counts: Counter[str] = Counter()
    first: dict[str, int] = {}
    for note in part.notes:
        if note.articulations and not note.in_chord:
            for name in note.articulations:
                counts[name] += 1
                first.setdefault(name, note.measure)
    kinds = sorted(counts, key=lambda name: (first[name], name))
    articulations = tuple(Articulation(name, counts[name], first[name]) for name in kinds)
    return PartExpression(
        dynamics_of(part), articulations, _terms((words.measure, words.text) for words in part.words)
    )


def _terms(words: Iterator[tuple[int, str]]) -> tuple[Expression, ...]:
    """The words that the glossary knows, with their meaning."""
    found: dict[Expression, None] = {}
    for measure, text in words:
        terms = terms_in(text) if text else ()
        if terms:
            meaning = "; ".join(_distinct([term.meaning for term in terms]))
            found[Expression(measure, text, meaning, _leading(terms).kind)] = None
    return tuple(found)


def _distinct(meanings: Sequence[str]) -> list[str]:
    """Meanings that no other one already contains."""
    kept: list[str] = []
    for meaning in meanings:
        if not any(meaning in other for other in kept):
            kept.append(meaning)
    return kept


def _leading(terms: Sequence[Term]) -> Term:
    """The term that says what the words are about: speed before anything else."""
    return next((term for term in terms if term.kind.startswith("tempo")), terms[0])


def _say_part(score: Score, part: Part, found: PartExpression) -> Iterator[Statement]:
    yield Statement("expression", say_dynamics(score, found.dynamics), part.name)
    slurs = sum(note.slurs_started for note in part.notes if not note.is_grace)
    if found.articulations or slurs:
        told = [f"{slurs} slur{'s' if slurs > 1 else ''}"] if slurs else []
        told += [
            f"{each.count} {_kind_name(each)} from bar {score.measure_number(each.measure)}"
            if each.count > 1
            else f"1 {_kind_name(each)} in bar {score.measure_number(each.measure)}"
            for each in found.articulations
        ]
        yield Statement("expression", f"Articulation: {listed(told)}.", part.name)
    turns = style_turns(part, len(score.measures))
    if turns:
        yield Statement("expression", f"Mostly {_say_turns(score, turns)}.", part.name)
    yield from _say_words(score, found.terms, part.name)


def _say_turns(score: Score, turns: Sequence[StyleTurn]) -> str:
    """Each style with the bars it holds in."""
    by_style: dict[str, list[StyleTurn]] = {}
    for turn in turns:
        by_style.setdefault(turn.style, []).append(turn)
    told = []
    for style, held in by_style.items():
        places = listed([numbers(score, turn.first, turn.last) for turn in held])
        told.append(f"{style} in bars {places}")
    return "; ".join(told)


def _kind_name(found: Articulation) -> str:
    plain = found.name.replace("-", " ")
    one, several = ARTICULATION_NAMES.get(found.name, (plain, f"{plain} marks"))
    return one if found.count == 1 else several


def _say_words(score: Score, terms: Sequence[Expression], part: str) -> Iterator[Statement]:
    """One sentence of the words, each told at its first place; swells stand among the dynamics."""
    first: dict[str, Expression] = {}
    for term in terms:
        if not _SWELL_ONLY.fullmatch(term.text):
            first.setdefault(term.text.casefold(), term)
    told = [
        f"“{term.text}” in bar {score.measure_number(term.measure)}: {term.meaning}"
        for term in first.values()
    ]
    if told:
        more = f"; and {len(told) - MOST_WORDS} more" if len(told) > MOST_WORDS else ""
        yield Statement("expression", f"Words: {'; '.join(told[:MOST_WORDS])}{more}.", part)


def _say_fermatas(score: Score) -> Iterator[Statement]:
    """Where a fermata stops the piece, in any part."""
    places = {note.measure for part in score.parts for note in part.notes if note.has_fermata}
    if places:
        yield Statement("expression", f"Fermata in {bar_list(score, sorted(places))}.")
