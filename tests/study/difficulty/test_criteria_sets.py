"""The published sets: what the pages they come from say, and worked examples; and own sets."""

import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from planner.adapters.scores.reader import read_score
from planner.core.limit import Answer, Limit, answer_of
from planner.core.pitch import Transposition
from planner.core.score import KeySignature, TempoMark
from planner.errors import InputError
from planner.study.basics import basic_facts
from planner.study.difficulty.criteria import hold_set, list_sets, read_sets
from planner.study.difficulty.criteria_values import TAKES, Kind, demand
from planner.study.notes.columns import columns_of
from planner.wording.study.difficulty import limit_sentence
from tests.builders import make_part, make_score
from tests.checks import some
from tests.reference import reference_folder, sampled

SETS = {each.name: each for each in list_sets()}


def answers(name, score, **facts):
    """The answer of each limit of a set."""
    columns = columns_of(score)
    found = hold_set(SETS[name], columns, replace(basic_facts(columns), **facts))
    return {
        limit.value: answer_of([one.answer for one in found if one.limit is limit])
        for limit, _ in SETS[name].limits
    }


# Orchestra sight-reading criteria of the University Interscholastic League (uiltexas.org): keys of each
# level (C at II and F at III for full orchestras), changes of key and of meter, minutes.
UIL = [
    (1, "D G", "", 0, 2, 2), (2, "D G C", "", 0, 2, 3), (3, "D G C F", "D A E", 2, 2, 3),
    (4, "D G C F", "D A E", 2, 2, 4), (5, "D G F C", "D A C G", 3, 3, 5),
    (6, "D G F C Bb", "D A C G", 3, 3, 5),
]  # fmt: skip


@pytest.mark.parametrize(("level", "major", "minor", "key_changes", "meter_changes", "minutes"), UIL)
def test_orchestra_levels_are_the_published_ones(level, major, minor, key_changes, meter_changes, minutes):
    limits = dict(SETS[f"uil-orchestra-{level}"].limits)
    keys = {f"{key} major" for key in major.split()} | {f"{key} minor" for key in minor.split()}
    assert set(limits[Limit.CONCERT_KEYS]) == keys
    assert limits[Limit.KEY_CHANGES] == key_changes
    assert limits[Limit.METER_CHANGES] == meter_changes
    assert limits[Limit.MINUTES] == minutes


def orchestra(*signs, bars=40, bpm=80):
    """Violin and viola that change to each signature in turn, at a printed tempo."""
    music = " | ".join(["D5*2 A4*2"] * bars)
    keys = tuple(KeySignature(at * bars // len(signs), fifths) for at, fifths in enumerate(signs))
    parts = [
        replace(make_part(music, name=name.title(), instrument=name), keys=keys)
        for name in ("violin", "viola")
    ]
    mark = TempoMark(0, Fraction(0), "", Fraction(1), bpm)
    return replace(make_score(*parts), tempos=(mark,))


@pytest.mark.parametrize(
    ("level", "signs", "home", "broken"),
    [
        # Two minutes at 80 are 160 quarters, 40 bars.
        (1, (2,), "D major", set()), (1, (0,), "C major", {"concert_keys"}), (2, (0,), "C major", set()),
        (1, (2, 1), "D major", {"key_changes"}), (3, (2, 1, 2), "D major", set()),
        (3, (2, 1, 0, 2), "D major", {"key_changes"}), (5, (2, 1, 0, 2), "D major", set()),
        (5, (-2,), "Bb major", {"concert_keys"}), (6, (-2,), "Bb major", set()),
        (3, (-1, 2), "D minor", set()), (3, (2, 3), "D major", {"concert_keys"}),
        (6, (-2,), "G minor", set()), (6, (1,), "E minor", {"concert_keys"}),
    ],
)  # fmt: skip
def test_a_string_piece_at_an_orchestra_level(level, signs, home, broken):
    found = answers(f"uil-orchestra-{level}", orchestra(*signs), home_key=home)
    assert {limit for limit, answer in found.items() if answer is Answer.BROKEN} == broken
    assert Answer.CANNOT_BE_JUDGED not in found.values()


def test_a_piece_of_two_minutes_is_as_long_as_the_lowest_orchestra_level_allows():
    """40 bars of four quarters at 80 last two minutes, at 78 a little more."""
    assert answers("uil-orchestra-1", orchestra(2), home_key="D major")["minutes"] is Answer.MET
    longer = answers("uil-orchestra-1", orchestra(2, bpm=78), home_key="D major")
    assert longer["minutes"] is Answer.BROKEN
    assert answers("uil-orchestra-2", orchestra(2, bpm=78), home_key="D major")["minutes"] is Answer.MET


# Missouri: an octave and a third; concert F, B flat, E flat and their relative minors; meters by class; a
# quarter at 88 to 92 in class 1 (docslib.org/doc/9768571 and 6587630).
@pytest.mark.parametrize(
    ("name", "meters"),
    [("mshsaa-band-1", "2/4 3/4 4/4"), ("mshsaa-band-2", "2/4 3/4 4/4 5/4 6/8 2/2")],
)
def test_missouri_classes_are_the_published_ones(name, meters):
    limits = dict(SETS[name].limits)
    assert limits[Limit.METERS] == meters.split()
    assert limits[Limit.RANGE_SEMITONES] == 12 + 4
    keys = {"F major", "D minor", "Bb major", "G minor", "Eb major", "C minor"}
    assert set(limits[Limit.CONCERT_KEYS]) == keys
    assert limits.get(Limit.BPM) == ([88, 92] if name == "mshsaa-band-1" else None)


B_FLAT = Transposition(-1, -2)


@pytest.mark.parametrize(
    ("top", "fifths", "bpm", "broken"),
    [
        ("A5", -1, 90, set()), ("Bb5", -1, 90, {"range_semitones"}), ("A5", -1, 100, {"bpm"}),
        ("A5", 2, 90, {"concert_keys"}),
    ],
)  # fmt: skip
def test_a_clarinet_in_missouris_first_class(top, fifths, bpm, broken):
    """Concert E flat, which a clarinet reads in F, from F4 up to an octave and a third above it."""
    clarinet = make_part(
        f"F4*2 {top}*2 | F5*4",
        name="Clarinet",
        instrument="clarinet-bflat",
        fifths=fifths,
        transposition=B_FLAT,
    )
    mark = TempoMark(0, Fraction(0), "", Fraction(1), bpm)
    found = answers("mshsaa-band-1", replace(make_score(clarinet), tempos=(mark,)), home_key="Eb major")
    assert {limit for limit, answer in found.items() if answer is Answer.BROKEN} == broken
    assert Answer.CANNOT_BE_JUDGED not in found.values()


# Missouri, solos for flute and clarinet: range, flats, sharps and quarters a minute of grades C, B and A.
@pytest.mark.parametrize(
    ("grade", "flute", "clarinet", "flats", "sharps", "bpm"),
    [
        ("c", ["D4", "Eb6"], ["E3", "C6"], 3, 1, [60, 108]),
        ("b", ["C4", "G6"], ["E3", "Eb6"], 4, 2, [60, 120]),
        ("a", ["B3", "D7"], ["E3", "C7"], None, None, None),
    ],
)  # fmt: skip
def test_missouri_solo_grades_are_the_published_ones(grade, flute, clarinet, flats, sharps, bpm):
    """Grade A is open upward ("C and above", "G and above") and asks for 60 to 144 and above."""
    limits = dict(SETS[f"mshsaa-solo-{grade}"].limits)
    assert limits[Limit.RANGES] == {"flute": flute, "clarinet-bflat": clarinet}
    assert [limits.get(key) for key in (Limit.WRITTEN_FLATS, Limit.WRITTEN_SHARPS, Limit.BPM)] == [
        flats, sharps, bpm,
    ]  # fmt: skip


# Florida, classification MD: 40 to 64 bars, concert B flat and its first six notes, 2/4 3/4 4/4, nothing
# shorter than pairs of repeated eighths, no sixteenths or rolls in percussion, two timpani pitches.
BAR = "Bb4 C5 D5 Eb5 | F5*1/2 F5*1/2 G5 F5*2"


def florida(bars=48, tune=BAR, drums="C5*1/2 C5*1/2 C5 C5*2", timpani="Bb2*2 F3*2", fifths=-2):
    drum = make_part(" | ".join([drums] * bars), name="Snare", instrument="snare-drum")
    heads = tuple(replace(note, pitch=None, unpitched=note.pitch) for note in drum.notes)
    return make_score(
        make_part(" | ".join([tune] * (bars // 2)), fifths=fifths),
        make_part(" | ".join([timpani] * bars), name="Timpani", instrument="timpani"),
        replace(drum, notes=heads, keys=()),
    )


@pytest.mark.parametrize(
    ("change", "broken"),
    [
        ({}, set()), ({"bars": 40}, set()), ({"bars": 64}, set()), ({"bars": 38}, {"measures"}),
        ({"bars": 66}, {"measures"}), ({"tune": BAR.replace("Eb5", "A5")}, {"concert_notes"}),
        ({"tune": BAR.replace("F5*1/2 F5*1/2", "F5*1/2 G5*1/2")}, {"eighths_in_repeated_pairs"}),
        ({"drums": "C5*1/4 C5*1/4 C5*1/2 C5*3"}, {"percussion_values"}),
        ({"drums": "C5*3 C5*1/2 C5*1/2"}, set()), ({"timpani": "Bb2*2 F3 Eb3"}, {"timpani_pitches"}),
        ({"fifths": -3}, {"concert_keys"}),
    ],
)  # fmt: skip
def test_a_piece_for_the_easiest_florida_class(change, broken):
    found = answers("fba-md", florida(**change), home_key="Bb major")
    assert {limit for limit, answer in found.items() if answer is Answer.BROKEN} == broken
    assert Answer.CANNOT_BE_JUDGED not in found.values()


REFERENCE = reference_folder()
FOLDERS = ("ensembles", "difficulty/hymns", "robustness/testsuite", "songs")
SMALL = 30_000
"""Bytes of a file that is read in a moment."""
KINDS = (".mxl", ".xml", ".musicxml")
EVERY = (path for folder in FOLDERS for path in (REFERENCE / folder).rglob("*.*")) if REFERENCE else ()
FILES = sampled(sorted(p for p in EVERY if p.suffix in KINDS and p.stat().st_size < SMALL), 12)


@pytest.mark.skipif(not FILES, reason="no reference data: set PLANNER_REFERENCE_DATA")
@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem[:40])
def test_every_set_answers_every_limit_of_real_scores_in_a_sentence(path):
    try:
        score = read_score(path)
    except InputError:
        pytest.skip("a file that is refused by name")
    columns = columns_of(score)
    facts, numbers = basic_facts(columns), tuple(measure.number for measure in score.measures)
    for each in some(SETS.values()):
        found = hold_set(each, columns, facts)
        assert {one.limit for one in found} == {limit for limit, _ in each.limits}
        sentences = [limit_sentence(one, numbers) for one in found]
        assert all(sentence.endswith(".") and "None" not in sentence for sentence in sentences)
        open_ones = [
            s for s, one in zip(sentences, found, strict=True) if one.answer is Answer.CANNOT_BE_JUDGED
        ]
        assert all("annot be judged, because " in sentence for sentence in open_ones)


# Sets of a director's own.


def own(line):
    return list(read_sets("own.toml", f'[[set]]\nname = "ours"\n{line}\n'))


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("measures = 40", "the least and the most"), ("measures = [64, 40]", "the least and the most"),
        ("bpm = [60, true]", "the least and the most"), ('minutes = "two"', "a number of minutes"),
        ('meters = "4/4"', "time signatures"), ('meters = ["C"]', "time signatures"),
        ('concert_keys = ["B flat major"]', "keys"), ('concert_keys = ["H major"]', "keys"),
        ('concert_keys = ["G# major"]', "keys"), ('concert_notes = ["bb"]', "names of notes"),
        ('values = ["crotchet"]', "names of note values"), ("key_changes = 1.5", "a whole number"),
        ("key_changes = -1", "a whole number"), ("rolls = 0", "true or false"),
        ('ranges = { flutes = ["D4", "Eb6"] }', "for each instrument"),
        ('ranges = { flute = ["Eb6", "D4"] }', "for each instrument"),
        ('ranges = { flute = ["low D", "Eb6"] }', "for each instrument"),
        ('ranges = { snare-drum = ["D4", "Eb6"] }', "for each instrument"),
    ],
)  # fmt: skip
def test_a_value_that_a_limit_cannot_take_is_refused_with_what_it_takes(line, words):
    with pytest.raises(InputError, match=r"own\.toml .* “ours”, \w+ has a value of the wrong kind") as error:
        own(line)
    assert words in error.value.hint
    assert line.split()[0] in error.value.hint


@pytest.mark.parametrize(
    "text", ["", "title = 'no set'\n", "set = 3\n", "[[set]]\nname = 7\n", "[set]\nname = 'x'\n"]
)
def test_a_file_without_a_named_set_is_refused_with_the_form_to_write(text):
    with pytest.raises(InputError, match=r"own\.toml") as error:
        list(read_sets("own.toml", text))
    assert "[[set]]" in error.value.hint, "with the line to write"


def test_the_set_in_the_readme_can_be_read_as_it_stands():
    readme = (Path(__file__).resolve().parents[3] / "README.md").read_text(encoding="utf-8")
    (text,) = re.findall(r"```toml\n(.*?)```", readme, re.DOTALL)
    (found,) = read_sets("own.toml", text)
    assert [limit for limit, _ in found.limits] == [Limit.METERS, Limit.CONCERT_KEYS, Limit.MINUTES]


def test_every_limit_says_what_it_takes_and_every_published_value_is_that():
    assert set(TAKES) == set(Limit)
    assert set(TAKES.values()) == set(Kind)
    for limit, value in some([pair for each in SETS.values() for pair in each.limits]):
        assert demand(limit, value) is None
