"""The level of a piece is for those who read it."""

from dataclasses import replace
from itertools import permutations
from random import Random

import pytest

from planner.core.ensemble import Ensemble, Role, Section
from planner.core.instruments import recognise
from planner.core.profile import PartProfile
from planner.matching.casting import cast_parts
from planner.matching.for_whom import level_for, level_of_readings
from tests.checks import some


def instrument_of(name):
    return "bass-voice" if name == "Bass" else recognise(name).instrument


def part(name, level, notes=40):
    return PartProfile(name, instrument_of(name), 0, notes, ("C4", "C5"), ("C4", "C5"), level)


def ensemble(*names, size=4):
    sections = tuple(
        Section(at, name, instrument_of(name), chair=recognise(name).chair or 1, size=size)
        for at, name in enumerate(names, 1)
    )
    return Ensemble(1, "Ours", sections=sections)


SINGERS = ("Soprano", "Alto", "Tenor", "Bass")
CHOIR = ensemble(*SINGERS)
CHORAL = [part(name, level) for name, level in zip(SINGERS, (2.0, 2.5, 2.2, 2.4), strict=True)]
WINDS = ("Flute", "Oboe", "Clarinet 1", "Clarinet 2", "Trumpet 1", "Trombone", "Tuba", "Snare Drum")


def scores(seed=1, count=60):
    """Made scores of winds with any levels, each with an ensemble that reads some of it."""
    chance = Random(seed)
    for _ in range(count):
        names = chance.sample(WINDS, chance.randint(2, len(WINDS)))
        parts = [part(name, round(chance.uniform(0.5, 6.0), 2)) for name in names]
        yield parts, chance.sample(names, chance.randint(1, len(names) - 1)), chance


def levels_read(parts, band):
    by_name = {each.name: each.level for each in parts}
    return [by_name[reading.part] for reading in cast_parts(parts, band.sections).readings]


def test_parts_of_one_level_make_that_level():
    for level in (0.5, 2.3, 6.0):
        parts = [part(name, level) for name in WINDS]
        assert level_for(parts, ensemble(*WINDS)) == level
        assert level_for(parts, ensemble("Oboe", "Tuba")) == level


def test_the_weakest_link_weighs_most():
    """One hard part among four draws the level nearer to itself than the plain mean."""
    parts = [part(name, 2.0) for name in SINGERS[:3]] + [part("Bass", 4.0)]
    assert 2.5 < 3.0 < level_for(parts, CHOIR) < 4.0


def test_the_level_lies_between_the_easiest_and_the_hardest_part_that_is_read():
    for parts, read, _ in some(scores()):
        band = ensemble(*read)
        of_readings = levels_read(parts, band)
        assert min(of_readings) <= level_for(parts, band) <= max(of_readings)


def test_one_more_section_never_raises_the_level_above_the_hardest_part_read():
    for parts, read, chance in some(scores(2)):
        band = ensemble(*read)
        more = chance.choice([each.name for each in parts if each.name not in read])
        hardest = max(levels_read(parts, band))
        of_new = next(each.level for each in parts if each.name == more)
        wider = level_for(parts, ensemble(*read, more))
        assert wider <= max(hardest, of_new)
        if of_new <= level_for(parts, band):
            assert wider <= level_for(parts, band)


def test_a_harder_part_that_nobody_reads_changes_nothing():
    for parts, read, _ in some(scores(3)):
        band = ensemble(*read)
        covered = {reading.part for reading in cast_parts(parts, band.sections).readings}
        harder = [each if each.name in covered else replace(each, level=6.0) for each in parts]
        assert level_for(harder, band) == level_for(parts, band)


def test_the_order_of_parts_and_of_sections_does_not_matter():
    found = {level_for(list(order), CHOIR) for order in permutations(CHORAL)}
    found |= {level_for(CHORAL, ensemble(*order)) for order in permutations(SINGERS)}
    assert len(found) == 1


def test_the_number_of_players_does_not_matter():
    assert level_for(CHORAL, ensemble(*SINGERS, size=1)) == level_for(CHORAL, ensemble(*SINGERS, size=40))


def test_a_line_that_two_sections_read_counts_for_each():
    parts = [part("Flute", 4.0), part("Clarinet", 2.0)]
    once = level_for(parts, ensemble("Flute", "Clarinet 1"))
    easier_twice = level_for(parts, ensemble("Flute", "Clarinet 1", "Clarinet 2"))
    harder_twice = level_for(parts, ensemble("Flute 1", "Flute 2", "Clarinet 1"))
    assert easier_twice < once < harder_twice


@pytest.mark.parametrize("piano", ["Piano (for practice only)", "Klavier (nur zur Probe)"])
@pytest.mark.parametrize("level", [0.5, 6.0])
def test_taking_the_piano_for_practice_away_changes_nothing(piano, level):
    beside = [*CHORAL, part(piano, level)]
    for choir in (CHOIR, ensemble(*SINGERS, "Piano"), ensemble("Alto", "Piano")):
        casting = cast_parts(beside, choir.sections)
        assert casting.practice == (piano,)
        assert replace(casting, practice=()) == cast_parts(CHORAL, choir.sections)
        assert level_for(beside, choir) == level_for(CHORAL, choir)


@pytest.mark.parametrize("keyboard", ["Piano", "Organ"])
def test_the_accompanist_of_a_choir_does_not_make_the_level(keyboard):
    song = [*CHORAL, part(keyboard, 5.5)]
    singers = level_for(CHORAL, CHOIR)
    assert level_for(song, CHOIR) == level_for(song, ensemble(*SINGERS, keyboard)) == singers
    found = level_of_readings(song, cast_parts(song, ensemble(*SINGERS, keyboard).sections).readings)
    assert [(reading.part, role) for reading, role in found.apart] == [(keyboard, Role.ACCOMPANIST)]
    assert [reading.part for reading in found.counted] == list(SINGERS)


def test_an_accompanist_alone_has_the_level_of_what_is_read():
    assert level_for([part("Voice", 2.0), part("Piano", 4.5)], ensemble("Piano")) == 4.5


def test_the_piano_of_a_band_counts_where_the_band_has_one():
    parts = [*(part(name, 2.0) for name in WINDS), part("Piano", 4.0)]
    assert level_for(parts, ensemble(*WINDS)) == 2.0
    assert level_for(parts, ensemble(*WINDS, "Piano")) > 2.5


def test_a_solo_line_does_not_make_the_level_of_the_strings():
    strings = [part(name, 2.0) for name in ("Violin 1", "Violin 2", "Viola", "Cello")]
    concerto = [part("Solo Clarinet", 6.0), *strings]
    orchestra = ensemble("Clarinet", "Violin 1", "Violin 2", "Viola", "Cello")
    assert level_for(concerto, orchestra) == 2.0
    assert level_for(concerto, ensemble("Clarinet")) == 6.0


def test_sections_read_the_line_of_the_group_and_the_soloist_the_solo():
    names = ("Violin 1 solo", "Violin 1 tutti", "Violin 2", "Viola")
    parts = [part(name, level) for name, level in zip(names, (6.0, 3.0, 2.0, 2.0), strict=True)]
    strings = ensemble("Violin 1", "Violin 2", "Viola")
    assert [reading.part for reading in cast_parts(parts, strings.sections).readings] == list(names[1:])
    assert level_for(parts, strings) == level_for(parts[1:], strings)
    with_soloist = ensemble(*names)
    assert [reading.part for reading in cast_parts(parts, with_soloist.sections).readings] == list(names)
    assert level_for(parts, with_soloist) == level_for(parts[1:], strings)


def test_the_piano_of_a_piece_for_piano_is_the_piece():
    assert level_for([part("Piano", 3.4)], ensemble("Piano")) == 3.4


def test_what_nobody_reads_has_no_level_for_them():
    assert level_for(CHORAL, ensemble("Trumpet", "Tuba")) is None
    assert level_for(CHORAL, Ensemble(1, "Nobody yet")) is None
    assert level_for([part("Soprano", None), part("Alto", 2.0)], ensemble("Soprano")) is None
    assert level_for([part("Soprano", None), part("Alto", 2.0)], CHOIR) == 2.0
    assert level_for([part("Soprano", 2.0, notes=0), part("Alto", 3.0)], CHOIR) == 3.0
