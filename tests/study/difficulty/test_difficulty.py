"""Levels: laws that must hold whatever the weights, and what is said of them."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.core.difficulty import DIMENSIONS, Quantity
from planner.core.pitch import CONCERT, Transposition
from planner.core.score import KeySignature
from planner.study.difficulty.difficulty import measure_dimensions, rate
from planner.study.difficulty.evidence import gather
from planner.study.difficulty.together import shares_together
from planner.study.difficulty.weights import scale_of
from planner.study.notes.columns import columns_of
from tests.builders import make_part, make_score
from tests.study.difficulty.levels_help import facts_for

from dataclasses import replace  # isort: skip
from tests.checks import some

SCALE = ["C4", "D4", "E4", "F4", "G4", "A4", "B4", "C5", "D5", "E5", "F5", "G5", "A5"]
BARS = {
    "plain": ["1", "1", "1", "1"], "halves": ["2", "2"], "eighths": ["1/2"] * 4 + ["1", "1"],
    "dotted": ["3/2", "1/2", "1", "1"], "sixteenths": ["1/4"] * 4 + ["1", "1", "1"], "long": ["4"],
}  # fmt: skip
SYNCOPATED = ["1/2", "1", "1", "1", "1/2"]


def bar(lengths, pitches):
    return " ".join(f"{p}*{length}" for p, length in zip(pitches, lengths, strict=False))


@st.composite
def tunes(draw, bars=8):
    """A tune of some bars, as a list of bars of (pitch, length)."""
    tune, at = [], draw(st.integers(2, 8))
    for _ in range(bars):
        lengths = BARS[draw(st.sampled_from(sorted(BARS)))]
        pitches = []
        for _ in lengths:
            at = min(len(SCALE) - 1, max(0, at + draw(st.integers(-2, 2))))
            pitches.append(SCALE[at])
        tune.append((lengths, pitches))
    return tune


def music_of(tune):
    return " | ".join(bar(lengths, pitches) for lengths, pitches in tune)


def rated(music, bpm=100.0, *, instrument="flute", **kwargs):
    score = make_score(make_part(music, instrument=instrument, **kwargs))
    return rate(columns_of(score), facts_for(score, bpm))


def level_of(music, bpm=100.0, **kwargs):
    return rated(music, bpm, **kwargs).parts[0].level


FEW = settings(max_examples=12, deadline=None, derandomize=True)


@FEW
@given(tunes(), st.floats(40, 200), st.floats(1.0, 2.0))
def test_faster_is_not_easier(tune, bpm, faster):
    music = music_of(tune)
    assert level_of(music, bpm) <= level_of(music, bpm * faster)


def dimension(found, name):
    return next(each.level for each in found.parts[0].contributions if each.name == name)


@FEW
@given(tunes(), st.data())
def test_more_syncopation_is_not_easier(tune, data):
    order = data.draw(st.permutations(range(len(tune))))
    plain = [(BARS["plain"], (pitches * 4)[:4]) for _, pitches in tune]
    first = before = rated(music_of(plain))
    for at in some(order):
        plain[at] = (SYNCOPATED, [*plain[at][1], plain[at][1][0]])
        after = rated(music_of(plain))
        for name in ("syncopation", "rhythm"):
            assert dimension(after, name) >= dimension(before, name)
        before = after
    assert before.parts[0].level >= first.parts[0].level


@FEW
@given(tunes(), st.integers(1, 7))
def test_more_sharps_or_flats_are_not_easier(tune, fifths):
    music = music_of(tune)
    for sign in (1, -1):
        levels = [
            rated(music, fifths=sign * n, instrument="", transposition=CONCERT).parts[0].level
            for n in range(fifths + 1)
        ]
        assert levels == sorted(levels)


@FEW
@given(tunes(), st.data())
def test_more_printed_accidentals_are_not_easier(tune, data):
    part = make_part(music_of(tune))
    marked = data.draw(st.sets(st.integers(0, len(part.notes) - 1), max_size=12))
    before = 0.0
    for count in range(len(marked) + 1):
        chosen = sorted(marked)[:count]
        notes = tuple(
            replace(n, accidental="sharp") if at in chosen else n for at, n in enumerate(part.notes)
        )
        score = make_score(replace(part, notes=notes))
        after = rate(columns_of(score), facts_for(score)).parts[0].level
        assert after >= before
        before = after


@FEW
@given(tunes(), st.integers(1, 6))
def test_more_keys_are_not_easier(tune, changes):
    part = make_part(music_of(tune), instrument="")
    levels = []
    for count in range(changes + 1):
        keys = tuple(KeySignature(at, 2 if at % 2 else -2) for at in range(count + 1))
        score = make_score(replace(part, keys=keys))
        levels.append(dimension(rate(columns_of(score), facts_for(score)), "key"))
    assert levels == sorted(levels)


@FEW
@given(tunes(), st.integers(0, 7), st.sampled_from(["D6", "A6", "C7"]))
def test_a_wider_range_is_not_easier(tune, at, high):
    lengths, pitches = tune[at]
    wider = [*tune]
    wider[at] = (lengths, [high, *pitches[1:]])
    for instrument in ("flute", ""):
        assert level_of(music_of(wider), instrument=instrument) >= level_of(
            music_of(tune), instrument=instrument
        )


@FEW
@given(tunes(), st.integers(0, 7), st.integers(1, 4))
def test_rests_before_an_entrance_do_not_make_it_easier(tune, at, bars):
    music = music_of(tune).split(" | ")
    before = level_of(" | ".join(music))
    rested = [*music[:at], *["r*4"] * bars, *music[at:]]
    assert level_of(" | ".join(rested)) >= before
    longer = [*music[:at], *["r*4"] * (bars + 4), *music[at:]]
    assert level_of(" | ".join(longer)) >= level_of(" | ".join(rested))


@FEW
@given(tunes())
def test_another_key_of_the_same_instrument_changes_only_range_and_key(tune):
    music = music_of(tune)

    def dims(instrument, transposition):
        score = make_score(make_part(music, instrument=instrument, transposition=transposition))
        columns, facts = columns_of(score), facts_for(score)
        return {
            each.name: each.level
            for each in measure_dimensions(columns, facts, gather(columns, facts))[0]
            if each.name.skill not in ("range", "key")
        }

    assert dims("trumpet-bflat", Transposition(-1, -2)) == dims("trumpet-c", CONCERT)


@FEW
@given(tunes(), tunes())
def test_doubling_a_line_changes_no_part(first, second):
    parts = [make_part(music_of(first), name="One"), make_part(music_of(second), name="Two")]
    alone = rate(columns_of(score := make_score(*parts)), facts_for(score))
    for doubled in some(parts):
        more = make_score(*parts, replace(doubled, id="Three", name="Three"))
        together = rate(columns_of(more), facts_for(more))
        levels = [part.level for part in alone.parts]
        assert [part.level for part in together.parts[:2]] == levels
        assert min(levels) <= together.level <= max(levels)


@FEW
@given(tunes())
def test_length_is_not_difficulty(tune):
    """The same bars twice over, with a bar of rest between, are rated within a quarter of once."""
    music = music_of([*tune, *tune])
    once, twice = level_of(music + " | r*4"), level_of(f"{music} | r*4 | {music}")
    assert abs(once - twice) <= 0.25


def test_contributions_are_named_sorted_and_reasoned():
    found = rated(music_of([(BARS["sixteenths"], SCALE[:7])] * 4)).parts[0]
    elsewhere = {"transposition", "position", "chords", "hands", "independence"}
    assert {each.name for each in found.contributions} == set(DIMENSIONS) - elsewhere
    shares = [each.weight * (each.level - 0.5) for each in found.contributions]
    assert shares == sorted(shares, reverse=True)
    assert all(each.evidence for each in found.contributions if each.level > 0.5)
    assert all(0.5 <= each.level <= 6.0 for each in found.contributions)


def test_a_silent_piece_has_no_level_and_no_error():
    found = rated("r*4 | r*4")
    assert found.level is None
    assert found.parts[0].level is None
    assert found.parts[0].error is None


def test_an_unpitched_part_is_rated_without_key_range_and_motion():
    part = make_part("C5 C5 C5*1/2 C5*1/2 C5", instrument="snare-drum")
    struck = tuple(replace(n, pitch=None, unpitched=n.pitch) for n in part.notes)
    score = make_score(replace(part, notes=struck))
    found = rate(columns_of(score), facts_for(score)).parts[0]
    assert found.level is not None
    assert {"key", "range", "motion"}.isdisjoint(each.name for each in found.contributions)


def test_an_unknown_instrument_gives_a_wider_error():
    known, unknown = rated("C4 D4 E4 F4"), rated("C4 D4 E4 F4", instrument="")
    assert unknown.parts[0].error > known.parts[0].error


def test_independent_lines_are_harder_than_one_rhythm_for_all():
    together = make_score(
        *(make_part("C5 D5 E5 F5 | G5*2 F5*2", name=n, instrument="soprano") for n in "ABCD")
    )
    lines = (
        "C5 D5 E5 F5 | G5*2 F5*2",
        "r C5 D5 E5 | F5*3 D5",
        "C5*3/2 D5 E5*3/2 | G5 F5*3",
        "C5*4 | D5 E5*2 C5",
    )
    apart = make_score(*(make_part(m, name=m, instrument="soprano") for m in lines))
    easy, hard = (rate(columns_of(s), facts_for(s)) for s in (together, apart))
    assert hard.level > easy.level
    assert hard.contributions[0].name == "independence"


def test_a_rating_blind_to_tempo_would_be_caught():
    run = " ".join(["C5*1/4", "D5*1/4"] * 8)
    assert level_of(run, 60) < level_of(run, 160)


@pytest.mark.parametrize("length", [Fraction(1, 7), Fraction(1, 11), Fraction(3, 13)])
def test_odd_divisions_do_not_crash(length):
    assert level_of(f"C5*{length} D5*{length} E5*{4 - 2 * length}") >= 0.5


def measured(music, **kwargs):
    """What was measured of one part, by quantity."""
    found = rated(music, **kwargs).parts[0]
    return {each.quantity: each for share in found.contributions for each in share.evidence}


def test_the_evidence_is_what_stands_on_the_page():
    found = measured("C4 A4 C5*2 | r*4 | E5*1/2 D5*1/2 C5 A4*2 | r*4 | C4*4", fifths=-2)
    numbers = {quantity: each.number for quantity, each in found.items()}
    assert found[Quantity.COMPASS].notes == ("C4", "E5")
    assert found[Quantity.METER].terms == ("4/4",)
    assert numbers[Quantity.SIGNATURE] == -2
    assert numbers[Quantity.ENTRANCES] == 2
    assert numbers[Quantity.WIDEST_INTERVAL] == 5
    assert numbers[Quantity.LONGEST_STRETCH] == 4
    assert numbers[Quantity.JUMPS] == 0
    assert Quantity.OUTSIDE_SIGNATURE in found  # the E is natural under two flats


def test_the_evidence_of_a_signature_says_where_the_fullest_one_stands():
    part = make_part("C4*4 | D4*4 | E4*4")
    part = replace(part, keys=(KeySignature(0, 1), KeySignature(1, -4), KeySignature(2, 2)))
    score = make_score(part)
    [key] = [c for c in rate(columns_of(score), facts_for(score)).parts[0].contributions if c.name == "key"]
    signature, *others = key.evidence
    assert (signature.quantity, signature.number, signature.measure) == (Quantity.SIGNATURE, -4, 1)
    assert [(each.quantity, each.number) for each in others[:1]] == [(Quantity.SIGNATURE_CHANGES, 2)]


def test_what_makes_a_level_adds_up_to_it():
    tune = music_of([(BARS["dotted"], SCALE[3:7]), (BARS["eighths"], SCALE[2:8])] * 6)
    for instrument, sung in (("flute", False), ("soprano", True), ("violin", False)):
        part = rated(tune, instrument=instrument).parts[0]
        scale = scale_of("voice" if sung else "")
        made = scale.base_for([each.name for each in part.contributions])
        made += sum(each.weight * (each.level - 0.5) for each in part.contributions)
        assert made == pytest.approx(part.level, abs=0.006)


def test_the_level_of_a_piece_is_made_of_what_makes_its_parts():
    first, second = "C5 D5 E5 F5 | G5*2 F5*2", "C4*1/2 D4*1/2 E4 F4*1/2 G4*1/2 A4 | C4*4"
    found = rate(
        columns_of(s := make_score(make_part(first, name="A"), make_part(second, name="B"))), facts_for(s)
    )
    levels = [part.level for part in found.parts]
    assert min(levels) <= found.level <= max(levels)
    shares = shares_together(levels)
    bases = sum(
        share * scale_of("").base_for([each.name for each in part.contributions])
        for share, part in zip(shares, found.parts, strict=True)
    )
    made = bases + sum(each.weight * (each.level - 0.5) for each in found.contributions)
    assert made == pytest.approx(found.level, abs=0.02)


def test_an_altered_note_counts_once_in_its_bar_however_often_it_is_struck():
    once = "C5 D5 E5*2 | F#5 E5 D5*2"
    many = "C5 D5 E5*2 | F#5*1/4 F#5*1/4 F#5*1/4 F#5*1/4 E5 D5*2"
    twice = "C5 D5 E5*2 | F#5 E5 F5 G#5"
    assert 0.5 < dimension(rated(many), "accidentals") <= dimension(rated(once), "accidentals")
    assert dimension(rated(twice), "accidentals") > dimension(rated(once), "accidentals")


def test_a_short_bar_counts_for_density_by_its_time():
    plain = " | ".join(["C5 D5 E5 F5"] * 8)
    with_pickup = f"C5*1/4 D5*1/4 | {plain}"
    rise = dimension(rated(with_pickup), "density") - dimension(rated(plain), "density")
    # Counted as a bar like the others, its two sixteenths would add 0.8.
    assert 0.0 < rise < 0.2


def test_a_run_needs_more_than_one_quick_step():
    pairs = " | ".join(["C5*1/4 D5*7/4 E5*2"] * 8)
    runs = " | ".join(["C5*1/4 D5*1/4 E5*1/4 F5*1/4 G5*3"] * 8)
    assert dimension(rated(pairs), "runs") == 0.5 < dimension(rated(runs), "runs")


def test_pulses_too_quick_to_count_are_read_as_the_same_music_in_slower_ones():
    quick = make_score(make_part(" | ".join(["C5 D5 E5", "G5*2 F5"] * 8)), time="3/4")
    slow = make_score(make_part(" | ".join(["C5*1/2 D5*1/2 E5*1/2", "G5 F5*1/2"] * 8)), time="3/8")
    levels = [
        dimension(rate(columns_of(score), facts_for(score, bpm)), "rhythm")
        for score, bpm in ((quick, 300.0), (slow, 150.0))
    ]
    assert levels[0] == levels[1] > 0.5


def test_who_sings_alone_is_not_read_as_one_who_sings_with_all():
    assert scale_of("voice").base_for(()) > scale_of("voice").base_for(("independence",))
    assert scale_of("").base_for(()) == scale_of("").base_for(("independence",))
