"""Sections made from the parts of a score, those without a name among them."""

from datetime import date

import pytest

from planner.core.profile import PartProfile
from planner.services.people.roster import add_ensemble, get_ensemble
from planner.services.people.sections_from_score import add_sections_from_piece
from tests.fakes import BY, FakeLibrary, at_a_door, make_profile, make_source

TODAY = date(2026, 9, 3)


def part(name, instrument):
    return PartProfile(name, instrument, 0, 40, None, None, 2.0)


def sections_for(*parts, times=1):
    library = FakeLibrary()
    ensemble = at_a_door(library, add_ensemble, "Singers", by=BY)
    with library() as work:
        piece_id = work.pieces.add(make_source(), make_profile(parts=parts), TODAY)
        work.commit()
    for _ in range(times):
        at_a_door(library, add_sections_from_piece, ensemble.id, piece_id, level=2.0, by=BY)
    found = at_a_door(library, get_ensemble, ensemble.id).sections
    return [(section.name, section.instrument, section.chair) for section in found]


def test_a_part_names_its_section_and_its_chair():
    parts = (part("Clarinet 1", "clarinet-bflat"), part("Clarinet 2", "clarinet-bflat"))
    assert sections_for(*parts) == [
        ("Clarinet 1", "clarinet-bflat", 1), ("Clarinet 2", "clarinet-bflat", 2),
    ]  # fmt: skip


@pytest.mark.parametrize("times", [1, 2])
def test_singers_whose_parts_have_no_names_get_a_section_each_called_by_their_voice(times):
    singers = ("soprano", "alto", "tenor", "bass-voice")
    parts = [part(f"Part {n}", singer) for n, singer in enumerate(singers, start=1)]
    assert sections_for(*parts, times=times) == [
        ("Soprano", "soprano", 1), ("Alto", "alto", 1), ("Tenor", "tenor", 1),
        ("Bass (voice)", "bass-voice", 1),
    ]  # fmt: skip


def test_two_parts_without_names_for_one_voice_are_counted():
    parts = [part(f"Part {n}", "soprano") for n in (1, 2)]
    assert sections_for(*parts) == [("Soprano 1", "soprano", 1), ("Soprano 2", "soprano", 2)]
