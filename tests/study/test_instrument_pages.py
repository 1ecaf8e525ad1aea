"""What is said of instruments, from small files to sheets, and by another road from the bare file."""

from collections import Counter
from dataclasses import replace

import pytest

from planner.adapters.scores.reader import read_score
from planner.core.fact import Fact, FactKind
from planner.core.room_question import Ask
from planner.services.sheets.player.questions import sheet_questions
from planner.services.sheets.player.sheet import sheet_lines
from planner.study.study import study
from tests.reference import reference_data, sampled
from tests.study.bare_score import read_bare
from tests.study.fact_checks import SAMPLES, is_comparable, read_twice, verdicts
from tests.study.fact_checks_instrument import CHECKS as INSTRUMENT_CHECKS
from tests.study.small_pages import Page, write_pages
from tests.study.statement_checks import CHECKS

K = FactKind
REST, BEAT = "r*4", "C5 r C5 C5"
PAGES = (
    Page("Flute", " | ".join(["C5 D5 E5 F5", "E5*4", "G5 A5 B5 C6", REST, REST, "C6*4", *[REST] * 6, "E5*4"]),
         words={4: "To Piccolo"}, cues=frozenset({3})),
    Page("Oboe", " | ".join(["E5*4", "E5*4", "G5 A5 B5 C6", "C5*4", *["F5 E5 D5 C5"] * 9])),
    Page("Trumpet", " | ".join(["D4 E4 F4 G4", "C5*4", REST, "r*2 G4*2", "A4*4", REST, "C5*4", *[REST] * 5,
                                "C5*4"]),
         words={4: "Straight Mute", 6: "open"}),
    Page("Horns in F", " | ".join(["C5*4", "C5*4", "E5*4", "C5*4", *["C5*4"] * 9]),
         words={1: "a 2", 3: "1.", 5: "a 2"}),
    Page("Viola", " | ".join(["C4*4", "C4+E4*4", "D4+F4*4", "C4*4", *["C4 F4 A4 B4"] * 8, "C4*4"]),
         words={1: "con sord.", 2: "div.", 4: "unis.", 6: "pizz.", 8: "arco"}),
    Page("Percussion", " | ".join([*[BEAT] * 5, "r*4", "C5*4", "C5*4", *[REST] * 4, "C5*4"]),
         drums={**dict.fromkeys(range(1, 6), "Snare Drum"), 7: "Triangle", 8: "Triangle", 13: "Triangle"},
         rolls=frozenset({13})),
    Page("Timpani", " | ".join(["F2 C3 D3 G3", REST, REST, "F2 E3 E3 r", *["F2*4"] * 9])),
)  # fmt: skip
"""A page for each kind, in thirteen bars."""


@pytest.fixture(scope="module")
def path(tmp_path_factory):
    return write_pages(PAGES, tmp_path_factory.mktemp("pages") / "small.musicxml")


@pytest.fixture(scope="module")
def profile(path):
    return study(read_score(path))


@pytest.fixture(scope="module")
def bare(path):
    return read_bare(path)


def fact_of(profile, kind, part):
    [fact] = [fact for fact in profile.facts_for(part) if fact.kind is kind]
    return fact


def later(fact):
    return replace(fact, places=tuple((first + 1, last + 1) for first, last in fact.places))


def slower(fact):
    numbers = tuple((name, number + 2 if name == "seconds" else number) for name, number in fact.numbers)
    return replace(fact, numbers=numbers)


def other_terms(*terms):
    return lambda fact: replace(fact, terms=terms)


FOUND = (
    (K.CHANGES, "Flute", ("take:piccolo",), ((5, 5),), slower),
    (K.CHANGES, "Flute", ("take:piccolo",), ((5, 5),), other_terms("take:english-horn")),
    (K.CUES, "Flute", ("Oboe",), ((2, 2),), later),
    (K.CHANGES, "Trumpet", ("straight mute", "open"), ((3, 3), (6, 6)), slower),
    (K.CHANGES, "Trumpet", ("straight mute", "open"), ((3, 3), (6, 6)), other_terms("cup mute", "open")),
    (K.CHANGES, "Trumpet", ("straight mute", "open"), ((3, 3), (6, 6)), later),
    (K.FINGERINGS, "Trumpet", ("valves-13-slide",), ((0, 0),), other_terms("valves-23")),
    (K.FINGERINGS, "Trumpet", ("valves-13-slide",), ((0, 0),), later),
    (K.PLAYERS, "Horns in F", ("both", "first", "both"), ((0, 0), (2, 2), (4, 4)),
     other_terms("both", "second", "both")),
    (K.CHANGES, "Viola", ("mute", "pluck", "bow"), ((0, 0), (5, 5), (7, 7)),
     other_terms("mute", "bow", "pluck")),
    (K.DIVIDED, "Viola", (), ((1, 2),), lambda fact: replace(fact, places=((0, 2),))),
    (K.SAME_BARS, "Percussion", (), ((0, 4),), lambda fact: replace(fact, places=((0, 5),))),
    (K.SAME_BARS, "Percussion", (), ((0, 4),), lambda fact: replace(fact, places=((0, 3),))),
    (K.ROLLS, "Percussion", (), ((12, 12),), later),
    (K.SWITCHES, "Percussion", ("Snare Drum", "Triangle"), ((6, 6),), slower),
    (K.SWITCHES, "Percussion", ("Snare Drum", "Triangle"), ((6, 6),), other_terms("Triangle", "Snare Drum")),
)  # fmt: skip


@pytest.mark.parametrize(("kind", "part", "terms", "places", "falsely"), FOUND)
def test_each_kind_is_found_true_and_a_false_one_is_noticed(
    profile, bare, kind, part, terms, places, falsely
):
    fact = fact_of(profile, kind, part)
    assert (tuple(map(str, fact.terms)), fact.places) == (terms, places)
    assert CHECKS[kind](bare, profile, fact) is True
    assert CHECKS[kind](bare, profile, falsely(fact)) is False


def test_first_position_is_checked_by_the_reach_of_the_fingers(bare, profile):
    fact = Fact(K.FIRST_POSITION, "Viola")
    assert CHECKS[K.FIRST_POSITION](bare, profile, fact) is True
    high = replace(bare, parts=[bare.parts[0] if part.name == "Viola" else part for part in bare.parts])
    assert CHECKS[K.FIRST_POSITION](high, profile, fact) is False, "a flute goes higher"


def test_seconds_are_those_of_the_first_reading(profile):
    bpm = profile.tempos[0].first_reading
    assert bpm < 60
    changes = fact_of(profile, K.CHANGES, "Trumpet").each("seconds")
    assert changes == pytest.approx((6 * 60 / bpm, 4 * 60 / bpm), abs=0.1)
    tuned = fact_of(profile, K.DRUMS_TUNED, "Timpani")
    assert min(tuned.each("seconds")) > 8


def test_the_sheet_says_a_change_once(profile):
    viola = next(part for part in profile.parts if part.name == "Viola")
    text = " ".join(line.text for line in sheet_lines(profile, viola))
    assert "the mute on" in text
    assert "con sord" not in text
    assert "“div.”" not in text
    asked = sheet_questions(profile, profile.parts.index(viola), sheet_lines(profile, viola))
    assert all(each.kind is not Ask.WORD for each in asked)


@pytest.mark.parametrize(
    ("kind", "parts"),
    [
        (K.CHANGES, {"Oboe", "Horns in F", "Percussion", "Timpani"}),
        (K.CUES, {"Oboe", "Trumpet", "Viola"}),
        (K.PLAYERS, {"Flute", "Oboe", "Trumpet", "Viola"}),
        (K.SAME_BARS, {"Oboe", "Timpani", "Viola"}),
        (K.FINGERINGS, {"Timpani", "Percussion"}),
    ],
)
def test_other_parts_stay_silent(profile, kind, parts):
    assert parts.isdisjoint(fact.part for fact in profile.facts if fact.kind is kind)


@pytest.mark.slow
def test_what_is_said_of_instruments_is_true_of_real_scores():
    folders = ("ensembles/string_quartet", "ensembles/orchestra")
    files = [
        path for folder in folders for path in sampled(sorted((reference_data() / folder).rglob("*.mxl")), 4)
    ]
    kinds = Counter[FactKind]()
    for path in [*files, *sampled(SAMPLES, 8)]:
        whole, found = read_twice(path)
        if is_comparable(whole, found):
            verdicts_here = list(verdicts(INSTRUMENT_CHECKS, whole, found))
            assert [fact for fact, is_true in verdicts_here if is_true is False] == []
            kinds += Counter(fact.kind for fact, _ in verdicts_here)
    assert kinds[K.FINGERINGS] > 20
    assert kinds[K.CHANGES] > 3
    assert kinds[K.SAME_BARS] > 2
    assert kinds[K.FIRST_POSITION] > 0
