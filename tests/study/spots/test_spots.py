"""Hard places: each reason found where it is planted, none elsewhere, and said truly."""

from dataclasses import replace
from fractions import Fraction

import pytest

from planner.core.pitch import Transposition
from planner.core.score import Dynamic, Hairpin, KeySignature, TimeSignature, Words
from planner.study.notes.columns import columns_of
from planner.study.spots.spots import MOST_SPOTS, find_spots
from tests.builders import make_part, make_score
from tests.study.difficulty.levels_help import facts_for

PLAIN = "C5 D5 E5 F5"


def spots_of(*parts, bpm=100.0, index=0, score=None):
    score = score or make_score(*parts)
    return find_spots(columns_of(score), facts_for(score, bpm)).by_part[index]


def tune(*bars, **kwargs):
    return make_part(" | ".join(bars), **kwargs)


def reasons_at(spots, measure):
    return {reason for s in spots if s.measure <= measure <= s.end_measure for reason in s.reasons}


def test_plain_music_has_no_spots():
    assert spots_of(tune(*[PLAIN] * 16)) == ()


@pytest.mark.parametrize(
    ("bar", "reason", "bpm"),
    [
        ("C5 A5 C5 D5", "wide leap", 100), ("C5*1/2 D5 E5 F5 G5*1/2", "syncopation", 100),
        ("C5*1/4 D5*1/4 E5*1/4 F5*1/4 G5*1/4 F5*1/4 E5*1/4 D5*1/4 C5*2", "run", 100),
        ("A3*4", "register change", 100),
    ],
)  # fmt: skip
def test_a_planted_reason_is_found_in_its_bar(bar, reason, bpm):
    spots = spots_of(tune(*[PLAIN] * 6, bar, *[PLAIN] * 6), bpm=bpm)
    assert reason in reasons_at(spots, 6)
    assert all(s.measure <= 7 and s.end_measure >= 5 for s in spots)


def test_the_words_of_a_leap_name_its_interval_and_notes():
    spots = spots_of(tune(PLAIN, "C5 A5 G5 F5"))
    assert spots[0].why == "Bar 2: leap of a sixth up from C5 to A5."


def test_a_triplet_against_eighths_is_a_cross_rhythm_for_the_triplet_only():
    third = "*1/3"
    triplet = tune(PLAIN, f"C5{third} D5{third} E5{third} F5 G5 A5", name="One")
    even = tune(PLAIN, "C4*1/2 D4*1/2 E4 F4 G4", name="Two")
    score = make_score(triplet, even)
    assert "cross-rhythm" in reasons_at(spots_of(score=score), 1)
    assert "cross-rhythm" not in reasons_at(spots_of(score=score, index=1), 1)


def test_a_tie_over_the_bar_line_left_off_the_beat():
    spots = spots_of(tune("C5 D5 E5 F5~", "F5*1/2 G5*1/2 A5 G5 F5", PLAIN))
    assert "tie over the bar line" in reasons_at(spots, 1)


def test_a_sudden_dynamic_counts_unless_a_hairpin_leads_to_it():
    part = replace(tune(*[PLAIN] * 4), dynamics=(Dynamic(0, Fraction(0), "p"), Dynamic(2, Fraction(0), "ff")))
    assert "sudden dynamic" in reasons_at(spots_of(part), 2)
    led = replace(part, hairpins=(Hairpin(1, Fraction(0), "crescendo", 2, Fraction(0)),))
    assert reasons_at(spots_of(led), 2) == set()


def test_a_cluster_of_accidentals_is_named():
    part = tune(PLAIN, "C#5 D#5 E5 F#5", PLAIN)
    notes = tuple(replace(n, accidental="sharp") if n.pitch.alter else n for n in part.notes)
    spots = spots_of(replace(part, notes=notes))
    assert "accidental cluster" in reasons_at(spots, 1)
    assert "C♯, D♯, F♯" in spots[0].why


def test_entrances_after_long_rests_and_alone():
    others = tune(*[PLAIN] * 9, "r*1 " + "D5 E5 F5", name="Tutti")
    entrant = tune(*["r*4"] * 9, "C5*4", name="Late")
    score = make_score(others, entrant)
    assert "entrance after a long rest" in reasons_at(spots_of(score=score, index=1), 9)
    again = tune("C5*4", *["r*4"] * 8, "C5*4", name="Late")
    assert "exposed entrance" in reasons_at(spots_of(score=make_score(others, again), index=1), 9)


def test_too_little_time_for_a_mute():
    part = replace(tune(PLAIN, PLAIN), words=(Words(1, Fraction(0), "con sord."),))
    assert "quick change" in reasons_at(spots_of(part), 1)
    rested = replace(tune(PLAIN, "r*4", "r*4", PLAIN), words=(Words(3, Fraction(0), "con sord."),))
    assert "quick change" not in reasons_at(spots_of(rested), 3)


def test_new_meters_and_signatures_are_seen_together():
    part = replace(tune(*[PLAIN] * 4), keys=(KeySignature(0, 0), KeySignature(2, -3)))
    score = make_score(part)
    three = TimeSignature((((3,), 4),))
    measures = tuple(
        replace(m, time=three, time_changes=m.index == 2) if m.index >= 2 else m for m in score.measures
    )
    found = reasons_at(spots_of(score=replace(score, measures=measures)), 2)
    assert found == {"meter change", "key change"}


def test_break_crossings_of_a_clarinet_are_spots_at_speed():
    part = tune(PLAIN, "A4*1/2 B4*1/2 A4*1/2 B4*1/2 A4*1/2 B4*1/2 A4", PLAIN, instrument="clarinet-bflat",
                transposition=Transposition(-1, -2))  # fmt: skip
    assert "break crossing" in reasons_at(spots_of(part), 1)


def test_there_are_never_more_than_a_player_can_look_at_and_the_hardest_comes_first():
    hard = "C4*1/2 A5 C4 A5 C4*1/2"
    spots = spots_of(tune(*[PLAIN, hard, PLAIN] * 12))
    assert len(spots) <= MOST_SPOTS
    assert [s.weight for s in spots] == sorted((s.weight for s in spots), reverse=True)
    taken = [m for s in spots for m in range(s.measure, s.end_measure + 1)]
    assert len(taken) == len(set(taken))


def test_statements_repeat_the_spots_word_for_word():
    score = make_score(tune(PLAIN, "C5 A5 G5 F5"))
    found = find_spots(columns_of(score), facts_for(score))
    assert [s.sentence for s in found.statements] == [s.why for s in found.by_part[0]]
    assert found.weights[0][1] > found.weights[0][0]
