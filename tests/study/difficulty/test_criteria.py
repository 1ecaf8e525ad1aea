"""Published limits, met and broken, each by a piece made for it."""

import pytest

from planner.core.fact import named
from planner.core.limit import Limit, LimitResult
from planner.errors import InputError, NotFoundError
from planner.study.difficulty.criteria import check, check_score, list_sets
from planner.study.difficulty.criteria_rules import RULES
from planner.study.notes.columns import columns_of
from tests.builders import make_part, make_score
from tests.study.difficulty.levels_help import facts_for

EASY = " | ".join(["Bb4 C5 D5 Eb5", "F5*2 G5*2"] * 24)


def results(name, music, *, folder=None, home_key="Bb major", bpm=90.0, time="4/4", **kwargs):
    kwargs.setdefault("fifths", -2)
    score = make_score(make_part(music, **kwargs), time=time)
    found = check(name, columns_of(score), facts_for(score, bpm, home_key), folder)
    return {each.limit: each for each in found}


def test_a_piece_inside_every_limit_meets_them_all():
    found = results("fba-md", EASY)
    assert all(each.is_met for each in found.values()), found


@pytest.mark.parametrize(
    ("limit", "measure", "change"),
    [
        (
            "concert_notes",
            2,
            {"music": EASY.replace("Bb4 C5 D5 Eb5", "Bb4 A5 D5 Eb5", 2).replace("A5", "C5", 1)},
        ),
        ("measures", None, {"music": " | ".join(["Bb4*4"] * 39)}),
        ("concert_keys", 0, {"home_key": "Eb major"}),
        ("eighths_in_repeated_pairs", 0, {"music": EASY.replace("Bb4 C5", "Bb4*1/2 C5*1/2 C5", 1)}),
    ],
)
def test_each_limit_of_the_easiest_florida_class_can_be_broken(limit, measure, change):
    """FBA Sight Reading Content Limits, classification MD."""
    change = {"music": EASY} | change
    found = results("fba-md", change.pop("music"), **change)
    assert not found[limit].is_met
    if measure is not None:
        assert found[limit].measures[0] == measure


def test_repeated_pairs_of_eighths_are_allowed():
    assert results("fba-md", EASY.replace("Bb4 C5", "Bb4*1/2 Bb4*1/2 C5", 1))[
        "eighths_in_repeated_pairs"
    ].is_met


def test_orchestra_levels_allow_the_published_keys():
    """UIL Orchestra Sight-Reading Criteria: level I has D and G major, level VI adds B flat."""
    music = "D5*4 | D5*4"
    for name, key, is_met in (
        ("uil-orchestra-1", "D major", True), ("uil-orchestra-1", "C major", False),
        ("uil-orchestra-2", "C major", True), ("uil-orchestra-5", "Bb major", False),
        ("uil-orchestra-6", "Bb major", True), ("uil-orchestra-3", "E minor", True),
    ):  # fmt: skip
        fifths = {"D major": 2, "C major": 0, "Bb major": -2, "E minor": 1}[key]
        found = results(name, music, home_key=key, fifths=fifths)
        assert found["concert_keys"].is_met is is_met, (name, key)


def test_missouri_class_one_allows_an_octave_and_a_third():
    """MSHSAA Band Sight Reading Composition Criteria 2002-03."""
    assert results("mshsaa-band-1", "F4*2 A5*2")["range_semitones"].is_met
    broken = results("mshsaa-band-1", "F4*2 A5*2 | Bb5*4")["range_semitones"]
    assert (broken.measures, broken.part) == ((1,), "Flute")
    assert broken.numbers == named(semitones=17, most=16)
    assert not results("mshsaa-band-1", "F4*4", bpm=120)["bpm"].is_met


def test_solo_ranges_belong_to_the_instrument():
    """MSHSAA woodwind solo matrix, grade C: flute low D to high E flat."""
    assert results("mshsaa-solo-c", "D4*2 Eb6*2")["ranges"].is_met
    assert not results("mshsaa-solo-c", "C4*2 Eb6*2")["ranges"].is_met


def test_a_whole_score_can_be_held_against_a_set():
    score = make_score(make_part("D5 F#5 A5 D5 | G5 E5 A5*2 | D5*4", fifths=2), time="4/4")
    found = {each.limit: each for each in check_score("uil-orchestra-1", score)}
    assert found["concert_keys"].is_met
    assert found["minutes"].is_met


def test_a_director_can_add_a_set(tmp_path):
    (tmp_path / "mine.toml").write_text('[[set]]\nname = "mine"\nmeters = ["3/4"]\n', encoding="utf-8")
    found = results("mine", "Bb4*4", folder=tmp_path)
    assert not found["meters"].is_met
    assert found["meters"] == LimitResult(Limit.METERS, False, (0,), terms=("4/4",))


@pytest.mark.parametrize(
    "text", ['[[set]]\nname = "x"\nloudness = 3\n', "not = [toml", '[[set]]\nmeters = ["2/4"]\n']
)
def test_a_file_that_is_no_criteria_is_refused_by_name(tmp_path, text):
    (tmp_path / "odd.toml").write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=r"odd\.toml"):
        list_sets(tmp_path)


def test_an_unknown_set_names_those_there_are():
    with pytest.raises(NotFoundError, match="fba-md"):
        results("nothing", "C5*4")


def test_every_set_states_its_source():
    assert all(each.source and each.limits for each in list_sets())


def test_every_limit_has_a_rule():
    assert set(RULES) == set(Limit)
