"""Music for other forces is not proposed to an ensemble."""

from dataclasses import replace
from math import exp, inf, log

from planner.core.ensemble import Section
from planner.core.profile import PartProfile
from planner.levels.readable import Verdict, ask_of
from planner.matching.casting import Casting, CastPart, How, Uncovered, cast_parts
from planner.matching.outlook import (
    BeyondComfort,
    PartFit,
    PieceOutlook,
    beyond_comfort,
)


def outlook(parts, sections):
    casting = cast_parts(parts, sections)
    by_id = {section.id: section for section in sections}
    fits = tuple(PartFit(by_id[c.section_id], c, 2.0, 0.8, Verdict.JUST_READABLE) for c in casting.readings)
    return PieceOutlook(piece=None, profile=None, casting=casting, fits=fits, sections=tuple(sections))


def part(name, instrument):
    return PartProfile(name, instrument, 0, 40, ("C4", "C5"), ("C4", "C5"), 2.0)


STRINGS = [part("Violin 1", "violin"), part("Viola", "viola"), part("Cello", "cello")]
CHOIR = [part("Soprano", "soprano"), part("Alto", "alto")]


def section(number, instrument, size=4, chair=1):
    return Section(number, instrument, instrument, chair=chair, size=size)


def test_an_ensemble_that_covers_the_parts_and_keeps_its_players_busy_can_read_it():
    assert outlook(STRINGS, [section(1, "violin"), section(2, "viola"), section(3, "cello")]).can_be_cast


def test_choir_music_is_not_for_strings():
    assert not outlook(CHOIR, [section(1, "violin"), section(2, "viola")]).can_be_cast


def test_a_quartet_that_leaves_most_of_an_orchestra_idle_is_not_for_it():
    winds = [section(10 + n, name, size=8) for n, name in enumerate(["flute", "oboe", "horn-f", "trombone"])]
    strings = [section(1, "violin"), section(2, "viola"), section(3, "cello")]
    assert not outlook(STRINGS, [*strings, *winds]).can_be_cast


def test_a_piece_most_of_whose_parts_nobody_reads_is_left():
    assert not outlook([*STRINGS, *CHOIR, part("Bass", "bass-voice")], [section(2, "viola")]).can_be_cast


def test_what_lies_beyond_comfort_is_named_as_the_section_reads_it():
    """A B♭ baritone in treble clef reads a ninth above what a bass-clef part sounds."""
    treble = Section(1, "Euphonium", "euphonium-treble", level=1.0)
    low = PartProfile("Euphonium", "euphonium", 0, 40, ("Eb2", "Bb3"), ("Eb2", "Bb3"), 2.0)
    cast = CastPart(1, "Euphonium", How.TRANSPOSING, printed_for="euphonium")
    assert beyond_comfort(treble, cast, low) == BeyondComfort(down_to="F3")
    inside = PartProfile("Euphonium", "euphonium", 0, 40, ("Bb2", "Bb3"), ("Bb2", "Bb3"), 2.0)
    assert beyond_comfort(treble, cast, inside) is None


def test_a_part_read_as_it_stands_is_held_against_what_is_printed():
    """A tuba that reads a double bass part reads the printed octave, though the bass sounds one lower."""
    tuba = Section(1, "Tuba", "tuba", level=4.0)
    bass = PartProfile("Double Bass", "double-bass", -12, 40, ("G2", "D3"), ("G1", "D2"), 2.0)
    cast = CastPart(1, "Double Bass", How.SUBSTITUTE, printed_for="double-bass")
    assert beyond_comfort(tuba, cast, bass) is None
    low = PartProfile("Double Bass", "double-bass", -12, 40, ("C1", "D3"), ("C0", "D2"), 2.0)
    assert beyond_comfort(tuba, cast, low) == BeyondComfort(down_to="C1")


def test_a_part_without_pitches_or_an_instrument_without_a_range_leaves_no_comfort():
    silent = PartProfile("Flute", "flute", 0, 40, None, None, 2.0)
    drum = PartProfile("Snare Drum", "snare-drum", 0, 40, ("C2", "C7"), ("C2", "C7"), 2.0)
    for part_, instrument in ((silent, "flute"), (drum, "snare-drum")):
        cast = CastPart(1, part_.name, How.OWN, printed_for=instrument)
        assert beyond_comfort(section(1, instrument), cast, part_) is None


def fit(number, size, gap, *, beyond=None, level=2.0, error=0.4):
    """A section of level 2 whose part lies so far above it; ``gap`` None: of no known level."""
    reader = Section(number, f"Section {number}", "flute", level=level, size=size)
    cast = CastPart(number, f"Part {number}", How.OWN, printed_for="flute")
    if gap is None:
        return PartFit(reader, cast, None, None, Verdict.UNKNOWN, beyond)
    ask = ask_of(level, level + gap, error)
    return PartFit(reader, cast, level + gap, ask.share, Verdict.JUST_READABLE, beyond, 0.0, ask.lost)


def outlook_with(*fits, uncovered=0, idle=()):
    missing = tuple(Uncovered(f"Missing {at}", "tuba") for at in range(uncovered))
    casting = Casting(tuple(each.cast for each in fits), uncovered=missing, idle=tuple(s.id for s in idle))
    return PieceOutlook(None, None, casting, fits, (*(each.section for each in fits), *idle))


def cost_of(*fits, **others):
    return outlook_with(*fits, **others).cost


def curve(gap):
    """The share right, from the two points of the scale: 84.13 % at no gap, 95 % one level down."""
    at, down = log(0.8413 / 0.1587), log(0.95 / 0.05)
    return 1 / (1 + exp((down - at) * gap - at))


def test_the_cost_of_a_piece_by_hand():
    """Tens of bars off the aim, squared: of the worst, of each, of the middle; and who is out of band.

    How many players read a part does not count.
    """
    assert cost_of(fit(1, 4, 0.0, error=0.0), fit(2, 4, 0.0, error=0.0)) == 0
    hard, easy = (10 * (curve(gap) - 0.8413) for gap in (1.0, -0.9))
    middle, out = (hard + easy) / 2, 1 / 2
    by_hand = round(30 * hard**2 + 30 * (hard**2 + easy**2) / 2 + 60 * middle**2 + 100 * out)
    assert cost_of(fit(1, 3, 1.0, error=0.0), fit(2, 1, -0.9, error=0.0)) == by_hand
    assert cost_of(fit(1, 1, 1.0, error=0.0), fit(2, 9, -0.9, error=0.0)) == by_hand


def test_a_chance_of_being_lost_costs_even_where_the_share_is_right():
    assert cost_of(fit(1, 4, 0.0, error=0.8)) == round(100 * ask_of(2.0, 2.0, 0.8).lost) > 3


def test_what_a_piece_costs_on_any_day_by_hand():
    """150 for all parts uncovered, 150 for all players idle, 40 for all sections out of comfort."""
    on_level = [fit(1, 4, 0.0, error=0.0), fit(2, 8, 0.0, error=0.0)]
    assert cost_of(*on_level, uncovered=1) == round(150 * 1 / 3)
    assert cost_of(*on_level, idle=[section(3, "tuba", size=4)]) == round(150 * 4 / 16)
    high = fit(1, 1, 0.0, error=0.0, beyond=BeyondComfort(up_to="C6"))
    assert cost_of(high, on_level[1]) == 20


def test_a_part_of_no_known_level_says_nothing_of_the_cost():
    assert cost_of(fit(1, 1, 1.0), fit(2, 5, None)) == cost_of(fit(1, 1, 1.0))
    assert cost_of(fit(1, 1, None)) == inf


def test_of_several_parts_a_section_counts_by_its_hardest():
    harder = replace(fit(1, 4, 0.5), cast=CastPart(1, "Second", How.SHARED))
    assert outlook_with(fit(1, 4, 0.0), harder, fit(2, 4, None)).readings == (harder,)
