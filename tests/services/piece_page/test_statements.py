"""The page states what the sheet of a part says, word for word, and where each sentence comes from."""

from string import Formatter

import pytest

from planner.core.difficulty import ChallengeKind
from planner.core.fact import FactKind
from planner.core.profile import PatternKind
from planner.services.piece_page.statements import state_study
from planner.services.piece_page.thresholds import THRESHOLDS
from planner.services.sheets.player.sheet import care_line, sheet_lines
from planner.wording.study.rules import CHALLENGE_RULES, PATTERN_RULES, RULES
from tests.checks import some


@pytest.fixture
def profile(profiles):
    return max(profiles, key=lambda each: len(each.facts))


def sentences(topics):
    return [each.sentence for topic in topics for each in topic.statements]


def test_the_sheet_of_every_part_is_on_the_page_word_for_word(profile):
    for part in some(profile.parts):
        sheet = [line.text for line in sheet_lines(profile, part)]
        assert sentences(state_study(profile, part.name).on_sheet) == [*sheet, care_line(part)]


def test_what_the_sheet_leaves_out_stands_beside_it_and_nothing_twice(profile):
    for part in some(profile.parts):
        stated = state_study(profile, part.name)
        every = sentences([*stated.on_sheet, *stated.beside])
        assert len(set(every)) == len(every)
        assert len(every) >= len({fact.kind for fact in profile.facts_for("", part.name)})


def test_every_sentence_rests_on_something(profile):
    for part in some(["", *(part.name for part in profile.parts)]):
        stated = state_study(profile, part)
        for topic in some([*stated.on_sheet, *stated.beside]):
            for each in some(topic.statements):
                assert each.evidence, each.sentence
                assert all(
                    words[0].isupper() or words[0].isdigit() or words[0] == "f" for words in each.evidence
                )
                assert all(words.endswith(".") for words in each.evidence)


def test_the_whole_score_has_no_sheet(profile):
    stated = state_study(profile)
    assert stated.on_sheet == ()
    assert sentences(stated.beside)


def test_every_kind_has_a_rule_and_every_number_in_it_is_held_by_the_study():
    assert set(RULES) == set(FactKind)
    assert set(PATTERN_RULES) == set(PatternKind)
    assert set(CHALLENGE_RULES) == set(ChallengeKind)
    rules = [*RULES.values(), *PATTERN_RULES.values(), *CHALLENGE_RULES.values()]
    named = {field for rule in rules for _, field, _, _ in Formatter().parse(rule) if field}
    assert named == set(THRESHOLDS)


def test_the_counts_are_those_of_the_passages(profile):
    counted = 0
    for part in some(profile.parts):
        for topic in state_study(profile, part.name).beside:
            for each in topic.statements:
                bars = {at for p in each.passages for at in range(p.place[0], p.place[1] + 1)}
                if len(each.passages) > 1:
                    counted += 1
                    assert f"{len(each.passages)} places, {len(bars)} bar" in " ".join(each.evidence)
    assert counted > 10
