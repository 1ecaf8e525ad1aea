"""Meters, pulse groupings and music that moves against its signature."""

import zipfile
from dataclasses import replace
from fractions import Fraction

import pytest

from planner.adapters.scores.files.precheck import check_raw
from planner.adapters.scores.reader import read_raw, read_score
from planner.core.fact import Fact, FactKind, named
from planner.core.score import Score, TempoMark, TimeSignature
from planner.study.notes.columns import TICKS_PER_QUARTER, columns_of
from planner.study.study import study
from planner.study.time.grouping import groupings_of
from planner.study.time.meter import find_meters
from tests.builders import make_part, make_score, time_signature
from tests.study.bare_score import read_bare
from tests.study.fact_checks_time import own_meter

HALF_TICK = TICKS_PER_QUARTER // 2


def beamed(part, *bars):
    """Put beams on a part of even eighths: each bar is a tuple of beam lengths."""
    notes = list(part.notes)
    at = 0
    for bar in bars:
        for length in bar:
            for step in range(length):
                state = "begin" if step == 0 else "end" if step == length - 1 else "continue"
                if length > 1:
                    notes[at] = replace(notes[at], beams=(state,))
                at += 1
    return replace(part, notes=tuple(notes))


def eighths(bars, count):
    return " | ".join([" ".join(["C4*1/2"] * count)] * bars)


def against(score):
    return [f for f in find_meters(columns_of(score)).facts if f.kind == FactKind.AGAINST_METER]


def grouping_of(score):
    return [(span.measure, span.grouping) for span in find_meters(columns_of(score)).spans]


@pytest.mark.parametrize(
    ("time", "grouping"),
    [
        ("4/4", (1, 1, 1, 1)), ("3/4", (1, 1, 1)), ("2/2", (1, 1)), ("6/8", (3, 3)), ("9/8", (3, 3, 3)),
        ("12/8", (3, 3, 3, 3)), ("6/4", (3, 3)), ("3/8", (3,)), ("3+2/8", (3, 2)), ("2+2+3/8", (2, 2, 3)),
    ],
)  # fmt: skip
def test_regular_and_printed_groupings_follow_common_theory(time, grouping):
    length = time_signature(time).length_quarters
    assert grouping_of(make_score(make_part(f"C4*{length}"), time=time)) == [(0, grouping)]


@pytest.mark.parametrize("grouping", [(2, 2, 3), (3, 2, 2), (2, 3, 2)])
def test_beams_state_the_grouping_of_seven(grouping):
    part = beamed(make_part(eighths(4, 7)), *[grouping] * 4)
    found = find_meters(columns_of(make_score(part, time="7/8"))).spans
    assert [span.grouping for span in found] == [grouping]
    assert found[0].source == "beams"
    assert found[0].confidence > 0.9


def test_the_grouping_turns_where_the_beams_turn_for_good():
    bars = [(2, 2, 3)] * 4 + [(3, 2, 2)] * 4
    score = make_score(beamed(make_part(eighths(8, 7)), *bars), time="7/8")
    assert grouping_of(score) == [(0, (2, 2, 3)), (4, (3, 2, 2))]
    assert [(fact.kind, fact.places) for fact in find_meters(columns_of(score)).facts] == [
        (FactKind.METER, ((0, 0),)),
        (FactKind.METER_CHANGES, ((4, 4),)),
    ]


def test_one_bar_beamed_otherwise_does_not_turn_the_grouping():
    bars = [(2, 2, 3)] * 4 + [(3, 2, 2)] + [(2, 2, 3)] * 4
    assert grouping_of(make_score(beamed(make_part(eighths(9, 7)), *bars), time="7/8")) == [(0, (2, 2, 3))]


def test_words_that_state_the_grouping_are_believed():
    part = beamed(make_part(eighths(4, 7)), *[(2, 2, 3)] * 4)
    score = replace(make_score(part, time="7/8"), tempos=(TempoMark(0, Fraction(0), "Swiftly (3 + 2 + 2)"),))
    found = find_meters(columns_of(score))
    assert (found.spans[0].grouping, found.spans[0].source) == ((3, 2, 2), "words")
    assert found.facts[0].numbers == ()


def test_without_beams_accents_speak():
    part = make_part(eighths(4, 7))
    notes = tuple(
        replace(n, articulations=("accent",))
        if n.onset_quarters in (0, Fraction(3, 2), Fraction(5, 2))
        else n
        for n in part.notes
    )
    found = find_meters(columns_of(make_score(replace(part, notes=notes), time="7/8"))).spans
    assert (found[0].grouping, found[0].source) == ((3, 2, 2), "accents")


def test_long_notes_show_two_plus_three_in_five_four():
    score = make_score(make_part(" | ".join(["C4*2 E4*3"] * 6)), time="5/4")
    assert grouping_of(score) == [(0, (2, 3))]


def test_a_page_that_shows_nothing_gets_the_usual_grouping_and_says_so():
    score = make_score(make_part(" | ".join([" ".join(["C4"] * 5)] * 4)), time="5/4")
    found = find_meters(columns_of(score))
    assert found.spans[0].source == "custom"
    assert found.spans[0].confidence < 0.5
    assert found.facts[0].certainty == found.spans[0].confidence


def test_pulses_of_seven_fall_on_its_groups_and_a_pickup_is_counted_from_its_end():
    part = beamed(make_part(eighths(2, 7)), (2, 2, 3), (2, 2, 3))
    score = make_score(part, time="7/8")
    assert find_meters(columns_of(score)).pulses[1] == (0, 2 * HALF_TICK, 4 * HALF_TICK)
    pickup = make_score(make_part("C4*1 | C4 C4 C4 C4"), time="4/4")
    first = replace(pickup.measures[0], implicit=True)
    pickup = replace(pickup, measures=(first, *pickup.measures[1:]))
    found = find_meters(columns_of(pickup))
    assert found.pulses == ((0,), tuple(n * 2 * HALF_TICK for n in range(4)))
    assert (found.facts[1].kind, found.facts[1].number("quarters")) == (FactKind.PICKUP, 1)


@pytest.mark.parametrize(
    ("time", "beats", "quarters"),
    [("4/4", 4, 1), ("2/2", 2, 2), ("6/8", 2, 1.5), ("12/8", 4, 1.5), ("6/4", 2, 3), ("3/8", 1, 1.5)],
)
def test_an_even_meter_has_its_beats_and_their_length(time, beats, quarters):
    length = time_signature(time).length_quarters
    [meter] = find_meters(columns_of(make_score(make_part(f"C4*{length}"), time=time))).facts
    assert (meter.kind, meter.numbers) == (FactKind.METER, named(beats=beats, quarters=quarters))


def test_every_change_of_meter_is_found():
    score = make_score(make_part("C4*4 | C4*3 | C4*4"))
    measures = list(score.measures)
    measures[1] = replace(measures[1], time=time_signature("3/4"), time_changes=True)
    found = find_meters(columns_of(replace(score, measures=tuple(measures))))
    assert [(span.measure, span.time) for span in found.spans] == [(0, "4/4"), (1, "3/4"), (2, "4/4")]
    assert found.facts[1].places == ((1, 1), (2, 2))


def test_a_hemiola_held_over_the_barline_is_found_and_a_rest_there_is_not():
    held = [make_part("C4*2 E4~*1".replace("E4~*1", "E4*1~") + " | E4*1 G4*2 | C4*3", name=n) for n in "AB"]
    assert against(make_score(*held, time="3/4")) == [
        Fact(FactKind.AGAINST_METER, places=((0, 1),), terms=("hemiola",))
    ]
    rested = [make_part("C4*2 E4 | r G4*2 | C4*3", name=n) for n in "AB"]
    assert against(make_score(*rested, time="3/4")) == []


def test_three_quarters_in_six_eight_are_a_hemiola():
    parts = [make_part("C4*3/2 D4*3/2 | C4 D4 E4 | C4*3", name=n) for n in "AB"]
    [found] = against(make_score(*parts, time="6/8"))
    assert (found.places, found.terms) == (((1, 1),), ("6/8 as 3/4",))


def test_free_time_has_no_pulses_to_speak_of():
    score = make_score(make_part("C4*4"))
    free = replace(score.measures[0], time=TimeSignature((), "free"))
    found = find_meters(columns_of(replace(score, measures=(free,))))
    assert (found.spans[0].time, found.spans[0].grouping, found.pulses) == ("free", (), ((0,),))


@pytest.mark.parametrize("units", range(2, 16))
def test_groupings_are_all_sums_of_twos_and_threes(units):
    found = groupings_of(units)
    assert all(sum(groups) == units and set(groups) <= {2, 3} for groups in found)
    assert len(set(found)) == len(found)


def test_no_measures_no_meter():
    assert find_meters(columns_of(Score("Empty", (), ()))).facts == ()


def music_of(time, symbol=""):
    """One measure's attributes and a note that fills it, in one part."""
    beats, unit = time.split("/")
    sign = f' symbol="{symbol}"' if symbol else ""
    return (
        f"<attributes><divisions>2</divisions><time{sign}><beats>{beats}</beats>"
        f"<beat-type>{unit}</beat-type></time></attributes><note><pitch><step>C</step><octave>4</octave>"
        f"</pitch><duration>{8 * int(beats) // int(unit)}</duration></note>"
    )


def score_of(*parts):
    """A score read from the music of each part's first measure, with a second one after it."""
    return read_raw(check_raw("a.musicxml", score_text(*parts).encode(), ".musicxml"))


def score_text(*parts):
    """The same as MusicXML."""
    names = "".join(
        f'<score-part id="P{n}"><part-name>Part {n}</part-name></score-part>' for n, _ in enumerate(parts)
    )
    rest = "<measure number='2'><note><rest measure='yes'/><duration>4</duration></note></measure>"
    music = "".join(
        f'<part id="P{n}"><measure number="1">{m}</measure>{rest}</part>' for n, m in enumerate(parts)
    )
    return f"<score-partwise><part-list>{names}</part-list>{music}</score-partwise>"


def test_the_meter_of_most_parts_is_the_score_s_and_the_others_are_told_of_their_own():
    score = score_of(music_of("6/8"), music_of("2/4"), music_of("2/4"))
    assert [str(measure.time) for measure in score.measures] == ["2/4", "2/4"]
    own = [f for f in find_meters(columns_of(score)).facts if f.kind is FactKind.OWN_METER]
    assert [(f.part, f.places, f.terms) for f in own] == [("Part 0", ((0, 1),), ("6/8",))]


def test_a_signature_that_one_part_alone_prints_is_its_own_where_the_others_keep_their_bars():
    lone = "<attributes><time><beats>6</beats><beat-type>8</beat-type></time></attributes>"
    parts = [music_of("2/4")] * 3
    old = "<measure number='2'><note><rest measure='yes'/>"
    text = score_text(*parts).replace(old, old.replace("<note>", f"{lone}<note>"), 1)
    score = read_raw(check_raw("a.musicxml", text.encode(), ".musicxml"))
    assert [str(measure.time) for measure in score.measures] == ["2/4", "2/4"]
    assert [i.part for i in score.issues if i.slug == "meters-differ"] == ["Part 0"]
    empty = text.replace("<note><rest measure='yes'/><duration>4</duration></note>", "")
    silent = read_raw(check_raw("a.musicxml", empty.encode(), ".musicxml"))
    assert [str(measure.time) for measure in silent.measures] == ["2/4", "6/8"]


def test_a_meter_of_its_own_is_checked_against_the_bare_page(tmp_path):
    path = tmp_path / "two.mxl"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("score.xml", score_text(music_of("6/8"), music_of("2/4"), music_of("2/4")))
        root = "<rootfile full-path='score.xml'/>"
        archive.writestr("META-INF/container.xml", f"<container><rootfiles>{root}</rootfiles></container>")
    bare, profile = read_bare(path), study(read_score(path))
    [fact] = [fact for fact in profile.facts if fact.kind is FactKind.OWN_METER]
    assert own_meter(bare, profile, fact)
    assert not own_meter(bare, profile, replace(fact, terms=("3/4",)))
    assert not own_meter(bare, profile, replace(fact, part="Part 1", terms=("2/4",)))


def test_parts_in_one_meter_are_told_of_none_of_their_own():
    score = score_of(music_of("2/4"), music_of("2/4"))
    assert FactKind.OWN_METER not in {fact.kind for fact in find_meters(columns_of(score)).facts}


@pytest.mark.parametrize(
    ("time", "symbol", "kept", "beats"),
    [("2/2", "cut", "cut", 2), ("4/4", "cut", "cut", 2), ("3/8", "cut", "", 1), ("3/4", "common", "", 3)],
)
def test_a_sign_stands_only_for_the_meters_it_can(time, symbol, kept, beats):
    score = score_of(music_of(time, symbol))
    assert score.measures[0].time.symbol == kept
    [fact] = [f for f in find_meters(columns_of(score)).facts if f.kind is FactKind.METER]
    assert (fact.number("beats"), fact.terms) == (beats, ("cut",) if kept else ())


def test_a_score_without_a_signature_says_so():
    score = score_of(music_of("2/4").replace("<time>", "<x>").replace("</time>", "</x>"))
    [first] = find_meters(columns_of(score)).spans
    assert (first.time, first.is_printed) == ("2/4", False)
