"""Hard places: each kind of challenge is found where it is planted, with its values, and none elsewhere."""

from dataclasses import replace
from fractions import Fraction

import pytest

from planner.core.difficulty import FOCUSES, ChallengeKind
from planner.core.fact import FactKind
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


def kinds_at(spots, measure):
    return {kind for s in spots if s.measure <= measure <= s.end_measure for kind in s.kinds}


def only(spots, kind):
    """The one challenge of a kind."""
    [found] = [each for spot in spots for each in spot.challenges if each.kind == kind]
    return found


def test_plain_music_has_no_spots():
    assert spots_of(tune(*[PLAIN] * 16)) == ()


@pytest.mark.parametrize(
    ("bar", "kind", "bpm"),
    [
        ("C5 A5 C5 D5", ChallengeKind.WIDE_LEAP, 100),
        ("C5*1/2 D5 E5 F5 G5*1/2", ChallengeKind.SYNCOPATION, 100),
        ("C5*1/4 D5*1/4 E5*1/4 F5*1/4 G5*1/4 F5*1/4 E5*1/4 D5*1/4 C5*2", ChallengeKind.RUN, 100),
        ("A3*4", ChallengeKind.REGISTER_CHANGE, 100),
    ],
)  # fmt: skip
def test_a_planted_challenge_is_found_in_its_bar(bar, kind, bpm):
    spots = spots_of(tune(*[PLAIN] * 6, bar, *[PLAIN] * 6), bpm=bpm)
    assert kind in kinds_at(spots, 6)
    assert all(s.measure <= 7 and s.end_measure >= 5 for s in spots)


SIXTEENTHS = "C5*1/4 D5*1/4 E5*1/4 F5*1/4 G5*1/4 F5*1/4 E5*1/4 D5*1/4"


def runs_in(*bars, bpm=100):
    spots = spots_of(tune(PLAIN, *bars, PLAIN, PLAIN, PLAIN), bpm=bpm)
    return [each for spot in spots for each in spot.challenges if each.kind is ChallengeKind.RUN]


def test_a_run_has_its_notes_their_value_and_its_first_and_last_bar():
    [run] = runs_in(f"C5*2 {SIXTEENTHS}", f"{SIXTEENTHS} C5*2")
    assert (run.measure, run.end_measure, run.terms) == (1, 2, ())
    assert (run.number("notes"), run.number("quarters")) == (16, 0.25)


@pytest.mark.parametrize(
    "bar",
    [
        "C5*1/4 D5*1/8 E5*1/8 F5*1/4 G5*1/8 F5*1/8 E5*1/4 D5*1/8 E5*1/8 C5*2",
        "C5*1/4 r*1/4 E5*1/4 r*1/4 G5*1/4 r*1/4 E5*1/4 r*1/4 C5*2",
        "C5*1/4 C5*1/4 C5*1/4 C5*1/4 C5*1/4 C5*1/4 C5*1/4 C5*1/4 C5*2",
        "C5*1/4 D5*1/4 C5*1/4 D5*1/4 C5*1/4 D5*1/4 C5*1/4 D5*1/4 C5*2",
        "C5*1/4 D5*1/4 E5*1/4 F5*1/4 G5*3",
    ],
    ids=["uneven", "with rests", "one note", "a shake", "too short"],
)
def test_what_is_not_even_or_does_not_move_is_no_run(bar):
    assert runs_in(bar) == []


def test_the_same_notes_at_a_slow_tempo_are_no_run():
    assert runs_in(f"{SIXTEENTHS} C5*2", bpm=50) == []


@pytest.mark.parametrize(
    ("bar", "shape"),
    [
        ("C5*1/4 D5*1/4 E5*1/4 F5*1/4 G5*1/4 A5*1/4 B5*1/4 C6*1/4 C5*2", ("scale", "up")),
        ("C6*1/4 B5*1/4 A5*1/4 G5*1/4 F5*1/4 E5*1/4 D5*1/4 C5*1/4 C5*2", ("scale", "down")),
        ("C4*1/4 E4*1/4 G4*1/4 C5*1/4 E5*1/4 G5*1/4 C6*1/4 E6*1/4 C5*2", ("arpeggio", "up")),
        ("C5*1/4 D5*1/4 F5*1/4 G5*1/4 A5*1/4 B5*1/4 C6*1/4 D6*1/4 C5*2", ()),
    ],
)
def test_a_scale_and_an_arpeggio_have_their_names(bar, shape):
    [run] = runs_in(bar)
    assert run.terms == shape


def test_the_spot_of_a_run_reaches_from_its_first_bar_to_its_last():
    spots = spots_of(tune(PLAIN, *[f"{SIXTEENTHS} {SIXTEENTHS}"] * 7, *[PLAIN] * 12))
    assert [(s.measure, s.end_measure) for s in spots if ChallengeKind.RUN in s.kinds] == [(1, 7)]


def test_a_leap_has_the_notes_it_leaves_and_reaches_as_written():
    part = tune(PLAIN, "C5 A5 G5 F5", transposition=Transposition(-1, -2))
    leap = only(spots_of(part), ChallengeKind.WIDE_LEAP)
    assert (leap.measure, leap.notes) == (1, ("C5", "A5"))


def leaps_in(*bars, held=(), articulations=()):
    part = tune(PLAIN, *bars, "G5 F5 E5 D5", PLAIN)
    signs = {"has_fermata": bool(held), "articulations": articulations}
    notes = [
        replace(note, **signs) if str(note.pitch) in (*held, "C5") and note.measure == 1 else note
        for note in part.notes
    ]
    found = spots_of(replace(part, notes=tuple(notes)))
    return [each for spot in found for each in spot.challenges if each.kind is ChallengeKind.WIDE_LEAP]


@pytest.mark.parametrize("parted", ["r*1/2 A5*3/2", "r A5"])
def test_a_leap_across_a_rest_a_hold_or_a_breath_is_none_to_drill(parted):
    assert leaps_in(f"E5 C5 {parted}") == []
    straight = "E5 C5 A5 G5"
    assert [each.notes for each in leaps_in(straight)] == [("C5", "A5")]
    assert leaps_in(straight, held=("C5",)) == []
    assert leaps_in(straight, articulations=("breath-mark",)) == []
    assert leaps_in(straight, articulations=("staccato",)) != []


def test_a_register_that_an_earlier_bar_had_is_no_new_one():
    low, high = "D4 E4 F4 E4", "D5 E5 F5 E5"

    def changes(*bars):
        found = spots_of(tune(*bars))
        return sorted(
            each.measure
            for spot in found
            for each in spot.challenges
            if each.kind is ChallengeKind.REGISTER_CHANGE
        )

    assert changes(low, low, high, high, low, low, high) == [2]
    assert changes(low, low, high, low, "D6 E6 F6 E6") == [2, 4], "higher than ever"
    assert changes("G5 A5 B5 A5", *[high] * 3, low) == [4]


def test_a_triplet_against_eighths_is_a_cross_rhythm_for_the_triplet_only():
    third = "*1/3"
    triplet = tune(PLAIN, f"C5{third} D5{third} E5{third} F5 G5 A5", name="One")
    even = tune(PLAIN, "C4*1/2 D4*1/2 E4 F4 G4", name="Two")
    score = make_score(triplet, even)
    assert ChallengeKind.CROSS_RHYTHM in kinds_at(spots_of(score=score), 1)
    assert ChallengeKind.CROSS_RHYTHM not in kinds_at(spots_of(score=score, index=1), 1)


def test_a_tie_over_the_bar_line_left_off_the_beat():
    spots = spots_of(tune("C5 D5 E5 F5~", "F5*1/2 G5*1/2 A5 G5 F5", PLAIN))
    assert ChallengeKind.TIE_OVER_BAR_LINE in kinds_at(spots, 1)


def test_a_sudden_dynamic_counts_unless_a_hairpin_leads_to_it():
    part = replace(tune(*[PLAIN] * 4), dynamics=(Dynamic(0, Fraction(0), "p"), Dynamic(2, Fraction(0), "ff")))
    assert only(spots_of(part), ChallengeKind.SUDDEN_DYNAMIC).terms == ("p", "ff")
    led = replace(part, hairpins=(Hairpin(1, Fraction(0), "crescendo", 2, Fraction(0)),))
    assert kinds_at(spots_of(led), 2) == set()


def test_a_cluster_of_accidentals_is_named():
    part = tune(PLAIN, "C#5 D#5 E5 F#5", PLAIN)
    notes = tuple(replace(n, accidental="sharp") if n.pitch.alter else n for n in part.notes)
    spots = spots_of(replace(part, notes=notes))
    assert ChallengeKind.ACCIDENTAL_CLUSTER in kinds_at(spots, 1)
    cluster = only(spots, ChallengeKind.ACCIDENTAL_CLUSTER)
    assert (cluster.notes, cluster.number("accidentals")) == (("C#", "D#", "F#"), 3)


@pytest.mark.parametrize(("bar", "fifths"), [("F#5 G5 F#5 F#5", 1), ("F#4 F#5 F#4 F#5", 0)])
def test_signs_of_one_note_or_of_the_signature_are_no_cluster(bar, fifths):
    part = make_part(" | ".join([PLAIN, bar, PLAIN]), fifths=fifths)
    notes = tuple(replace(n, accidental="sharp") if n.pitch.alter else n for n in part.notes)
    assert ChallengeKind.ACCIDENTAL_CLUSTER not in kinds_at(spots_of(replace(part, notes=notes)), 1)


def test_entrances_after_long_rests_and_alone():
    others = tune(*[PLAIN] * 9, "r*1 " + "D5 E5 F5", name="Tutti")
    entrant = tune(*["r*4"] * 9, "C5*4", name="Late")
    score = make_score(others, entrant)
    entrance = only(spots_of(score=score, index=1), ChallengeKind.ENTRANCE_AFTER_REST)
    assert (entrance.measure, entrance.number("bars")) == (9, 9)
    again = tune("C5*4", *["r*4"] * 8, "C5*4", name="Late")
    assert ChallengeKind.EXPOSED_ENTRANCE in kinds_at(spots_of(score=make_score(others, again), index=1), 9)


def after_rest(*parts, index=-1):
    """The one entrance after a long rest of a part, the last unless told."""
    score = make_score(*parts)
    return only(spots_of(score=score, index=index % len(parts)), ChallengeKind.ENTRANCE_AFTER_REST)


LATE = tune(PLAIN, *["r*4"] * 9, PLAIN, name="Late")


def test_the_cue_for_an_entrance_is_who_comes_in_shortly_before():
    tutti = tune(*[PLAIN] * 11, name="Tutti")
    cue = tune(PLAIN, *["r*4"] * 7, PLAIN, PLAIN, PLAIN, name="Cue")
    entrance = after_rest(tutti, cue, LATE)
    assert (entrance.measure, entrance.terms) == (10, ("Cue",))
    assert (entrance.number("bars"), entrance.number("before")) == (9, 2)


def test_without_an_entrance_the_part_that_plays_alone_is_the_cue():
    once = tune(PLAIN, *["r*4"] * 10, name="Once")
    entrance = after_rest(tune(*[PLAIN] * 11, name="Solo"), once, LATE)
    assert (entrance.terms, entrance.number("before")) == (("Solo",), 0)


def test_of_two_parts_the_other_is_no_cue():
    entrance = after_rest(tune(*[PLAIN] * 11, name="Solo"), LATE)
    assert (entrance.terms, entrance.number("before")) == ((), 0)


def test_where_nothing_stands_out_no_cue_is_named():
    entrance = after_rest(*(tune(*[PLAIN] * 11, name=name) for name in ("One", "Two")), LATE)
    assert (entrance.terms, entrance.number("before")) == ((), 0)


def test_a_keyboard_rests_when_both_hands_do():
    right = tune(PLAIN, *["r*4"] * 9, PLAIN).notes
    left = tuple(replace(note, staff=2) for note in tune(*[PLAIN] * 11).notes)
    order = sorted((*right, *left), key=lambda note: (note.measure, note.onset_quarters, note.staff))
    keyboard = replace(tune(PLAIN, name="Piano", instrument="piano"), staves=2, notes=tuple(order))
    spots = spots_of(tune(*[PLAIN] * 11), keyboard, index=1)
    assert all(ChallengeKind.ENTRANCE_AFTER_REST not in spot.kinds for spot in spots)


def test_a_pickup_is_not_counted_as_a_bar_of_rest():
    score = make_score(tune(*[PLAIN] * 10), tune(*["r*4"] * 9, "C5*4", name="Late"))
    measures = tuple(replace(m, implicit=m.index == 0) for m in score.measures)
    entrance = only(
        spots_of(score=replace(score, measures=measures), index=1), ChallengeKind.ENTRANCE_AFTER_REST
    )
    assert entrance.number("bars") == 8


def test_every_entrance_after_a_long_rest_is_a_spot_beside_harder_ones():
    hard = "C4*1/2 A5 C4 A5 C4*1/2"
    bars = [*[PLAIN, hard, PLAIN] * 8, *[*["r*4"] * 9, PLAIN] * 3]
    spots = spots_of(tune(*[PLAIN] * len(bars)), tune(*bars, name="Two"), index=1)
    entrances = [spot.measure for spot in spots if ChallengeKind.ENTRANCE_AFTER_REST in spot.kinds]
    assert sorted(entrances) == [33, 43, 53]
    assert len(spots) == MOST_SPOTS + 3


def test_too_little_time_for_a_mute():
    part = replace(tune(PLAIN, PLAIN), words=(Words(1, Fraction(0), "con sord."),))
    assert ChallengeKind.QUICK_CHANGE in kinds_at(spots_of(part), 1)
    rested = replace(tune(PLAIN, "r*4", "r*4", PLAIN), words=(Words(3, Fraction(0), "con sord."),))
    assert ChallengeKind.QUICK_CHANGE not in kinds_at(spots_of(rested), 3)


def test_new_meters_and_signatures_are_seen_together():
    part = replace(tune(*[PLAIN] * 4), keys=(KeySignature(0, 0), KeySignature(2, -3)))
    score = make_score(part)
    three = TimeSignature((((3,), 4),))
    measures = tuple(
        replace(m, time=three, time_changes=m.index == 2) if m.index >= 2 else m for m in score.measures
    )
    spots = spots_of(score=replace(score, measures=measures))
    assert kinds_at(spots, 2) == {ChallengeKind.METER_CHANGE, ChallengeKind.KEY_CHANGE}
    assert only(spots, ChallengeKind.METER_CHANGE).terms == ("3/4",)
    assert only(spots, ChallengeKind.KEY_CHANGE).number("fifths") == -3


def test_break_crossings_of_a_clarinet_are_spots_at_speed():
    part = tune(PLAIN, "A4*1/2 B4*1/2 A4*1/2 B4*1/2 A4*1/2 B4*1/2 A4", PLAIN, instrument="clarinet-bflat",
                transposition=Transposition(-1, -2))  # fmt: skip
    crossing = only(spots_of(part), ChallengeKind.BREAK_CROSSING)
    assert (crossing.measure, crossing.number("times")) == (1, 6)


def test_there_are_never_more_than_a_player_can_look_at_and_the_hardest_comes_first():
    hard = "C4*1/2 A5 C4 A5 C4*1/2"
    spots = spots_of(tune(*[PLAIN, hard, PLAIN] * 12))
    assert len(spots) <= MOST_SPOTS
    assert [s.weight for s in spots] == sorted((s.weight for s in spots), reverse=True)
    taken = [m for s in spots for m in range(s.measure, s.end_measure + 1)]
    assert len(taken) == len(set(taken))


def test_each_spot_is_a_fact_and_heavier_spots_are_heavier_facts():
    score = make_score(tune(PLAIN, "C5 A5 G5 F5", PLAIN, PLAIN, "C4*1/2 A5 C4 A5 C4*1/2", PLAIN))
    found = find_spots(columns_of(score), facts_for(score))
    of_spots = [fact for fact in found.facts if fact.kind is FactKind.SPOT]
    for fact, spot in zip(of_spots, found.by_part[0], strict=True):
        assert (fact.kind, fact.part) == (FactKind.SPOT, "Flute")
        assert fact.places == ((spot.measure, spot.end_measure),)
        assert fact.terms == spot.kinds
    assert of_spots[0].weight > of_spots[1].weight
    assert found.weights[0][1] > found.weights[0][0]


def test_a_kind_of_challenge_that_leads_no_spot_is_a_fact_of_its_own():
    score = make_score(tune(PLAIN, "C5 A5 G5 F5", PLAIN, PLAIN, "C4*1/2 A5 C4 A5 C4*1/2", PLAIN))
    found = find_spots(columns_of(score), facts_for(score))
    led = {spot.kinds[0] for spot in found.by_part[0]}
    others = [fact for fact in found.facts if fact.kind is FactKind.CHALLENGE]
    assert [(fact.places, fact.terms) for fact in others] == [(((4, 4),), (ChallengeKind.SYNCOPATION.value,))]
    assert not led & {kind for kind in ChallengeKind if kind.value in others[0].terms}


def test_every_kind_of_challenge_trains_a_skill_that_a_slot_can_train():
    assert {kind.skill.value for kind in ChallengeKind} <= set(FOCUSES)
