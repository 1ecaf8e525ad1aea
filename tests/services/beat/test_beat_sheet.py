"""The bars of a piece as a metronome counts them."""

from fractions import Fraction

import pytest

from planner.core.fact import Fact, FactKind
from planner.core.profile import (
    KeySpan,
    MeterSpan,
    Roadmap,
    Tempo,
    TempoSpan,
    UnnumberedBar,
)
from planner.services.beat.beat_sheet import Pace, Turn, beat_sheet
from planner.wording.director.beat import beat_remarks
from tests.fakes import make_profile


def sheet(order, lengths, **changes):
    """The sheet of a piece with so many bars as there are lengths, played in an order."""
    plain = {
        "measures": len(lengths),
        "roadmap": Roadmap(tuple(order)),
        "measure_numbers": tuple(str(at + 1) for at in range(len(lengths))),
    }
    profile = make_profile(**(plain | changes))
    return beat_sheet(profile, [Fraction(length) for length in lengths])


def bars_of(found):
    """What each section plays, how long its bars are, and what is missing at their beginning."""
    return [(section.bars, section.length_quarters, section.skip_quarters) for section in found.sections]


def test_bars_alike_are_one_section_in_order_of_play():
    found = sheet([0, 1, 2, 0, 1, 2], [4, 4, 4])
    assert bars_of(found) == [(("1", "2", "3", "1", "2", "3"), 4.0, 0.0)]
    assert (found.sections[0].unit_quarters, found.sections[0].grouping) == (1.0, (1, 1, 1, 1))


def test_a_pickup_lacks_the_beginning_of_its_bar_and_a_short_last_bar_its_end():
    found = sheet([0, 1, 2, 0, 1, 2], [1, 4, 3], measure_numbers=("0", "1", "2"), uncounted=(0,))
    pickup, last = (("the pickup",), 1.0, 3.0), (("2",), 3.0, 0.0)
    assert bars_of(found) == [pickup, (("1",), 4.0, 0.0), last, pickup, (("1",), 4.0, 0.0), last]


def test_the_second_half_of_a_split_bar_is_counted_from_where_the_first_ended():
    unnumbered = (UnnumberedBar(1, "rest"),)
    found = sheet([0, 1, 2], [3, 1, 4], measure_numbers=("1", "1", "2"), unnumbered=unnumbered)
    assert bars_of(found) == [(("1",), 3.0, 0.0), (("the rest of bar 1",), 1.0, 3.0), (("2",), 4.0, 0.0)]


def test_a_bar_in_which_nothing_stands_is_a_full_one():
    assert bars_of(sheet([0, 1], [0, 4])) == [(("1", "2"), 4.0, 0.0)]


@pytest.mark.parametrize(
    ("time", "grouping", "unit"),
    [("7/8", (2, 2, 3), 0.5), ("2/2", (1, 1), 2.0), ("2/4 + 3/8", (2, 2, 3), 0.5), ("3+2/8", (3, 2), 0.5)],
)
def test_the_unit_is_the_finest_lower_number(time, grouping, unit):
    (section,) = sheet([0], [unit * sum(grouping)], meters=(MeterSpan(0, time, grouping),)).sections
    assert (section.unit_quarters, section.grouping, section.skip_quarters) == (unit, grouping, 0.0)


def test_the_cut_sign_is_counted_in_half_notes():
    facts = (Fact(FactKind.METER, places=((0, 0),), terms=("cut",)),)
    (section,) = sheet([0], [4], facts=facts).sections
    assert (section.unit_quarters, section.grouping) == (2.0, (1, 1))


def test_tempos_turn_where_the_page_says_so_and_the_first_reading_with_them():
    tempos = (
        TempoSpan(0, 120.0, 0.0, 120.0, "quarter", "metronome", "", 96),
        TempoSpan(1, 90.0, 2.0, 60.0, "dotted quarter", "metronome", "", 52),
    )
    found = sheet([0, 1, 2, 0], [4, 4, 4], tempos=tempos)
    quick, slow = Pace(120.0, 96.0), Pace(90.0, 78.0)
    assert [(section.bars, section.pace, section.turns) for section in found.sections] == [
        (("1",), quick, ()),
        (("2",), quick, (Turn(2.0, slow),)),
        (("3",), slow, ()),
        (("1",), quick, ()),
    ]


def test_a_first_reading_is_never_quicker_than_the_tempo_of_the_page():
    (section,) = sheet(
        [0], [4], tempos=(TempoSpan(0, 50.0, 0.0, 50.0, "quarter", first_reading=56),)
    ).sections
    assert section.pace == Pace(50.0, 50.0)


def test_without_spans_the_tempo_is_that_of_the_beginning():
    (section,) = sheet([0], [3], tempo_bpm=Tempo(60.0, "dotted-quarter", 58, first_reading=52)).sections
    assert section.pace == Pace(90.0, 78.0)


def test_it_stops_before_a_bar_without_a_meter():
    found = sheet([0, 1, 2], [4, 9, 4], meters=(MeterSpan(0, "4/4", (1,) * 4), MeterSpan(1, "free", ())))
    assert (bars_of(found), found.stops_before) == ([(("1",), 4.0, 0.0)], "2")
    remarks = beat_remarks([], "metronome", found.stops_before)
    assert remarks == ("The metronome stops before bar 2, which has no meter to count.",)


def test_the_drone_has_the_home_key_first_and_every_key_once():
    spans = (KeySpan(0, "Bb major"), KeySpan(4, "F major"), KeySpan(9, "Cb major"))
    found = sheet([0], [4], keys=spans)
    assert [(key.key, key.tonic) for key in found.keys] == [
        ("Bb major", 58),
        ("F major", 53),
        ("Cb major", 59),
    ]


def test_what_is_taken_for_granted_is_remarked():
    sentences = beat_remarks([("7/8", (2, 2, 3)), ("5/8", (3, 2))], "assumed", "")
    assert sentences == (
        "The page gives no tempo: this one is assumed.",
        "Nothing on the page shows how 7/8 and 5/8 group: they are counted 2+2+3 and 3+2, the usual way.",
    )
