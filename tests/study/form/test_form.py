from fractions import Fraction
from itertools import pairwise

import pytest

from planner.core.fact import Fact, FactKind, named
from planner.core.score import RoadmapMark
from planner.study.form.form import find_form
from planner.study.form.phrases import find_phrases, length_in_bars
from planner.study.notes.columns import columns_of
from tests.builders import make_part, make_score

A = "C5 E5 G5 E5 | F5 E5 D5*2 | E5 D5 C5 B4 | C5*4"
B = "A4*2 C5*2 | B4*3/2 A4*1/2 G4*2 | A4*2 F4*2 | G4*4"
A_VARIED = "C5 E5 G5 E5 | F5 E5 D5*2 | E5 D5 E5 F5 | G5*2 C5*2"


def form_of(*music, marks=()):
    columns = columns_of(make_score(make_part(" | ".join(music)), marks=marks))
    return find_form(columns)


def sections_at(*measures):
    return tuple(RoadmapMark("repeat-start", measure) for measure in measures)


def labels(study):
    return [section.label for section in study.sections]


def facts(study, kind):
    return [fact for fact in study.facts if fact.kind is kind]


def test_equal_sections_share_a_letter_and_others_do_not():
    assert labels(form_of(A, A, B, A, marks=sections_at(4, 8, 12))) == ["A", "A", "B", "A"]


def test_a_varied_section_gets_a_prime():
    assert labels(form_of(A, B, A_VARIED, marks=sections_at(4, 8))) == ["A", "B", "A′"]


def test_a_section_with_mostly_the_middle_of_an_earlier_one_is_no_new_one():
    other = "D5*2 B4*2 | C5*3 A4 | B4 D5 G4 F4 | E4*4"
    lead, new = "G5*4 | F5*2 D5*2", "E4*2 F4*2 | D4*4 | F4 D4 B3*2 | A3*4 | G4 B3 C4*2 | D4*2 B3*2"
    assert labels(form_of(A, B, other, lead, B, other, marks=sections_at(12))) == ["A", "A′"]
    assert labels(form_of(A, B, other, lead, new, marks=sections_at(12))) == ["A", "B"]


def test_sections_cover_the_score_without_gap():
    sections = form_of(A, B, A, marks=sections_at(4, 8)).sections
    assert sections[0].measure == 0
    assert sections[-1].end_measure == 11
    assert all(one.end_measure + 1 == two.measure for one, two in pairwise(sections))


def test_the_return_of_the_opening_is_a_fact():
    study = form_of(A, B, B, A)
    assert facts(study, FactKind.OPENING_RETURNS) == [
        Fact(FactKind.OPENING_RETURNS, places=((12, 15),), weight=0.6)
    ]
    assert study.sections[-1].measure == 12


def test_an_opening_that_comes_back_varied_does_not_return():
    assert facts(form_of(A, B, A_VARIED), FactKind.OPENING_RETURNS) == []


def test_phrases_of_four_bars_are_heard_as_such():
    study = form_of(A, B, A, B)
    assert [(p.measure, p.end_measure) for p in study.phrases] == [(0, 3), (4, 7), (8, 11), (12, 15)]
    assert [fact.numbers for fact in facts(study, FactKind.PHRASES)] == [
        (*named(phrases=4, usual=4, alike=4), *[("length", 4)] * 4)
    ]


def test_a_phrase_never_runs_over_a_section():
    columns = columns_of(make_score(make_part(" | ".join([A, B]))))
    assert 3 in {phrase.measure for phrase in find_phrases(columns, [0, 3])}


def test_a_rest_ends_a_phrase():
    running, resting = "C5 D5 E5 F5", "G4 B4 C5 r"
    music = " | ".join([*[running] * 4, resting, *[running] * 4, resting])
    phrases = find_phrases(columns_of(make_score(make_part(music))), [0])
    assert {4, 9} <= {phrase.end_measure for phrase in phrases}


@pytest.mark.parametrize("upbeat", ["", "G4 | "])
def test_an_upbeat_is_no_bar_of_its_phrase(upbeat):
    columns = columns_of(make_score(make_part(upbeat + " | ".join([A, B, A, B]))))
    phrases = find_phrases(columns, [0])
    assert [length_in_bars(columns, phrase) for phrase in phrases] == [4, 4, 4, 4]


def test_a_strain_stated_twice_is_two_sections():
    sections = form_of(A, B, A, B, A_VARIED, A_VARIED).sections
    assert [(each.label, each.measure) for each in sections][:2] == [("A", 0), ("A", 8)]


def test_a_tune_that_goes_to_another_part_is_the_same_section():
    tune, pad = " | ".join([A, B]), " | ".join(["C4*4 | D4*4 | E4*4 | G4*4"] * 2)
    flute, horn = make_part(f"{tune} | {pad}", name="Flute"), make_part(f"{pad} | {tune}", name="Horn")
    columns = columns_of(make_score(flute, horn, marks=sections_at(8)))
    assert [each.label for each in find_form(columns).sections] == ["A", "A"]


def test_the_same_accompaniment_does_not_make_the_same_section():
    other = "G5*3 F5 | E5*3 D5 | C5 D5 E5 F5 | G5*2 E5*2 | A5*3 G5 | F5*3 E5 | D5 E5 F5 D5 | C5*4"
    vamp = " | ".join(["C3 G3 E3 G3"] * 16)
    tunes = make_part(f"{A} | {B} | {other}", name="Flute")
    columns = columns_of(make_score(tunes, make_part(vamp, name="Tuba"), marks=sections_at(8)))
    assert [each.label for each in find_form(columns).sections] == ["A", "B"]


@pytest.mark.parametrize("bars", [1, 2, 3])
def test_a_tiny_score_has_one_section(bars):
    study = form_of(*["C4 D4 E4 F4"] * bars)
    assert [(s.measure, s.end_measure) for s in study.sections] == [(0, bars - 1)]


def phrases_fact(*lengths):
    """The fact about a tune of phrases of so many bars, each of which ends with a rest of all."""
    phrase = "C5 E5 G5 E5 | F5 E5 D5 B4 | " * 6
    bars = [" | ".join([*phrase.split(" | ")[: length - 1], "C5*2 r*2"]) for length in lengths]
    return facts(form_of(*bars), FactKind.PHRASES)


def test_phrase_lengths_are_a_fact_where_most_have_one_or_all_make_a_short_line():
    [mostly] = phrases_fact(*[4] * 8, 3)
    assert (mostly.number("phrases"), mostly.number("usual"), mostly.number("alike")) == (9, 4, 8)
    assert phrases_fact(4, 3, 4, 3)
    assert not phrases_fact(*[4, 3] * 5)


def test_one_section_alone_is_no_fact():
    assert facts(form_of(A), FactKind.SECTIONS) == []


def test_no_more_than_twelve_sections_are_named():
    strains = [A, B] * 7
    found = form_of(*strains, marks=sections_at(*range(4, 4 * len(strains), 4)))
    assert len(found.sections) == 14
    assert [fact.number("shown") for fact in facts(found, FactKind.SECTIONS)] == [12]


def test_a_silent_score_has_no_form():
    study = form_of("r*4", "r*4")
    assert (study.sections, study.phrases) == ((), ())


def test_bars_of_no_length_do_no_harm():
    part = make_part("C4*1/3 D4*1/3 E4*1/3 | F4")
    score = make_score(part)
    assert score.measures[0].length_quarters == Fraction(1)
    columns = columns_of(score)
    assert find_form(columns).sections
