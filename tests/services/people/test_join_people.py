"""Two entries of the same person, on faked ports: looked at, joined as one change, parted again."""

from datetime import date

import pytest

from planner.core.ensemble import Exposure
from planner.core.term import PlayerMark
from planner.errors import ConflictError, NotFoundError
from planner.services.changes.person_gone import identities_of
from planner.services.people import players
from planner.services.people.exposures import record_exposures
from planner.services.people.join_people import join_people, likely_same, look_at_join
from planner.services.people.roster import add_ensemble
from planner.services.privacy.who import find_person, people_without_seat
from planner.wording.director.changes import change_sentence
from tests.fakes import BY, at_a_door
from tests.services.people.test_players import CONCERT, START, TODAY, Room

EARLY, LATE = date(2026, 5, 4), date(2026, 5, 11)


@pytest.fixture
def room():
    room = Room()
    room.kept, room.doubled = (
        room.add("Ida Weir", joined=START),
        room.add("Ida Wier", joined=date(2026, 1, 5)),
    )
    room.person, room.other = (player.person for player in room.ensemble().sections[0].players)
    with room.library() as work:
        for seat, on, note in (
            (room.kept, EARLY, "kept"),
            (room.doubled, EARLY, "goes"),
            (room.doubled, LATE, ""),
        ):
            work.results.put_mark(PlayerMark(seat, on, note=note))
        work.commit()
    room.do(record_exposures, [Exposure(room.band, room.piece, "heard", CONCERT, person=room.other)])
    return room


def state_of(room):
    """Everything that joining changes."""
    with room.library() as work:
        band = work.ensembles.get(room.band)
        seats = [(s.name, s.size, p.id, p.person, p.joined, p.left) for s in band.sections for p in s.players]
        met = [(each.how, each.person) for each in work.ensembles.exposures()]
        return seats, sorted(work.results.marks(room.band), key=lambda mark: mark.on), met


def test_two_seats_in_one_section_become_one_and_undo_parts_them_again(room):
    before = state_of(room)
    with room.library() as work:
        seen = look_at_join(work, room.person, room.other)
    assert (len(seen.coming), len(seen.doubled), seen.marks, seen.clashing, seen.met) == (
        0,
        1,
        2,
        (EARLY,),
        1,
    )
    assert state_of(room) == before
    at_a_door(room.library, join_people, room.person, room.other, by=BY)
    seats, marks, met = state_of(room)
    assert seats == [("Flute", 1, room.kept, room.person, START, None)]
    assert [(mark.player_id, mark.on, mark.note) for mark in marks] == [
        (room.kept, EARLY, "kept"), (room.kept, LATE, ""),
    ]  # fmt: skip
    assert met == [("heard", room.person)]
    assert change_sentence(room.newest()) == "“Ida Weir”: joined with another entry of the same player."
    joined = state_of(room)
    room.undo()
    assert state_of(room) == before
    assert change_sentence(room.newest()) == "“Ida Weir”: two entries again."
    room.undo()
    assert state_of(room) == joined


def test_seats_elsewhere_come_along_as_they_are(room):
    with room.library() as work:
        work.ensembles.move_player(room.doubled, room.horn)
        work.commit()
    before = state_of(room)
    at_a_door(room.library, join_people, room.person, room.other, by=BY)
    assert [(name, person) for name, _, _, person, _, _ in state_of(room)[0]] == [
        ("Flute", room.person), ("Horn", room.person),
    ]  # fmt: skip
    room.undo()
    assert state_of(room) == before


def test_seats_on_other_days_in_the_same_section_stay_two(room):
    room.do(players.set_days, room.kept, START, date(2026, 1, 5))
    at_a_door(room.library, join_people, room.person, room.other, by=BY)
    assert len(state_of(room)[0]) == 2


def test_after_joining_there_is_one_person_and_the_other_is_part_of_them(room):
    at_a_door(room.library, join_people, room.person, room.other, by=BY)
    with room.library() as work:
        assert identities_of(work, room.person) == {room.person, room.other}
        assert people_without_seat(work) == {}
    room.undo()
    with room.library() as work:
        assert identities_of(work, room.person) == {room.person}


def test_what_cannot_be_joined_is_refused_in_words(room):
    with room.library() as work, pytest.raises(ConflictError, match="one entry already"):
        look_at_join(work, room.person, room.person)
    with room.library() as work, pytest.raises(NotFoundError):
        look_at_join(work, room.person, 999)
    with room.library() as work:
        bare = work.ensembles.add_person("Nobody")
        with pytest.raises(ConflictError, match="nothing to join"):
            look_at_join(work, room.person, bare)


def test_names_most_alike_are_offered_first(room):
    at_a_door(room.library, add_ensemble, "Choir", by=BY)
    for name in ("Tom Ash", "Idan Weil"):
        room.add(name, room.horn)
    with room.library() as work:
        names = [name for _, name in likely_same(work, room.person)]
        assert names == ["Ida Wier", "Idan Weil", "Tom Ash"]
        assert find_person(work, "tom  ASH") == find_person(work, str(find_person(work, "Tom Ash")))
        with pytest.raises(NotFoundError):
            likely_same(work, 999)


def test_a_change_since_stands_in_the_way_of_parting(room):
    with room.library() as work:
        work.ensembles.move_player(room.doubled, room.horn)
        work.commit()
    at_a_door(room.library, join_people, room.person, room.other, by=BY)
    room.do(players.set_days, room.doubled, START, TODAY)
    with room.library() as work:
        joined = next(each for each in work.changes.every() if each.kind == "people-joined")
    with pytest.raises(ConflictError, match="a seat changed since"):
        room.undo_one(joined.id)
