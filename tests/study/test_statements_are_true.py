"""Every sentence about notes is checked against the notes themselves, without the study's own code."""

import re
from functools import cache
from pathlib import Path
from typing import NamedTuple

import pytest

from planner.adapters.scores.reader import read_score
from planner.core.score import Part, Score
from planner.study.form.form import FormStudy, find_form
from planner.study.form.patterns import PatternStudy, find_patterns
from planner.study.notes.columns import columns_of
from planner.study.tonal.harmony import HarmonyStudy, find_harmony
from planner.study.tonal.keys import KeyStudy, find_keys
from tests.reference import reference_folder, sampled

SAMPLES = sorted((Path(__file__).resolve().parents[2] / "sample_library").glob("*.mxl"))
REFERENCE = reference_folder()
MOVEMENTS = sampled(sorted((REFERENCE / "ensembles").rglob("*.mxl")), 8) if REFERENCE else []
EVERY = [
    *(pytest.param(path, id=path.stem) for path in SAMPLES[::3]),
    *(
        pytest.param(path, id=path.stem, marks=pytest.mark.slow)
        for path in sampled((path for at, path in enumerate(SAMPLES) if at % 3), 8)
    ),
    *(pytest.param(path, id=path.stem[:40], marks=pytest.mark.slow) for path in MOVEMENTS),
]
pytestmark = pytest.mark.skipif(not SAMPLES, reason="the sample library has not been made yet")


class Studied(NamedTuple):
    score: Score
    keys: KeyStudy
    harmony: HarmonyStudy
    form: FormStudy
    patterns: PatternStudy


@cache
def studied(path: Path) -> Studied:
    score = read_score(path)
    columns = columns_of(score)
    keys = find_keys(columns)
    harmony = find_harmony(columns, keys)
    return Studied(score, keys, harmony, find_form(columns, harmony), find_patterns(columns))


def part_named(score: Score, name: str) -> Part:
    return next(part for part in score.parts if part.name == name)


def spoken(pitch) -> str:
    name = pitch.pitch_class_name
    return name[0] + name[1:].replace("b", "♭").replace("#", "♯")


def bars_of(score: Score, first: str, last: str | None) -> range:
    numbers = [measure.number for measure in score.measures]
    begin = numbers.index(first)
    return range(begin, (numbers.index(last) if last else begin) + 1)


def sounding_at(score: Score, part: Part, measure: int, onset) -> set[str]:
    at = score.measures[measure].start_quarters + onset
    found = set()
    for note in part.notes:
        if note.pitch is None or note.is_rest or note.is_grace or note.is_cue:
            continue
        begin = score.measures[note.measure].start_quarters + note.onset_quarters
        if begin <= at < begin + note.duration_quarters:
            found.add(spoken(note.pitch))
    return found


@pytest.mark.parametrize("path", EVERY)
def test_accidentals_are_where_the_sentence_says(path):
    score = studied(path).score
    for said in studied(path).keys.statements:
        if said.topic != "accidentals":
            continue
        assert re.search(r"in bars? \w+(?:–\w+)?, (?:twice|\w+ times)", said.sentence)
        names = re.findall(r"[A-G][♯♭♮]+", said.sentence.split(" in bar")[0])
        numbers = {score.measure_number(said.measure), score.measure_number(said.end_measure)}
        assert numbers == set(re.search(r"in bars? (\w+)(?:–(\w+))?", said.sentence).groups()) - {None}
        inside = range(said.measure, said.end_measure + 1)
        heads = [
            n for n in part_named(score, said.part).notes if n.pitch and n.is_struck and n.measure in inside
        ]
        hits = [n for n in heads if spoken(n.pitch) in {name.rstrip("♮") for name in names}]
        assert len(hits) >= 2, said.sentence
        assert {hits[0].measure, hits[-1].measure} == {inside[0], inside[-1]}, said.sentence


@pytest.mark.parametrize("path", EVERY)
def test_what_a_part_holds_at_a_close_is_what_it_plays(path):
    score, harmony = studied(path).score, studied(path).harmony
    onsets = {score.measures[c.measure].number: (c.measure, c.offset_quarters) for c in harmony.cadences}
    for said in harmony.statements:
        told = re.match(r"At the close in bar (\w+) you have ([A-G][♯♭]*), the", said.sentence)
        if told:
            measure, onset = onsets[told.group(1)]
            assert told.group(2) in sounding_at(score, part_named(score, said.part), measure, onset), (
                said.sentence
            )


@pytest.mark.parametrize("path", EVERY)
def test_a_pedal_note_is_all_its_part_plays(path):
    score = studied(path).score
    for said in studied(path).harmony.statements:
        told = re.match(r"You hold the pedal note ([A-G][♯♭]*) in bars? (\w+)(?:–(\w+))?", said.sentence)
        if told:
            inside = bars_of(score, told.group(2), told.group(3))[1:-1]
            notes = [n for n in part_named(score, said.part).notes if n.pitch and n.measure in inside]
            assert {spoken(n.pitch) for n in notes} <= {told.group(1)}, said.sentence


def melody(score: Score, part: Part, inside: range) -> list[tuple]:
    """Onset and highest struck pitch in a stretch of bars."""
    tops: dict = {}
    for note in part.notes:
        if note.pitch is not None and note.is_struck and note.measure in inside:
            at = score.measures[note.measure].start_quarters + note.onset_quarters
            midi = float(note.pitch.midi) + part.transposition_at(note.measure).semitones
            tops[at] = max(tops.get(at, -1.0), midi)
    return sorted(tops.items())


@pytest.mark.parametrize("path", EVERY)
def test_partners_strike_the_same_notes(path):
    score, study = studied(path).score, studied(path).patterns
    for part, patterns in zip(score.parts, study.by_part, strict=True):
        for pattern in patterns:
            if pattern.kind != "unison":
                continue
            for first, last in pattern.places:
                own = [(at, midi % 12) for at, midi in melody(score, part, range(first, last + 1))]
                for name in pattern.with_parts:
                    partner = melody(score, part_named(score, name), range(first, last + 1))
                    assert own == [(at, midi % 12) for at, midi in partner], f"{part.name}: {pattern.why}"


@pytest.mark.parametrize("path", EVERY)
def test_a_repeat_is_in_each_of_its_places(path):
    score, study = studied(path).score, studied(path).patterns
    for part, patterns in zip(score.parts, study.by_part, strict=True):
        for pattern in patterns:
            told = re.match(r"(\d+) notes", pattern.why)
            if pattern.kind == "repeat" and "the same" in pattern.why:
                first, last = pattern.places[0]
                length = int(told.group(1)) if told else len(melody(score, part, range(first, last + 1)))
                options = []
                for first, last in pattern.places:
                    pitches = [midi for _, midi in melody(score, part, range(first, last + 1))]
                    options.append({tuple(pitches[s : s + length]) for s in range(len(pitches) - length + 1)})
                assert set.intersection(*options), f"{part.name}: {pattern.why}"


@pytest.mark.parametrize("path", EVERY)
def test_the_opening_returns_note_for_note(path):
    score, study = studied(path).score, studied(path).form
    numbers = [measure.number for measure in score.measures]
    for said in study.statements:
        if "opening melody returns" in said.sentence:
            starts = [numbers.index(n) for n in re.findall(r"\d+", said.sentence)]
            matches = []
            for part in score.parts:
                lead = next((n.measure for n in part.notes if n.pitch and n.is_struck), 0)

                def shape(begin, part=part):
                    line = melody(score, part, range(begin, begin + 4))
                    start = score.measures[begin].start_quarters
                    return [(at - start, midi) for at, midi in line]

                opening = shape(0)
                if lead < 4 and all(shape(start) == opening for start in starts):
                    matches.append(part.name)
            assert matches, said.sentence


def test_the_quick_pieces_have_what_the_tests_above_look_for():
    sentences, kinds = [], set()
    for path in SAMPLES[::3]:
        found = studied(path)
        sentences += [s.sentence for s in (*found.harmony.statements, *found.form.statements)]
        kinds |= {pattern.kind for patterns in found.patterns.by_part for pattern in patterns}
        kinds |= {s.topic for s in found.keys.statements}
    assert {"unison", "repeat", "accidentals"} <= kinds
    for beginning in ("At the close in bar", "You hold the pedal note", "opening melody returns"):
        assert any(beginning in sentence for sentence in sentences), beginning
