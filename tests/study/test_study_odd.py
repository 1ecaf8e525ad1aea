"""The study of scores made odd at random: it never crashes, and its profile reads back."""

import random
from dataclasses import replace
from fractions import Fraction

import pytest

from planner.core.profile import profile_from_json, profile_to_json
from planner.core.score import Hairpin, KeySignature, RoadmapMark, TempoMark, TimeSignature
from planner.study.study import study
from planner.wording.study_text import study_to_text
from tests.builders import make_part, make_score
from tests.reference import sampled

WORDS = ("", "Allegro", "Tempo I", "più mosso", "3+2", "(")
KINDS = (
    "repeat-start", "repeat-end", "ending-start", "ending-stop", "segno", "coda", "to-coda", "fine",
    "da-capo", "dal-segno",
)  # fmt: skip


def base():
    tune = "C4 D4 E4*1/2 F#4*1/2 G4 | A4*2 B4*1/2 C5*1/2 D5 | r*2 G4 F4 | E4*3/2 D4*1/2 C4*2"
    bass = "C3*2 G3*2 | F3 F3 G3*2 | C3+G3*4 | G2*2 C3*2"
    return make_score(make_part(" | ".join([tune] * 3)), make_part(" | ".join([bass] * 3), name="Tuba"))


def odd_measure(chance, measure):
    time = TimeSignature((((chance.choice([1, 5, 7, 11, 13, 25, 99]),), chance.choice([1, 2, 4, 8, 64])),))
    return chance.choice([
        replace(measure, length_quarters=Fraction(0)),
        replace(measure, time=time),
        replace(measure, time=TimeSignature((), "free")),
        replace(measure, time=TimeSignature((((3, 2), 8), ((2,), 4)))),
        replace(measure, implicit=True),
        replace(measure, number=chance.choice(["", "X", "0", "1", "-3"])),
    ])  # fmt: skip


def odd_part(chance, part, count):
    notes = [n for n in part.notes if chance.random() < chance.choice([0.4, 1])]
    change = chance.random()
    if change < 0.15:
        notes = [replace(n, pitch=None, unpitched=n.pitch) for n in notes]
    elif change < 0.3:
        notes = [replace(n, duration_quarters=Fraction(0)) for n in notes]
    elif change < 0.4:
        notes = [replace(n, is_cue=True) for n in notes]
    keys = (*part.keys, KeySignature(chance.randrange(count), chance.randint(-20, 20), "dorian"))
    hairpin = Hairpin(chance.randrange(count), Fraction(0), "crescendo", chance.randrange(count))
    return replace(
        part,
        notes=tuple(notes),
        keys=tuple(sorted(keys, key=lambda key: key.measure)),
        hairpins=(hairpin,),
        name=chance.choice([part.name, "", "Twin"]),
    )


def odd_score(seed):
    chance = random.Random(seed)
    score = base()
    count = len(score.measures)
    measures = [odd_measure(chance, m) if chance.random() < 0.2 else m for m in score.measures]
    tempos = [
        TempoMark(
            chance.randrange(count), Fraction(0), chance.choice(WORDS),
            chance.choice([None, Fraction(1), Fraction(3, 7)]), chance.choice([None, 0.0, -5.0, 1e9, 60.0]),
            chance.choice([None, 0.0, 1e-9, 1e8, 77.7]),
        )
        for _ in range(3)
    ]  # fmt: skip
    marks = [
        RoadmapMark(
            chance.choice(KINDS), chance.randint(-1, count), chance.randint(-1, 3),
            times=chance.randint(0, 30), numbers=tuple(chance.sample(range(5), chance.randint(0, 2))),
        )
        for _ in range(chance.randint(0, 5))
    ]  # fmt: skip
    return replace(
        score,
        measures=tuple(measures),
        parts=tuple(odd_part(chance, part, count) for part in score.parts),
        tempos=tuple(sorted(tempos, key=lambda mark: mark.measure)),
        marks=tuple(marks),
    )


def check(seeds):
    for seed in seeds:
        profile = study(odd_score(seed))
        assert profile_from_json(profile_to_json(profile)) == profile, seed
        assert study_to_text(profile), seed


def test_a_few_odd_scores_are_studied_without_a_crash():
    check(range(40))


@pytest.mark.slow
def test_many_odd_scores_are_studied_without_a_crash():
    check(sampled(range(40, 1000), 200))
