"""All questions asked of a score, in order, into one profile."""

from collections import Counter
from dataclasses import replace

import numpy as np

from planner.analysis.accidentals import find_accidentals
from planner.analysis.columns import Columns, PartColumns, columns_of
from planner.analysis.expression import find_part_expression
from planner.analysis.facts import StudyFacts
from planner.analysis.fit import DEFAULT_MINUTES, find_excerpts, measure_reading, say_fit
from planner.analysis.form import find_form
from planner.analysis.harmony import find_harmony
from planner.analysis.meter import find_meters
from planner.analysis.patterns import find_patterns
from planner.analysis.rhythm import values_used
from planner.analysis.roadmap import find_play_order
from planner.analysis.signatures import written_keys
from planner.analysis.statements import bars, in_reading_order
from planner.analysis.tempo import find_tempo, playing_seconds, reading_tempo, say_tempo
from planner.analysis.tonality import find_keys
from planner.core.issue import Issue
from planner.core.profile import Excerpt, PartProfile, PieceProfile, Statement
from planner.core.score import Score


def study(score: Score) -> PieceProfile:
    """Everything the questions find in a score. Same score, same profile.

    Example:
        >>> from planner.core.score import Score
        >>> study(Score("Empty", (), ())).measures
        0
    """
    score = with_distinct_names(score)
    columns = columns_of(score)
    meters = find_meters(columns)
    roadmap = find_play_order(score)
    tempo = find_tempo(columns, meters.spans)
    keys = find_keys(columns)
    harmony = find_harmony(columns, keys)
    form = find_form(columns, harmony)
    patterns = find_patterns(columns)
    accidentals = tuple(find_accidentals(part) for part in score.parts)
    facts = StudyFacts(
        meters=meters.spans,
        pulses=meters.pulses,
        roadmap=roadmap.roadmap,
        home_key=keys.home_key,
        keys=keys.spans,
        harmony=harmony.spans,
        cadences=harmony.cadences,
        sections=form.sections,
        phrases=form.phrases,
        tempo=tempo.tempo,
        quarter_bpm=tempo.quarter_bpm,
        accidentals=tuple(found.uses for found in accidentals),
        patterns=patterns.by_part,
    )
    seconds = playing_seconds(columns, roadmap.play_order, tempo.quarter_bpm)
    read_at = reading_tempo(columns, tempo, [None] * len(score.parts))
    fit, excerpts = _fit(columns, facts, seconds, read_at.reading, read_at.first_reading or read_at.reading)
    statements = (
        *meters.statements, *roadmap.statements, *keys.statements, *harmony.statements,
        *form.statements, *patterns.statements, *say_tempo(read_at, seconds), *fit,
    )  # fmt: skip
    return PieceProfile(
        title=score.title,
        creators=tuple(creator.name for creator in score.creators),
        measures=len(score.measures),
        meters=meters.spans,
        roadmap=roadmap.roadmap,
        home_key=keys.home_key,
        keys=keys.spans,
        harmony=harmony.spans,
        tempo_bpm=read_at,
        playing_seconds=seconds,
        level=None,
        parts=tuple(_part(part, facts) for part in columns.parts),
        issues=(*score.issues, *roadmap.issues, *_score_issues(score)),
        measure_numbers=tuple(measure.number for measure in score.measures),
        form=form.sections,
        phrases=form.phrases,
        cadences=harmony.cadences,
        excerpts=excerpts,
        statements=in_reading_order(statements, [part.name for part in score.parts]),
    )


def with_distinct_names(score: Score) -> Score:
    """The score with parts that share a name told apart by a number, so that a name means one part."""
    counts = Counter(part.name for part in score.parts)
    taken, parts = set(counts), []
    seen: Counter[str] = Counter()
    for part in score.parts:
        seen[part.name] += 1
        name = part.name
        if counts[part.name] > 1 or not name:
            number = seen[part.name]
            name = f"{part.name or 'Part'} ({number})"
            while name in taken:
                number += 1
                name = f"{part.name or 'Part'} ({number})"
            taken.add(name)
        parts.append(part if name == part.name else replace(part, name=name))
    return replace(score, parts=tuple(parts))


def _part(part: PartColumns, facts: StudyFacts) -> PartProfile:
    source = part.part
    expression = find_part_expression(source)
    line = part.line
    leaps = np.abs(np.diff(line.sounding)) if len(line) > 1 else np.zeros(1)
    return PartProfile(
        name=source.name,
        instrument=source.instrument,
        transposition_semitones=source.transposition.semitones,
        notes=int(part.struck.sum()),
        written_range=_compass(part, sounding=False),
        sounding_range=_compass(part, sounding=True),
        level=None,
        accidentals=facts.accidentals[part.index],
        dynamics=expression.dynamics,
        articulations=expression.articulations,
        keys=written_keys(source),
        values=values_used(source),
        largest_leap_semitones=int(leaps.max()),
        patterns=facts.patterns[part.index],
    )


def _compass(part: PartColumns, *, sounding: bool) -> tuple[str, str] | None:
    if not part.is_pitched:
        return None
    ends = []
    for at in (int(np.nanargmin(part.sounding)), int(np.nanargmax(part.sounding))):
        note = part.part.notes[int(part.note[at])]
        assert note.pitch is not None
        pitch = part.part.transposition_at(note.measure).to_sounding(note.pitch) if sounding else note.pitch
        ends.append(str(pitch))
    return ends[0], ends[1]


def _fit(
    columns: Columns, facts: StudyFacts, seconds: float, reading: int, first: int
) -> tuple[tuple[Statement, ...], tuple[Excerpt, ...]]:
    marked = facts.tempo.marked or facts.tempo.reading
    minutes = measure_reading(seconds, marked, reading, first)
    per_measure = [
        playing_seconds(columns, (measure,), facts.quarter_bpm) for measure in range(len(facts.pulses))
    ]
    share = max(0.0, (DEFAULT_MINUTES - minutes.study - minutes.fixing) * 60)
    slowed = share / (2 * marked / first + marked / reading)
    found = find_excerpts(facts.phrases, per_measure, slowed) if minutes.total > DEFAULT_MINUTES else ()
    named = bars(columns.score, found[0].measure, found[0].end_measure) if found else ""
    return say_fit(minutes, DEFAULT_MINUTES, named), found


def _score_issues(score: Score) -> tuple[Issue, ...]:
    if not score.measures:
        return (Issue("no-measures", "error", "The score has no measures: nothing can be studied."),)
    if not any(note.is_struck for part in score.parts for note in part.notes):
        return (Issue("no-notes", "error", "No part has a note to play: check that the export is complete."),)
    return ()
