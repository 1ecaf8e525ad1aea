"""All parts in one rhythm; accents off the downbeat; even notes against triplets."""

from dataclasses import replace
from fractions import Fraction

from planner.core.fact import FactKind
from planner.study.notes.columns import columns_of
from planner.study.study import study
from planner.study.time.accents import accent_facts
from planner.study.time.together import together_facts
from tests.builders import make_part, make_score

CHORALE = " | ".join(["C5 D5 E5*2"] * 4)
RUNNING = " | ".join([" ".join(["C5*1/2"] * 8)] * 4)
TRIPLETS = " | ".join([" ".join(["C5*1/3"] * 12)] * 4)


def parts(*music):
    return [make_part(each, name=f"Part {at}") for at, each in enumerate(music)]


def test_parts_that_strike_at_the_same_moments_move_together():
    [fact] = together_facts(columns_of(make_score(*parts(CHORALE, CHORALE, CHORALE))))
    assert (fact.kind, fact.places) == (FactKind.ONE_RHYTHM, ((0, 3),))


def test_a_part_with_a_rhythm_of_its_own_parts_company():
    assert list(together_facts(columns_of(make_score(*parts(CHORALE, CHORALE, RUNNING))))) == []


def test_two_parts_are_too_few():
    assert list(together_facts(columns_of(make_score(*parts(CHORALE, CHORALE))))) == []


def accented(onsets):
    part = make_part(" | ".join(["C5 D5 E5"] * 4))
    notes = [
        replace(note, articulations=("accent",) if note.onset_quarters in onsets else ())
        for note in part.notes
    ]
    return list(accent_facts(make_score(replace(part, notes=tuple(notes)), time="3/4")))


def test_accents_on_the_second_beat_of_every_bar_are_pointed_out():
    [fact] = accented({Fraction(1)})
    assert (fact.places, fact.number("beat")) == (((0, 3),), 2)


def test_accents_on_the_downbeat_as_well_are_not():
    assert accented({Fraction(0), Fraction(1)}) == []


def test_even_notes_against_triplets_are_pointed_out_to_the_even_part_alone():
    profile = study(make_score(*parts(RUNNING, TRIPLETS)))
    [fact] = [fact for fact in profile.facts if fact.kind is FactKind.AGAINST_TRIPLETS]
    assert (fact.part, fact.parts, fact.places) == ("Part 0", ("Part 1",), ((0, 3),))


def offbeats(music, time="2/4"):
    profile = study(make_score(make_part(music), time=time))
    return [fact.places for fact in profile.facts if fact.kind is FactKind.OFFBEATS]


def test_bars_of_offbeats_are_pointed_out_rests_of_a_bar_among_them():
    off = "r*1/2 C5*1/2 r*1/2 C5*1/2"
    assert offbeats(f"C5 C5 | {off} | r*2 | {off} | {off} | C5 C5") == [((1, 4),)]


def test_two_bars_of_offbeats_or_a_note_on_the_beat_between_are_not():
    off = "r*1/2 C5*1/2 r*1/2 C5*1/2"
    assert offbeats(f"C5 C5 | {off} | {off} | C5 C5 | {off} | C5 C5") == []


def test_a_figure_after_a_rest_is_no_offbeat():
    figure = "r*1/2 C5*1/2 D5*1/2 E5*1/2"
    assert offbeats(f"{figure} | {figure} | {figure} | {figure}", time="2/2") == []
