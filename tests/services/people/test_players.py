"""Players and their seats, on faked ports: they join, move, leave, come back; names are asked about."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from planner.core.ensemble import Exposure, Section
from planner.core.freshness import is_fresh
from planner.errors import ConflictError, EntriesError, InputError, NotFoundError, QuestionError
from planner.services.changes.journal import list_journal
from planner.services.changes.undo import undo_change
from planner.services.people import players, roster
from planner.services.people.exposures import record_exposures
from planner.services.people.lists.players_table import SeatEntry, save_players, seat_texts
from planner.wording.director.changes import change_sentence
from tests.fakes import BY, FakeLibrary, at_a_door, make_profile, make_source
from tests.services.people.test_roster import MEANS

START, CONCERT, TODAY = date(2025, 9, 1), date(2026, 5, 2), date(2026, 9, 3)


class Room:
    """A band with flutes and horns, and what can be done there."""

    def __init__(self):
        self.library = FakeLibrary()
        self.band = at_a_door(self.library, roster.add_ensemble, "Band", by=BY).id
        for name, instrument in (("Flute", "flute"), ("Horn", "horn-f")):
            at_a_door(self.library, roster.add_section, self.band, Section(0, name, instrument), by=BY)
        self.flute, self.horn = (section.id for section in self.ensemble().sections)
        with self.library() as work:
            self.piece = work.pieces.add(make_source(), make_profile(), TODAY)
            work.commit()

    def ensemble(self):
        return at_a_door(self.library, roster.get_ensemble, self.band)

    def seats(self):
        return [
            (s.name, p.name, p.joined, p.left) for s in self.ensemble().sections for p in s.players
        ]  # fmt: skip

    def do(self, service, *args, **named):
        named = {"by": BY, **named}
        if service is not players.rename_player and service is not players.remove_player:
            named = {"today": TODAY, **named}
        return at_a_door(self.library, service, *args, **named)

    def add(self, name, section=None, **named):
        return self.do(players.add_player, section or self.flute, name, **named)

    def undo(self, count=1):
        """Take the newest changes back, the newest first."""
        with self.library() as work:
            newest = [entry.change.id for entry in list_journal(work).entries[:count]]
        for change_id in newest:
            self.undo_one(change_id)

    def undo_one(self, change_id):
        at_a_door(self.library, undo_change, change_id, BY, MEANS)

    def newest(self):
        with self.library() as work:
            return list_journal(work).entries[0].change


@pytest.fixture
def room():
    return Room()


def test_a_section_grows_when_more_are_named_than_it_counts(room):
    for name in ("Ida", "Jo", "Kim"):
        room.add(name, joined=START)
    assert room.ensemble().sections[0].size == 3


@pytest.mark.parametrize(
    ("name", "days", "said"),
    [
        ("Ida", {"joined": TODAY, "left": START}, "cannot have left before joining"),
        ("  ", {}, "A player needs a name."),
        ("Ida", {"joined": date(1026, 9, 1)}, "more than 80 years ago"),
        ("Ida", {"left": date(2062, 6, 1)}, "more than a school year away"),
    ],
)
def test_a_player_that_cannot_be_is_refused_in_words(room, name, days, said):
    with pytest.raises(InputError, match=said):
        room.add(name, **days)
    with pytest.raises(NotFoundError):
        room.add("Ida", 99)
    assert room.seats() == []


def test_a_name_that_is_there_is_asked_about(room):
    room.add("Ida Weir")
    with pytest.raises(QuestionError, match=r"in Flute of Band\. Is this the same person\?"):
        room.add("IDA  weir", room.horn)
    person = room.ensemble().sections[0].players[0].person
    room.add("Ida Weir", room.horn, person=person)
    room.add("Ida Weir", room.horn, person=players.SOMEONE_ELSE)
    people = [p.person for s in room.ensemble().sections for p in s.players]
    assert people[0] == people[1] != people[2]
    with pytest.raises(ConflictError, match="sits in Horn already"):
        room.add("Ida Weir", room.horn, person=person)


def test_a_player_who_moves_brings_what_the_old_section_met(room):
    ida = room.add("Ida", joined=START)
    met = Exposure(room.band, room.piece, "rehearsed", CONCERT, room.flute)
    room.do(record_exposures, [met])
    moved = date(2026, 9, 1)
    room.do(players.move_player, ida, room.horn, on=moved)
    assert room.seats() == [("Flute", "Ida", START, moved), ("Horn", "Ida", moved, None)]
    ensemble = replace(room.ensemble(), sections=(room.ensemble().sections[1],))
    assert is_fresh(room.piece, replace(ensemble, id=9), [met], TODAY)
    assert not is_fresh(room.piece, room.ensemble(), [met], TODAY, section_id=room.horn)
    with room.library() as work:
        stored = work.changes.list_changes(1)[0]
    assert "Ida" not in str((stored.before, stored.after)), "names are put in when it is shown"
    room.undo()
    assert room.seats() == [("Flute", "Ida", START, None)]


def test_one_entered_in_the_wrong_section_is_moved_as_if_always_there(room):
    ida = room.add("Ida", joined=START)
    room.do(players.move_player, ida, room.horn)
    assert room.seats() == [("Horn", "Ida", START, None)]
    room.do(players.move_player, ida, room.horn)
    choir = at_a_door(room.library, roster.add_ensemble, "Choir", by=BY)
    alto = at_a_door(room.library, roster.add_section, choir.id, Section(0, "Alto", "alto"), by=BY)
    with pytest.raises(InputError, match="Alto is a section of Choir"):
        room.do(players.move_player, ida, alto.id)


def test_one_leaves_and_comes_back(room):
    ida = room.add("Ida", joined=START)
    room.do(players.set_days, ida, START, CONCERT)
    assert room.ensemble().sections[0].size == 1
    with pytest.raises(ConflictError, match="has not left Flute by then"):
        room.do(players.come_back, ida, CONCERT - timedelta(days=1))
    room.do(players.come_back, ida, TODAY)
    assert room.seats() == [("Flute", "Ida", START, CONCERT), ("Flute", "Ida", TODAY, None)]
    assert len({p.person for p in room.ensemble().sections[0].players}) == 1
    room.undo(2)
    assert room.seats() == [("Flute", "Ida", START, None)]


def test_a_name_is_changed_on_every_seat_and_asked_about(room):
    room.add("Ida")
    jo = room.add("Jo", room.horn)
    person = room.ensemble().sections[1].players[0].person
    with pytest.raises(QuestionError, match=r"Is this the same person\?"):
        room.do(players.rename_player, person, "ida")
    room.do(players.rename_player, person, " Jo  Ash ")
    assert [row[1] for row in room.seats()] == ["Ida", "Jo Ash"]
    assert change_sentence(room.newest()) == "“Jo Ash”: now called “Jo Ash” (was “Jo”)."
    room.undo()
    room.do(players.remove_player, jo)
    assert [row[1] for row in room.seats()] == ["Ida"]
    assert change_sentence(room.newest()) == "“Band”: Jo taken out of Horn."
    room.undo()
    assert [row[1] for row in room.seats()] == ["Ida", "Jo"]


def entries(room, **typed):
    """The rows of the table, by name what was typed in them."""
    found = [(seat_texts(s, player), player) for s in room.ensemble().sections for player in s.players]
    return [SeatEntry(p.id, texts | typed.get(p.name, {}), texts) for texts, p in found]


def test_a_table_of_players_is_one_change(room):
    for name in ("Ida", "Jo", "Kim"):
        room.add(name)
    before = room.seats()
    rows = entries(
        room, Ida={"section": str(room.horn)}, Jo={"joined": "9/1/2025", "last_day": "2026-06-11"},
        Kim={"name": "Kim Ash"},
    )  # fmt: skip
    saved = room.do(save_players, room.band, rows, moves_on=TODAY)
    assert (saved.moved, saved.days, saved.renamed, saved.total) == (1, 1, 1, 3)
    assert room.seats() == [
        ("Flute", "Ida", None, TODAY), ("Flute", "Jo", START, date(2026, 6, 12)),
        ("Flute", "Kim Ash", None, None), ("Horn", "Ida", TODAY, None),
    ]  # fmt: skip
    room.undo(2)
    assert room.seats() == before


def test_cells_that_cannot_be_used_are_named_and_nothing_is_stored(room):
    ida, jo = room.add("Ida"), room.add("Jo")
    before = room.seats()
    rows = entries(room, Ida={"joined": "soon"}, Jo={"name": "ida"})
    with pytest.raises(EntriesError) as caught:
        room.do(save_players, room.band, rows)
    assert "“soon” is not a date" in caught.value.faults[f"{ida} joined"]
    assert "Is this the same person?" in caught.value.faults[f"{jo} same"]
    assert room.seats() == before
    opened = entries(room, Ida={"joined": "2025-09-01"})
    room.do(players.set_days, ida, CONCERT, None)
    with pytest.raises(ConflictError, match="The first day of Ida was changed meanwhile"):
        room.do(save_players, room.band, opened)
