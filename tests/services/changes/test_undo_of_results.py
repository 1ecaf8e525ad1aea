"""Results and sections go back exactly, in the faked library and in the database."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from planner.adapters.db import open_library
from planner.core.ensemble import Ensemble, Section, StartBasis, StartKind
from planner.errors import ConflictError, NotFoundError
from planner.levels.starts import start_from_years
from planner.services.changes.records import Means
from planner.services.changes.undo import undo_change
from planner.services.day.log_results import log_results
from planner.services.day.result_entry import ResultEntry
from planner.services.people.roster import change_section, remove_section
from planner.services.people.starts import set_start
from planner.wording.director.changes import change_sentence
from tests.fakes import BY, FakeFiles, FakeLibrary, FakeStudies, at_a_door, make_profile, make_source

DAY = date(2026, 9, 3)
MEANS = Means(FakeFiles(), FakeStudies())


class Room:
    """A band of two sections and a piece they may read."""

    def __init__(self, library):
        self.library = library
        with library() as work:
            self.piece = work.pieces.add(make_source("Rondo"), make_profile("Rondo"), DAY)
            sections = (Section(0, "Flute", "flute", level=2.0), Section(0, "Oboe", "oboe", level=2.0))
            self.band = work.ensembles.add(Ensemble(0, "Band", sections=sections))
            work.commit()
        self.flute, self.oboe = (section.id for section in self.sections())

    def sections(self):
        with self.library() as work:
            return work.ensembles.get(self.band).sections

    def log(self, *entries, on=DAY):
        rows = [ResultEntry(section, self.piece, share, **marks) for section, share, marks in entries]
        at_a_door(self.library, log_results, self.band, on, rows, by=BY, today=on)

    def change(self, **values):
        at_a_door(self.library, change_section, replace(self.sections()[0], **values), by=BY)

    def start(self, basis):
        at_a_door(self.library, set_start, self.flute, basis, today=DAY, by=BY)

    def state(self):
        """What is stored of results, levels and met pieces, as it can be compared.

        A level that no result has moved is its own start, whether or not that is written down.
        """
        with self.library() as work:
            results = {(r.section_id, r.on): r for r in work.results.list_results()}
            met = set(work.ensembles.exposures())
            sections = [
                replace(s, start_level=s.level, start_error=s.level_error) if s.start_level is None else s
                for s in work.ensembles.get(self.band).sections
            ]
        return results, met, sections

    def journal(self):
        with self.library() as work:
            return work.changes.list_changes(50)

    def undo(self, change=None):
        change = change or self.journal()[0]
        return at_a_door(self.library, undo_change, change.id, BY, MEANS)


@pytest.fixture(params=["faked", "real"])
def room(request, tmp_path):
    if request.param == "faked":
        yield Room(FakeLibrary())
    else:
        with open_library(tmp_path / "library.sqlite") as library:
            yield Room(library)


DONE = {
    "results": lambda room: room.log((room.flute, 0.9, {"problems": ("rhythm",)}), (room.oboe, 0.4, {})),
    "another share": lambda room: room.log((room.flute, 0.3, {"second_share": 0.5, "note": "windy"})),
    "set aside": lambda room: room.log((room.flute, 0.6, {"counts": False})),
    "taken back": lambda room: room.log((room.flute, None, {})),
    "name and players": lambda room: room.change(name="Flutes", size=7, chair=2, instrument="piccolo"),
    "a number": lambda room: room.change(level=3.3),
    "years": lambda room: room.start(StartBasis(StartKind.YEARS, years=3)),
    "placement": lambda room: room.start(StartBasis(StartKind.PLACEMENT, level=2.5, share=0.7)),
}


@pytest.mark.parametrize("make", DONE.values(), ids=DONE)
def test_undo_puts_back_exactly_what_was_before_and_undoing_that_brings_it_again(room, make):
    room.log((room.flute, 0.6, {}))
    before = room.state()
    make(room)
    made = room.state()
    assert made != before
    undone = room.undo()
    assert room.state() == before
    room.undo(undone)
    assert room.state() == made


def test_results_of_a_day_are_one_change_and_the_piece_is_fresh_again(room):
    before = room.state()
    room.log((room.flute, 0.9, {}), (room.oboe, 0.8, {}))
    (change,) = room.journal()
    assert set(change.after) == {str(room.flute), str(room.oboe)}
    room.undo()
    assert room.state() == before


def test_the_same_results_again_are_no_change(room):
    for _ in range(2):
        room.log((room.flute, 0.9, {}))
    assert len(room.journal()) == 1


def test_what_another_entered_since_stays(room):
    room.log((room.flute, 0.9, {}))
    (first,) = room.journal()
    room.log((room.oboe, 0.4, {}))
    room.undo(first)
    results, met, _ = room.state()
    assert [key for key, _ in results] == [room.oboe]
    assert len(met) == 1, "the oboe has read it"
    room.undo()
    assert len(room.state()[0]) == 2


def test_a_result_entered_otherwise_since_is_named(room):
    room.log((room.flute, 0.9, {}))
    (first,) = room.journal()
    room.log((room.flute, 0.5, {}))
    before = room.state()
    sentence = r"The result of Flute of “Rondo” on Sep 3 has been changed since .*: now 50 of 100"
    with pytest.raises(ConflictError, match=sentence):
        room.undo(first)
    assert room.state() == before


def test_a_new_name_of_the_section_is_no_obstacle(room):
    room.log((room.flute, 0.9, {}))
    (first,) = room.journal()
    room.change(name="Flutes")
    room.undo(first)
    assert room.state()[0] == {}


def test_a_section_that_is_gone_is_named(room):
    room.change(size=4)
    (change,) = room.journal()
    at_a_door(room.library, remove_section, room.flute, by=BY)
    with pytest.raises(NotFoundError, match="no section “Flute”"):
        room.undo(change)


def test_changes_are_told_in_words(room):
    room.log((room.flute, 0.9, {"problems": ("rhythm", "key")}))
    room.log((room.flute, 0.9, {"problems": ("rhythm", "key"), "counts": False}))
    room.log((room.flute, 0.5, {"second_share": 0.7}), on=DAY + timedelta(days=7))
    room.log((room.flute, 0.6, {"second_share": 0.7}), on=DAY + timedelta(days=7))
    room.log((room.flute, None, {}))
    room.change(name="Flutes", size=3)
    room.start(StartBasis(StartKind.YEARS, years=1))
    assert [change_sentence(change) for change in reversed(room.journal())] == [
        "“Rondo” on Sep 3: Flute 90 of 100 with trouble in rhythm and key, entered.",
        "“Rondo” on Sep 3: Flute no longer counts (90 of 100 with trouble in rhythm and key).",
        "“Rondo” on Sep 10: Flute 50, then 70 of 100, entered.",
        "“Rondo” on Sep 10: Flute now 60, then 70 of 100 (was 50, then 70 of 100).",
        "“Rondo” on Sep 3: Flute taken back (was 90 of 100 with trouble in rhythm and key, not counting).",
        "“Flute”: name now “Flutes” (was “Flute”); players now 3 (was 1).",
        f"“Flutes”: starting level now {start_from_years(1)[0]:.1f}, from 1 year of playing "
        "(was 2.0, your own number).",
    ]


def test_many_results_are_summed_up(room):
    with room.library() as work:
        for number in range(5):
            work.ensembles.add_section(room.band, Section(0, f"Horn {number}", "horn-f", level=2.0))
        work.commit()
    everyone = [section.id for section in room.sections()]
    for marks in ({}, {"counts": False}, {"counts": True}, {"counts": None}):
        room.log(*((section, 0.8, marks) for section in everyone))
    room.log(*((section, None, {}) for section in everyone))
    assert [change_sentence(change) for change in reversed(room.journal())] == [
        f"“Rondo” on Sep 3: results of 7 sections {done}."
        for done in ("entered", "no longer count", "count again", "taken back")
    ]
