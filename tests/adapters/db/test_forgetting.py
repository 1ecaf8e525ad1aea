"""What deleting a person's records asks of the library; and that nothing of it is left in the file."""

import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError

from planner.adapters.db import open_library
from planner.adapters.db.engine import make_engine, url_of
from planner.core.change import Author, Change, ChangeKind, Door, Subject
from planner.core.ensemble import Ensemble, Exposure, Player, Section
from planner.core.term import Attendance, PlayerMark, Result
from planner.errors import ConflictError, NotFoundError
from tests.fakes import make_profile, make_source
from tests.traces import files_naming

NAME = "Zoë Quillfeather"
READ = date(2026, 9, 3)
BY = Author(Door.PAGE, datetime(2026, 9, 3, 8, 30, tzinfo=UTC), "ada")


def fill(library):
    """A player with a mark, a remark on a result and a piece met alone; ids of ensemble, seat and person."""
    with library() as work:
        piece = work.pieces.add(make_source(), make_profile("Rondo"), READ)
        band = work.ensembles.add(Ensemble(0, "Band", sections=(Section(0, "Flute", "flute"),)))
        section = work.ensembles.get(band).sections[0].id
        seat = work.ensembles.add_player(section, Player(0, NAME))
        (person,) = work.ensembles.people()
        work.results.put_mark(PlayerMark(seat, READ, Attendance.LATE, Decimal(90), note=f"{NAME} led"))
        work.results.put(Result(band, section, piece, READ, 0.8, note=f"{NAME} was lost"))
        work.ensembles.add_exposure(Exposure(band, piece, "heard", person=person, note="at camp"))
        work.ensembles.add_exposure(Exposure(band, piece, "read", READ))
        work.commit()
    return band, seat, person


def test_texts_are_found_wherever_they_stand_and_written_back(library):
    fill(library)
    with library() as work:
        found = work.texts.find(lambda text: NAME in text)
        notes = {each.table: each for each in found if each.column == "note"}
        assert {table: each.value for table, each in notes.items()} == {
            "results": f"{NAME} was lost", "player_marks": f"{NAME} led",
        }  # fmt: skip
        for each in notes.values():
            work.texts.put(replace(each, value="nobody"))
        work.commit()
    with library() as work:
        assert not [each for each in work.texts.find(lambda text: NAME in text) if each.column == "note"]
        assert [result.note for result in work.results.list_results()] == ["nobody"]


def test_a_person_goes_once_their_seat_is_gone_and_what_they_alone_met_with_them(library):
    band, seat, person = fill(library)
    with library() as work:
        with pytest.raises(ConflictError, match="still has a seat"):
            work.ensembles.remove_person(person)
        work.results.remove_mark(seat, READ)
        work.results.remove_mark(seat, READ)
        work.ensembles.remove_player(seat)
        work.ensembles.remove_person(person)
        work.ensembles.remove_person(person)
        work.commit()
    with library() as work:
        assert work.ensembles.people() == {}
        assert [(each.how, each.person) for each in work.ensembles.exposures(band)] == [("read", None)]
        assert (work.results.marks(band), len(work.results.list_results(band))) == ((), 1)


def test_entries_of_the_journal_are_rewritten_and_taken_out_with_what_others_say_of_them(library):
    subject = Subject("ensemble", 1, "Band", {"part": "Flute"})
    new = Change(0, ChangeKind.ENSEMBLE, subject, {"name": None}, {"name": NAME}, BY)
    with library() as work:
        first = work.changes.add(new)
        second = work.changes.add(replace(new, undoes=first))
        third = work.changes.add(new)
        work.changes.mark_undone(first, second)
        scrubbed = replace(
            work.changes.get(first), subject=replace(subject, name="B", within={}), after={"name": "x"},
            by=replace(BY, account=""),
        )  # fmt: skip
        work.changes.put(scrubbed)
        work.changes.remove([second])
        with pytest.raises(NotFoundError):
            work.changes.put(replace(scrubbed, id=999))
        work.commit()
    with library() as work:
        assert [each.id for each in work.changes.every()] == [first, third]
        assert work.changes.get(first) == replace(scrubbed, undone_by=None)


def test_a_library_on_a_server_is_written_anew(server):
    fill(server)
    server.write_anew()
    with server() as work:
        assert len(work.results.list_results()) == 1


def test_nothing_of_what_was_deleted_is_left_in_the_file(tmp_path):
    with open_library(tmp_path / "library.sqlite") as library:
        _, seat, person = fill(library)
        with library() as work:
            for each in work.texts.find(lambda text: NAME in text):
                if each.table != "people":
                    work.texts.put(replace(each, value=""))
            work.results.remove_mark(seat, READ)
            work.ensembles.remove_player(seat)
            work.ensembles.remove_person(person)
            work.commit()
        assert files_naming(tmp_path, NAME) == ["library.sqlite-wal"]
        library.write_anew()
        assert files_naming(tmp_path, NAME) == []
        with library() as work:
            assert len(work.results.list_results()) == 1


@pytest.mark.parametrize("hold", ["BEGIN", "BEGIN IMMEDIATE"])
def test_who_holds_on_to_what_was_there_before_is_waited_for_and_then_named(tmp_path, monkeypatch, hold):
    monkeypatch.setattr("planner.adapters.db.engine.BUSY_TIMEOUT_S", 0.1)
    with open_library(tmp_path / "library.sqlite") as library:
        fill(library)
        with closing(sqlite3.connect(tmp_path / "library.sqlite", isolation_level=None)) as other:
            other.execute(hold)
            other.execute("SELECT count(*) FROM people").fetchall()
            with pytest.raises(ConflictError, match="players forget --finish"):
                library.write_anew()
        library.write_anew()
        with library() as work:
            work.ensembles.add_person("Ida Weir")
            work.commit()


def test_a_fault_of_the_database_does_not_say_what_was_to_be_stored(tmp_path):
    engine = make_engine(url_of(tmp_path / "library.sqlite"))
    with engine.connect() as connection, pytest.raises(DBAPIError) as caught:
        connection.execute(text("SELECT no_such_function(:name)"), {"name": NAME})
    engine.dispose()
    assert "no_such_function" in str(caught.value)
    assert NAME not in str(caught.value)
