"""All questions asked of a score, in order, into one profile."""

from collections import Counter
from dataclasses import replace

from planner.core.fact import in_reading_order
from planner.core.issue import Issue
from planner.core.profile import Excerpt, PieceProfile
from planner.core.score import Score
from planner.study.difficulty.difficulty import rate
from planner.study.difficulty.evidence import gather
from planner.study.facts import StudyFacts
from planner.study.fit.excerpts import narrowed
from planner.study.fit.fit import Demands, FitStudy, find_fit
from planner.study.form.fingerprint import find_fingerprint
from planner.study.form.form import find_form
from planner.study.form.patterns import find_patterns
from planner.study.instrument_questions import ask_instruments
from planner.study.lines.breaths import breath_facts
from planner.study.lines.first_notes import first_note_facts
from planner.study.lines.hand_position import position_facts
from planner.study.lines.set_up import set_up_facts
from planner.study.melody.melody import find_melody
from planner.study.melody.returns import tune_return_facts
from planner.study.notes.columns import Columns, columns_of
from planner.study.notes.high_notes import high_note_facts
from planner.study.notes.ranges import measure_range
from planner.study.page.accidentals import find_accidentals
from planner.study.page.bar_numbers import unnumbered_bars
from planner.study.page.clefs import clef_facts
from planner.study.page.expression import find_expression
from planner.study.page.signatures import signature_facts
from planner.study.part_profiles import PartAnswers, build_part
from planner.study.roadmap.play_order import find_play_order
from planner.study.spots.against_triplets import against_triplets_facts
from planner.study.spots.spots import find_spots
from planner.study.time.accents import accent_facts
from planner.study.time.meter import find_meters
from planner.study.time.offbeats import offbeat_facts
from planner.study.time.tapping import tapping_facts
from planner.study.time.tempo import find_reading, find_tempo
from planner.study.time.together import together_facts
from planner.study.tonal.harmony import find_harmony
from planner.study.tonal.keys import find_keys
from planner.study.version import STUDY_VERSION


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
    form = find_form(columns)
    patterns = find_patterns(columns)
    melody = find_melody(columns)
    accidentals = find_accidentals(columns)
    expression = find_expression(columns)
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
        accidentals=accidentals.by_part,
        patterns=patterns.by_part,
    )
    ranges = tuple(measure_range(part) for part in columns.parts)
    evidence = gather(columns, facts)
    difficulty = rate(columns, facts, evidence)
    spots = find_spots(columns, facts, evidence)
    reading = find_reading(columns, tempo, roadmap.play_order, [part.level for part in difficulty.parts])
    demands = Demands(difficulty.level, difficulty.contributions, spots.by_part)
    fit = find_fit(columns, facts, reading, demands)
    facts_found = (
        *meters.facts,
        *roadmap.facts,
        *keys.facts,
        *harmony.facts,
        *form.facts,
        *patterns.facts,
        *melody.facts,
        *tune_return_facts(columns, melody.spans),
        *accidentals.facts,
        *expression.facts,
        *spots.facts,
        *reading.facts,
        *fit.facts,
        *accent_facts(score),
        *offbeat_facts(columns, meters.pulses),
        *tapping_facts(columns, meters.pulses),
        *together_facts(columns),
        *against_triplets_facts(columns, evidence, facts),
        *signature_facts(score),
        *clef_facts(score),
        *high_note_facts(columns),
        *breath_facts(columns, form.phrases, tempo.quarter_bpm),
        *set_up_facts(score, roadmap.roadmap.play_order, tempo.quarter_bpm),
        *first_note_facts(score, roadmap.roadmap.play_order, keys.spans),
        *position_facts(score),
    )
    answers = zip(
        columns.parts, ranges, difficulty.parts, spots.by_part, accidentals.by_part, expression.by_part,
        patterns.by_part, strict=True,
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
        tempo_bpm=reading.tempo,
        playing_seconds=reading.seconds,
        level=difficulty.level,
        parts=tuple(build_part(PartAnswers(*each)) for each in answers),
        issues=(
            *score.issues,
            *roadmap.issues,
            *(issue for each in ranges for issue in each.issues),
            *ask_instruments(score),
            *_whole_issues(score),
        ),
        measure_numbers=tuple(measure.number for measure in score.measures),
        uncounted=tuple(measure.index for measure in score.measures if measure.implicit),
        contributions=difficulty.contributions,
        form=form.sections,
        phrases=form.phrases,
        cadences=harmony.cadences,
        expression=expression.words,
        tempo_turns=tempo.turns,
        tempos=reading.spans,
        first_reading_seconds=reading.first_seconds,
        excerpts=_with_level(columns, facts, fit),
        facts=in_reading_order(facts_found, [part.name for part in score.parts]),
        composer=_named(score, "composer", ""),
        arranger=_named(score, "arranger"),
        rights=score.rights,
        study_version=STUDY_VERSION,
        melody=melody.spans,
        unnumbered=unnumbered_bars(score),
        fingerprint=find_fingerprint(columns).to_text(),
    )


def _named(score: Score, *roles: str) -> str:
    """Everyone in a role, as one line; a creator without a role is taken for the composer.

    A creator that holds a web address names where the file is from, nobody who wrote the music.
    """
    names = (one.name for one in score.creators if one.role in roles and "://" not in one.name)
    return ", ".join(dict.fromkeys(names))


def _with_level(columns: Columns, facts: StudyFacts, fit: FitStudy) -> tuple[Excerpt, ...]:
    """The excerpts, the one for the usual minutes with the level of its own measures."""
    if fit.main is None:
        return fit.excerpts
    level = rate(*narrowed(columns, facts, fit.main.measure, fit.main.end_measure)).level
    return tuple(replace(each, level=level) if each == fit.main else each for each in fit.excerpts)


def with_distinct_names(score: Score) -> Score:
    """The score with parts that share a name told apart by a number, so that a name means one part."""
    counts = Counter(part.name for part in score.parts)
    if all(name and count == 1 for name, count in counts.items()):
        return score
    taken, parts = set(counts), []
    for part in score.parts:
        name = part.name
        if counts[name] > 1 or not name:
            number = 1
            while f"{name or 'Part'} ({number})" in taken:
                number += 1
            name = f"{name or 'Part'} ({number})"
            taken.add(name)
        parts.append(replace(part, name=name))
    return replace(score, parts=tuple(parts))


def _whole_issues(score: Score) -> tuple[Issue, ...]:
    if not score.measures:
        return (Issue("no-measures", "error"),)
    if not any(note.is_struck for part in score.parts for note in part.notes):
        return (Issue("no-notes", "error"),)
    return ()
