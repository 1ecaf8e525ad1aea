"""Which facts a guide shows: the heaviest spots and patterns, and always an entrance after a long rest."""

from dataclasses import replace

from planner.core.difficulty import ChallengeKind
from planner.core.fact import Fact, FactKind, Topic
from planner.core.profile import FormSection, Pattern, PatternKind
from planner.services.sheets.guide_topics import facts_shown
from tests.fakes import make_profile

LEAP, ENTRANCE = ChallengeKind.WIDE_LEAP, ChallengeKind.ENTRANCE_AFTER_REST


def shown(topic, *facts):
    profile = make_profile(facts=facts)
    repeats = tuple(Pattern(PatternKind.REPEAT, ((bar, bar), (9, 9))) for bar in range(4))
    part = replace(profile.parts[0], name="Flute", written_range=("C4", "C6"), patterns=repeats)
    profile = replace(profile, parts=(part,))
    return dict(facts_shown(profile, part)).get(topic, ())


def spot(bar, weight, kind=LEAP):
    return Fact(FactKind.SPOT, "Flute", ((bar, bar),), terms=(kind,), weight=weight)


def test_the_heaviest_spots_are_shown_by_bar():
    facts = [spot(bar, weight) for bar, weight in ((1, 0.4), (2, 0.7), (3, 0.2), (4, 0.6))]
    assert [fact.measure for fact in shown(Topic.SPOTS, *facts)] == [1, 2, 4]


def test_an_entrance_after_a_long_rest_is_always_among_them():
    facts = [
        *(spot(bar, 0.7 - bar / 100) for bar in range(4)),
        spot(9, 0.3, ENTRANCE),
        spot(7, 0.4, ENTRANCE),
    ]
    assert [fact.measure for fact in shown(Topic.SPOTS, *facts)] == [0, 1, 7]


def test_an_entrance_among_the_heaviest_takes_nothing_away():
    facts = [spot(1, 0.9, ENTRANCE), spot(2, 0.8), spot(3, 0.7), spot(4, 0.2, ENTRANCE)]
    assert [fact.measure for fact in shown(Topic.SPOTS, *facts)] == [1, 2, 3]


def test_of_patterns_the_heaviest_are_shown_and_not_the_first():
    facts = [
        Fact(FactKind.PATTERN, "Flute", ((bar, bar),), numbers=(("pattern", bar),), weight=weight)
        for bar, weight in enumerate((0.2, 0.5, 0.6, 0.7))
    ]
    assert [fact.measure for fact in shown(Topic.PATTERNS, *facts)] == [1, 2, 3]


def test_a_topic_without_facts_is_left_out():
    assert shown(Topic.PATTERNS, spot(1, 0.5)) == ()


def test_the_meter_stands_before_what_the_part_does_against_it():
    meter = Fact(FactKind.METER, places=((0, 0),), weight=0.9)
    offbeats = Fact(FactKind.OFFBEATS, "Flute", ((4, 8),), weight=0.45)
    assert shown(Topic.METER, offbeats, meter) == (meter, offbeats)


def test_a_tune_that_comes_again_is_shown_beside_the_sections():
    sections = Fact(FactKind.SECTIONS, weight=0.7)
    again = Fact(FactKind.TUNE_RETURNS, places=((4, 8), (12, 16)), weight=0.6)
    assert shown(Topic.FORM, sections, again) == (sections, again)


def returns_shown(*labels):
    sections = tuple(FormSection(label, 8 * at, 8 * at + 7) for at, label in enumerate(labels))
    facts = (
        Fact(FactKind.SECTIONS, numbers=(("shown", len(labels)),)),
        Fact(FactKind.TUNE_RETURNS, places=((0, 7), (15, 23))),
    )
    profile = make_profile(facts=facts, form=sections)
    shown = dict(facts_shown(profile, profile.parts[0]))[Topic.FORM]
    return [fact.kind for fact in shown]


def test_a_tune_that_comes_again_where_the_sections_say_so_is_not_said_twice():
    assert returns_shown("A", "B", "A′") == [FactKind.SECTIONS]
    assert returns_shown("A", "B", "C") == [FactKind.SECTIONS, FactKind.TUNE_RETURNS]
