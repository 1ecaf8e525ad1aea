"""The JSON form of a study."""

import json
from dataclasses import replace

import pytest

from planner.core.difficulty import Challenge, ChallengeKind
from planner.core.fact import Fact, FactKind
from planner.core.profile import (
    HarmonySpan,
    PartProfile,
    Pattern,
    PatternKind,
    Spot,
    profile_from_json,
    profile_to_dict,
    profile_to_json,
)
from tests.fakes import make_profile

LEAP = Challenge(1, ChallengeKind.WIDE_LEAP, 0.9, notes=("C4", "Bb4"))
RUN = Challenge(1, ChallengeKind.RUN, 0.5, 2, numbers=(("notes", 9),))
RICH = make_profile(
    harmony=(HarmonySpan(0, 0.5, "tonic", "Bb", "major"),),
    parts=(
        PartProfile(
            "Horn", "horn-f", -7, 3, ("C4", "G5"), None, None, level_error=0.25,
            spots=(Spot(1, (LEAP, RUN), None, 0.5),),
            patterns=(Pattern(PatternKind.REPEAT, ((0, 1), (4, 5)), 0.5, ("Tuba",)),),
        ),
    ),
    facts=(Fact(FactKind.HOME_KEY, places=((0, 0),), keys=("Bb major",), weight=0.8),),
)  # fmt: skip


def test_a_profile_comes_back_from_its_json():
    assert profile_from_json(profile_to_json(RICH)) == RICH


def test_format_and_version_come_first():
    assert list(profile_to_dict(RICH))[:2] == ["format", "version"]
    assert profile_to_json(RICH).startswith('{"format":"piece-profile","version":1,"title":"Rondo"')


def test_fields_of_a_later_program_are_passed_over_and_missing_ones_take_their_default():
    data = json.loads(profile_to_json(RICH))
    data["colour"] = "blue"
    data["parts"][0]["colour"] = {"deep": ["blue"]}
    del data["form"], data["parts"][0]["patterns"]
    bare = replace(RICH, parts=(replace(RICH.parts[0], patterns=()),))
    assert profile_from_json(json.dumps(data)) == bare


def test_a_profile_stored_when_sentences_were_still_stored_is_read():
    data = json.loads(profile_to_json(RICH))
    data["statements"] = [
        {"topic": "key", "sentence": "It stays in B♭ major.", "part": "", "measure": 0, "end_measure": None}
    ]
    assert profile_from_json(json.dumps(data)) == RICH
    assert profile_from_json(json.dumps(data), is_old=True) == RICH


def test_facts_for_a_part_come_in_reading_order_and_leave_out_what_is_about_others():
    tempo, home = Fact(FactKind.TEMPO), Fact(FactKind.HOME_KEY)
    mine, other = Fact(FactKind.SPOT, "Horn", ((3, 3),)), Fact(FactKind.SPOT, "Tuba", ((1, 1),))
    profile = replace(RICH, facts=(tempo, other, mine, home))
    assert profile.facts_for("", "Horn") == (home, mine, tempo)
    assert profile.facts_for("Tuba") == (other,)


@pytest.mark.parametrize("changes", [{"format": "recipe"}, {"version": 2}])
def test_another_format_or_version_is_refused(changes):
    with pytest.raises(ValueError, match="not a piece-profile of this version"):
        profile_from_json(json.dumps({**json.loads(profile_to_json(RICH)), **changes}))


def test_a_part_is_found_by_its_name():
    assert RICH.part("Horn") is RICH.parts[0]
    with pytest.raises(KeyError):
        RICH.part("Oboe")


def test_of_an_older_study_what_can_be_read_is_kept():
    profile = make_profile("Rondo", harmony=RICH.harmony)
    data = json.loads(profile_to_json(profile))
    data["facts"] = [{"kind": "a kind this program no longer has"}]
    data["harmony"].append({"measure": 4})
    data["tempo_bpm"]["gone"] = 1
    text = json.dumps(data)
    with pytest.raises((TypeError, ValueError)):
        profile_from_json(text)
    read = profile_from_json(text, is_old=True)
    assert read.facts == ()
    assert replace(read, facts=profile.facts) == profile


def test_an_older_study_of_too_different_a_shape_is_refused():
    data = json.loads(profile_to_json(make_profile()))
    data["roadmap"] = "straight through"
    with pytest.raises(ValueError, match="older study"):
        profile_from_json(json.dumps(data), is_old=True)
