"""Whether reading a piece fits the minutes, and which passage to take when it does not."""

from collections.abc import Sequence
from dataclasses import dataclass

from planner.analysis.columns import Columns
from planner.analysis.facts import StudyFacts
from planner.analysis.statements import bars
from planner.analysis.tempo import playing_seconds
from planner.core.profile import Excerpt, Phrase, Statement, Tempo

DEFAULT_MINUTES = 10.0
"""Minutes from face up to pencils down. Source: UIL/TMAA sight-reading script (2014), largest groups."""

STUDY_MINUTES = 3.0
"""Silent study. Source: UIL/TMAA sight-reading script (2014), summary explanation of three minutes."""

FIXING_MINUTES = 1.5
"""Naming what went wrong and fixing it away from the tempo. House choice."""

SHORTEST_EXCERPT_MEASURES = 8
"""An excerpt below this length is not a piece to read. House choice: two usual phrases."""


@dataclass(frozen=True, slots=True)
class ReadingMinutes:
    """Minutes of one reading of a piece or passage.

    Attributes:
        study: Silent study.
        hearing: Hearing it inwardly, once through at the first reading's tempo.
        first: First reading.
        fixing: Naming and fixing.
        second: Second reading.
    """

    study: float
    hearing: float
    first: float
    fixing: float
    second: float

    @property
    def total(self) -> float:
        """All together, to a tenth of a minute."""
        return round(self.study + self.hearing + self.first + self.fixing + self.second, 1)


def measure_reading(
    seconds: float, marked_bpm: float, reading_bpm: float, first_bpm: float
) -> ReadingMinutes:
    """Minutes that study, hearing, first reading, fixing and second reading take.

    Args:
        seconds: Playing time at the marked tempo, roadmap included.
        marked_bpm: That tempo, in beats a minute.
        reading_bpm: Tempo of the second reading.
        first_bpm: Tempo of the first reading and of the inward hearing.

    Example:
        >>> measure_reading(60, 120, 120, 60).total
        9.5
    """
    minutes = seconds / 60
    slow, well = minutes * marked_bpm / first_bpm, minutes * marked_bpm / reading_bpm
    return ReadingMinutes(STUDY_MINUTES, slow, slow, FIXING_MINUTES, well)


def find_excerpts(
    phrases: Sequence[Phrase], seconds_per_measure: Sequence[float], available_seconds: float
) -> tuple[Excerpt, ...]:
    """The longest run of whole phrases that can be read within a playing time.

    Args:
        phrases: Phrases in order of place.
        seconds_per_measure: Playing time of each written measure.
        available_seconds: Playing time to fill.
    """
    best: tuple[float, int, int] | None = None
    for at, opening in enumerate(phrases):
        for closing in phrases[at:]:
            seconds = sum(seconds_per_measure[opening.measure : closing.end_measure + 1])
            if seconds > available_seconds:
                break
            length = closing.end_measure - opening.measure + 1
            if length >= SHORTEST_EXCERPT_MEASURES and (best is None or seconds > best[0]):
                best = (seconds, opening.measure, closing.end_measure)
    if best is None:
        return ()
    seconds, first, last = best
    return (Excerpt(first, last, round(seconds / 60, 2), "whole phrases that fit the time"),)


@dataclass(frozen=True, slots=True)
class FitStudy:
    """Minutes of a whole reading, excerpts to read when it does not fit, and what to say."""

    minutes: ReadingMinutes
    excerpts: tuple[Excerpt, ...]
    statements: tuple[Statement, ...]


def find_fit(
    columns: Columns, facts: StudyFacts, tempo: Tempo, seconds: float, available: float = DEFAULT_MINUTES
) -> FitStudy:
    """Whether the piece fits the available minutes, and what to read otherwise."""
    marked = facts.tempo.marked or facts.tempo.reading
    first = tempo.first_reading or tempo.reading
    minutes = measure_reading(seconds, marked, tempo.reading, first)
    if minutes.total <= available:
        return FitStudy(minutes, (), say_fit(minutes, available, ""))
    per_measure = [playing_seconds(columns, (at,), facts.quarter_bpm) for at in range(len(facts.pulses))]
    share = max(0.0, (available - minutes.study - minutes.fixing) * 60)
    found = find_excerpts(facts.phrases, per_measure, share / (2 * marked / first + marked / tempo.reading))
    named = bars(columns.score, found[0].measure, found[0].end_measure) if found else ""
    return FitStudy(minutes, found, say_fit(minutes, available, named))


def say_fit(minutes: ReadingMinutes, available: float, excerpt: str) -> tuple[Statement, ...]:
    """One sentence: whether it fits, and what to read instead."""
    if minutes.total <= available:
        sentence = f"A reading takes about {minutes.total:g} of {available:g} minutes: the whole piece fits."
    elif excerpt:
        sentence = (
            f"A reading takes about {minutes.total:g} of {available:g} minutes: read {excerpt} instead."
        )
    else:
        sentence = f"A reading takes about {minutes.total:g} minutes: more than the {available:g} there are."
    return (Statement("fit", sentence),)
