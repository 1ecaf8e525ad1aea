"""Copies of parts: two players share a stand, and what nobody counted is enough."""

from dataclasses import replace

import pytest

from planner.core.ensemble import Ensemble, Section
from planner.core.piece import Piece
from planner.core.profile import PartProfile
from planner.matching.copies import ShortPart, copies_needed, lacks_copies, sets_of
from planner.matching.outlook import outlook_of
from tests.fakes import make_profile, make_source
from tests.services.term.library_for_plans import TUESDAY

PARTS = tuple(
    PartProfile(name, instrument, 0, 60, ("C4", "G4"), ("C4", "G4"), 2.0)
    for name, instrument in (("Flute", "flute"), ("Horn", "horn-f"))
)
PIECE = Piece(1, "Rondo", "", "", "", 2.0, 2.0, None, "", (), 2, 60.0, make_source(), TUESDAY)


def outlook(flutes=5, horns=2, more=()):
    sections = (Section(1, "Flute", "flute", size=flutes), Section(2, "Horn", "horn-f", size=horns), *more)
    return outlook_of(
        PIECE, replace(make_profile("Rondo", level=2.0), parts=PARTS), Ensemble(1, "Band", sections=sections)
    )


def test_two_players_share_a_copy_and_a_single_one_has_their_own():
    assert copies_needed(outlook()) == {"Flute": 3, "Horn": 1}


@pytest.mark.parametrize(("copies", "short"), [
    ({}, ()),
    ({"Flute": 3, "Horn": 1}, ()),
    ({"Flute": 2}, (ShortPart("Flute", 3, 2),)),
    ({"Flute": 0, "Horn": 0}, (ShortPart("Flute", 3, 0), ShortPart("Horn", 1, 0))),
    ({"Tuba": 0}, ()),
])  # fmt: skip
def test_only_counted_parts_can_be_short(copies, short):
    assert lacks_copies(copies, outlook()) == short


@pytest.mark.parametrize(("copies", "rooms"), [
    ({}, 1),
    ({"Flute": 9}, 1),
    ({"Flute": 6, "Horn": 1}, 1),
    ({"Flute": 6, "Horn": 2}, 2),
    ({"Flute": 9, "Horn": 9}, 3),
    ({"Flute": 2, "Horn": 9}, 0),
])  # fmt: skip
def test_more_rooms_need_all_parts_counted(copies, rooms):
    assert sets_of(copies, outlook()) == rooms
