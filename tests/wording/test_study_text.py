"""The study told in plain text."""

from dataclasses import replace

import pytest

from planner.core.issue import Issue
from planner.core.score import RoadmapMark
from planner.errors import NotFoundError
from planner.study.study import study
from planner.wording.study.sentences import statements_of
from planner.wording.study_text import WIDTH, study_to_text
from tests.builders import make_part, make_score


@pytest.fixture(scope="module")
def profile():
    score = make_score(
        make_part("C4 D4 E4 F#4 | G4 A4 B4 C5 | G4*2 E4 C4 | C4*4"),
        make_part("C3*4 | G3*4 | C3*2 G3*2 | C3*4", name="Tuba", instrument="tuba"),
        title="Two Together",
        marks=(RoadmapMark("repeat-end", 3),),
    )
    return study(score)


def test_it_begins_with_title_size_and_key(profile):
    lines = study_to_text(profile).splitlines()
    assert lines[0] == "Two Together"
    assert any("4 bars written; 2 parts; C major" in line for line in lines[:4])


def test_lines_are_at_most_88_wide(profile):
    assert max(len(line) for line in study_to_text(profile).splitlines()) <= WIDTH


def test_every_statement_of_the_profile_is_printed_and_none_is_made_up(profile):
    words = " ".join(study_to_text(profile).split())
    for statement in statements_of(profile):
        assert " ".join(statement.sentence.split()) in words
    bare = replace(profile, facts=())
    assert "Roadmap" not in study_to_text(bare)


def test_for_one_part_only_its_own_lines_and_everyones_are_printed(profile):
    text = study_to_text(profile, "tuba")
    assert "Tuba, level" in text
    assert "Flute, level" not in text
    assert "F♯ first in bar 1" not in text
    assert "back to 1" in text


def test_an_unknown_part_is_refused_with_the_names_there_are(profile):
    with pytest.raises(NotFoundError, match="Flute, Tuba"):
        study_to_text(profile, "Kazoo")


def test_issues_stand_at_the_end_and_only_where_they_belong(profile):
    issues = (Issue("no-notes", "note"), Issue("part-without-music", "warning", "Flute"))
    text = study_to_text(replace(profile, issues=issues), "Tuba")
    assert "note: No part has a note to play" in text
    assert "Flute is in the list of parts" not in text
