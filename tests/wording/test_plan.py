"""Why a piece stands on its day, in words."""

from datetime import date

from planner.core.difficulty import Measured, Quantity
from planner.core.ensemble import Section
from planner.core.fact import named
from planner.core.profile import Contribution
from planner.core.term import Plan, Reason, ReasonKind, Slot
from planner.wording.director.plan import proof_text, slot_reasons

SECTIONS = (Section(7, "Horn", "horn-f"),)


def words(*reasons):
    return slot_reasons(Slot(date(2026, 9, 8), 0, 3, "rhythm", reasons=reasons), SECTIONS)


def test_each_kind_of_reason_has_its_sentence():
    evidence = Contribution("rhythm", 2.0, 0.1, (Measured(Quantity.SYNCOPATED_NOTES, 0.25),))
    time = named(minutes=9.0, available=10.0)
    assert words(
        Reason(ReasonKind.PINNED),
        Reason(ReasonKind.LEVEL, named(level=2.04, target=1.96)),
        Reason(ReasonKind.TRAINS, named(named=3), evidence=evidence),
        Reason(ReasonKind.FEATURES, section_id=7, last_on=date(2026, 9, 1)),
        Reason(ReasonKind.HARDEST, named(share=0.776), section_id=7),
        Reason(ReasonKind.TIME, time),
        Reason(ReasonKind.PASSAGE, time, bars=("9", "24a")),
    ) == (
        "You put it on this day.",
        "Level 2.0; the term should stand at 2.0 by then.",
        "Trains rhythm (25% of the notes syncopated or tied). It was named as a problem three times.",
        "Features Horn, last featured on September 1.",
        "Hardest for Horn: about 78% of the bars right at first sight.",
        "Takes 9 of the day's 10 minutes.",
        "Bars 9 to 24a take 9 of the day's 10 minutes; the whole piece would not fit.",
    )


def test_a_skill_named_once_or_never_and_a_first_feature_say_less():
    assert words(Reason(ReasonKind.TRAINS, named(named=1)), Reason(ReasonKind.FEATURES, section_id=7)) == (
        "Trains rhythm.",
        "Features Horn, for the first time this term.",
    )


def test_a_section_that_is_gone_is_not_spoken_of():
    assert words(Reason(ReasonKind.HARDEST, named(share=0.8), section_id=8)) == ()


def test_how_good_a_plan_is_known_to_be():
    assert proof_text(Plan(1, (), cost=100.0, bound=100.0, is_proven=True)) == (
        "When it was made, no plan was better by the planning rules."
    )
    assert proof_text(Plan(1, (), cost=100.0, bound=97.0)) == (
        "When it was made, it met every planning rule; a better plan could cost at most 3.0% less."
    )
