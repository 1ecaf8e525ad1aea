"""Ensembles, sections, players and exposures, on faked ports."""

from dataclasses import replace
from datetime import date

import pytest

from planner.core.ensemble import Exposure, Section
from planner.errors import ConflictError, InputError, NotFoundError
from planner.services.people import roster as people
from tests.fakes import BY, FakeLibrary, at_a_door, make_profile, make_source

START, CONCERT, TODAY = date(2025, 9, 1), date(2026, 5, 2), date(2026, 9, 3)


@pytest.fixture
def library():
    return FakeLibrary()


@pytest.fixture
def band(library):
    ensemble = at_a_door(library, people.add_ensemble, " Town  Band ")
    at_a_door(library, people.add_section, ensemble.id, Section(0, "Flute", "flute"))
    at_a_door(library, people.add_section, ensemble.id, Section(0, "Horn", "horn-f", size=2))
    return at_a_door(library, people.get_ensemble, ensemble.id)


@pytest.fixture
def piece_id(library):
    with library() as work:
        piece_id = work.pieces.add(make_source(), make_profile(), TODAY)
        work.commit()
    return piece_id


def sections(library, band):
    return {section.name: section for section in at_a_door(library, people.get_ensemble, band.id).sections}


def test_an_ensemble_is_named_and_found(library, band):
    assert band.name == "Town Band"
    assert [e.name for e in at_a_door(library, people.list_ensembles)] == ["Town Band"]


def test_two_ensembles_cannot_share_a_name(library, band):
    with pytest.raises(ConflictError):
        at_a_door(library, people.add_ensemble, "Town Band")


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"name": " "}, "A section needs a name."),
        ({"level": 6.5}, "The level of Flute must be from 0.5 to 6, not 6.5."),
        ({"level": float("nan")}, "The level of Flute must be"),
        ({"size": 0}, "Flute needs at least one player"),
        ({"chair": 0}, "chairs count from 1"),
        ({"instrument": ""}, "Say which instrument Flute plays."),
    ],
)
def test_a_section_that_cannot_be_is_refused(library, band, changes, said):
    wrong = replace(band.sections[0], **changes)
    for attempt in (
        lambda: at_a_door(library, people.change_section, wrong, by=BY),
        lambda: at_a_door(library, people.add_section, band.id, wrong),
    ):
        with pytest.raises(InputError) as error:
            attempt()
        assert said in str(error.value)


def test_a_section_is_changed_and_removed(library, band):
    at_a_door(library, people.change_section, replace(band.sections[0], level=2.5), by=BY)
    assert sections(library, band)["Flute"].level == 2.5
    at_a_door(library, people.remove_section, band.sections[0].id)
    assert list(sections(library, band)) == ["Horn"]


def test_naming_players_fills_a_section_and_then_lets_it_grow(library, band):
    horn = band.sections[1].id
    for name, size in (("Ida", 2), ("Jo", 2), ("Bo", 3)):
        at_a_door(library, people.add_player, horn, name, joined=START)
        assert sections(library, band)["Horn"].size == size


def test_a_player_cannot_leave_before_joining_or_be_nameless(library, band):
    with pytest.raises(InputError, match="cannot have left before joining"):
        at_a_door(library, people.add_player, band.sections[0].id, "Ida", joined=TODAY, left=START)
    with pytest.raises(InputError, match="needs a name"):
        at_a_door(library, people.add_player, band.sections[0].id, "  ")
    with pytest.raises(NotFoundError):
        at_a_door(library, people.add_player, 99, "Ida")


def test_a_player_who_moves_brings_what_the_old_section_met(library, band, piece_id):
    flute, horn = band.sections
    ida = at_a_door(library, people.add_player, flute.id, "Ida", joined=START)
    with library() as work:
        other = work.pieces.add(make_source("other"), make_profile("Other"), TODAY)
        work.commit()
    at_a_door(library, people.record_exposure, Exposure(band.id, piece_id, "rehearsed", CONCERT, flute.id))
    at_a_door(
        library, people.record_exposure, Exposure(band.id, other, "rehearsed", date(2024, 1, 1), flute.id)
    )
    at_a_door(library, people.move_player, ida, horn.id)
    came = [e for e in at_a_door(library, people.list_exposures, band.id) if e.section_id == horn.id]
    assert [(e.piece_id, e.on, e.note) for e in came] == [(piece_id, CONCERT, "Ida met it in Flute")]
    assert [p.name for p in sections(library, band)["Horn"].players] == ["Ida"]


def test_moving_to_another_ensemble_is_refused_and_to_the_same_section_changes_nothing(library, band):
    ida = at_a_door(library, people.add_player, band.sections[0].id, "Ida")
    choir = at_a_door(library, people.add_ensemble, "Choir")
    alto = at_a_door(library, people.add_section, choir.id, Section(0, "Alto", "voice-alto"))
    with pytest.raises(InputError, match="Alto is a section of Choir"):
        at_a_door(library, people.move_player, ida, alto.id)
    before = at_a_door(library, people.get_ensemble, band.id)
    at_a_door(library, people.move_player, ida, band.sections[0].id)
    assert at_a_door(library, people.get_ensemble, band.id) == before


def test_exposures_are_recorded_and_listed(library, band, piece_id):
    exposure = Exposure(band.id, piece_id, "heard", CONCERT)
    at_a_door(library, people.record_exposure, exposure)
    assert at_a_door(library, people.list_exposures, band.id, piece_id=piece_id) == [exposure]
    assert at_a_door(library, people.list_exposures, band.id, piece_id=99) == []
    with pytest.raises(InputError, match="not dreamt"):
        at_a_door(library, people.record_exposure, Exposure(band.id, piece_id, "dreamt"))
