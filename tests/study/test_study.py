"""The whole study: its order, its JSON, and scores that are odd."""

import json
from dataclasses import replace
from fractions import Fraction

import pytest

from planner.adapters.scores.reader import read_score
from planner.core.fact import Fact, FactKind, Topic, in_reading_order
from planner.core.pitch import Pitch
from planner.core.profile import profile_from_json, profile_to_json
from planner.core.score import Creator, Measure, Note, Part, Score, TimeSignature
from planner.errors import PlannerError
from planner.study.study import study, with_distinct_names
from planner.wording.study.sentences import statements_of
from planner.wording.study_json import study_to_dict
from planner.wording.study_text import study_to_text
from tests.builders import make_part, make_score
from tests.checks import some
from tests.reference import reference_data

DUO = (
    make_part("C4 D4 E4 F4 | G4 A4 B4 C5 | G4*2 E4 C4 | C4*4"),
    make_part("C3*4 | G2*4 | C3*2 G2*2 | C3*4", name="Tuba", instrument="tuba", clef=("F", 4)),
)


def contract(profile):
    return json.loads(json.dumps(study_to_dict(profile)))


def test_the_json_has_every_key_of_the_contract():
    data = contract(study(make_score(*DUO)))
    assert (data["format"], data["version"]) == ("piece-profile", 1)
    assert set(data) >= {
        "format", "version", "title", "creators", "measures", "meters", "roadmap", "home_key", "keys",
        "harmony", "tempo_bpm", "playing_seconds", "level", "parts", "issues", "form", "cadences", "phrases",
        "expression", "excerpts",
    }  # fmt: skip
    assert data["meters"][0]["measure"] == 0
    assert data["meters"][0]["time"] == "4/4"
    assert data["meters"][0]["grouping"] == [1, 1, 1, 1]
    assert data["roadmap"]["play_order"] == [0, 1, 2, 3]
    assert data["home_key"] == "C major"
    assert data["keys"][0]["key"] == "C major"
    assert set(data["harmony"][0]) >= {"measure", "offset_quarters", "function", "root"}
    assert set(data["tempo_bpm"]) >= {"marked", "unit", "reading"}
    assert all(set(each) >= {"measure", "quarter_bpm", "first_reading"} for each in some(data["tempos"]))
    assert data["tempos"][0]["measure"] == 0
    part = data["parts"][0]
    assert set(part) >= {
        "name", "instrument", "transposition_semitones", "notes", "written_range", "sounding_range", "level",
        "contributions", "spots", "accidentals", "dynamics", "articulations", "patterns",
    }  # fmt: skip
    assert part["notes"] == 12
    assert part["written_range"] == ["C4", "C5"]
    assert set(part["contributions"][0]) >= {"name", "level", "weight", "why"}


def test_the_profile_reads_back_and_the_same_score_gives_the_same_bytes():
    profile = study(make_score(*DUO))
    text = profile_to_json(profile)
    assert profile_from_json(text) == profile
    assert profile_to_json(study(make_score(*DUO))) == text


def test_chords_count_each_head_and_ties_and_grace_notes_do_not():
    part = make_part("C4+E4+G4*2~ C4+E4+G4*2 | D4*4")
    grace = Note(1, Fraction(0), Fraction(0), Pitch.parse("C4"), is_grace=True)
    score = make_score(replace(part, notes=(*part.notes, grace)))
    assert study(score).parts[0].notes == 4


def test_facts_come_by_topic_then_part_then_place():
    found = [
        Fact(FactKind.PLAYING_TIME),
        Fact(FactKind.SPOT, "B", ((2, 2),)),
        Fact(FactKind.SPOT, "A", ((9, 9),)),
        Fact(FactKind.SPOT, "A", ((1, 1),)),
        Fact(FactKind.METER),
    ]
    ordered = in_reading_order(found, ("A", "B"))
    assert [found.index(fact) for fact in ordered] == [4, 3, 2, 1, 0]


def test_every_statement_has_a_known_topic_and_part_and_place():
    profile = study(make_score(*DUO))
    names = {part.name for part in profile.parts} | {""}
    for statement in some(statements_of(profile)):
        assert statement.topic in set(Topic)
        assert statement.part in names
        assert statement.measure is None or 0 <= statement.measure < profile.measures
        assert statement.sentence[-1] in ".!"


def test_parts_of_one_name_are_told_apart():
    parts = [make_part("C4*4", name=name) for name in ("Violin", "Violin", "", "Cello")]
    score = with_distinct_names(make_score(*parts))
    assert [part.name for part in score.parts] == ["Violin (1)", "Violin (2)", "Part (1)", "Cello"]


FOUR = TimeSignature((((4,), 4),))
FREE = TimeSignature((), "free")


def bars(count, time=FOUR, length=4):
    return tuple(Measure(n, str(n + 1), Fraction(length * n), Fraction(length), time) for n in range(count))


def drum(measure):
    return Note(measure, Fraction(0), Fraction(4), unpitched=Pitch.parse("C5"), percussion="Snare Drum")


ODD = {
    "no measures and no parts": Score("", (), ()),
    "measures without parts": Score("", bars(3), ()),
    "a part without notes": Score("", bars(3), (Part("P1", "Flute"),)),
    "one bar with one note": make_score(make_part("C4*4")),
    "rests only": make_score(make_part("r*4 | r*4")),
    "free time": Score(
        "",
        bars(2, FREE),
        (Part("P1", "Flute", notes=(Note(0, Fraction(0), Fraction(4), Pitch.parse("C4")),)),),
    ),
    "unpitched only": Score("", bars(2), (Part("P1", "Drums", notes=(drum(0), drum(1))),)),
    "measures of no length": Score("", bars(2, FREE, 0), (Part("P1", "Flute"),)),
    "a single grace note": Score(
        "",
        bars(1),
        (Part("P1", "Flute", notes=(Note(0, Fraction(0), Fraction(0), Pitch.parse("C4"), is_grace=True),)),),
    ),
    "an absurd signature": Score("", bars(2, TimeSignature((((97,), 64),))), (make_part("C4*4 | D4*4"),)),
    "quarter tones": Score(
        "",
        bars(1),
        (Part("P1", "Oud", notes=(Note(0, Fraction(0), Fraction(4), Pitch("E", 4, Fraction(-1, 2))),)),),
    ),
}


@pytest.mark.parametrize("name", ODD)
def test_odd_scores_are_studied_without_a_crash(name):
    profile = study(ODD[name])
    assert profile_from_json(profile_to_json(profile)) == profile
    assert study_to_text(profile)


def test_a_creator_that_is_a_web_address_is_nobody_who_wrote_the_music():
    creators = (
        Creator("composer", "Ada Weir"), Creator("arranger", "Keyed in from https://example.org/scores/1"),
        Creator("arranger", "T. Ash"),
    )  # fmt: skip
    found = study(replace(make_score(make_part("C4 D4 E4 F4")), creators=creators))
    assert (found.composer, found.arranger) == ("Ada Weir", "T. Ash")


def test_a_score_with_nothing_to_play_says_so():
    assert [i.slug for i in study(ODD["no measures and no parts"]).issues] == ["no-measures"]
    assert "no-notes" in [i.slug for i in study(ODD["rests only"]).issues]


def test_awkward_files_that_can_be_read_can_be_studied():
    studied = 0
    for path in sorted((reference_data() / "robustness").rglob("*")):
        if path.suffix not in (".xml", ".musicxml", ".mxl") or path.stat().st_size > 60_000:
            continue
        try:
            score = read_score(path)
        except PlannerError:
            continue
        assert study_to_text(study(score))
        studied += 1
    assert studied >= 30
