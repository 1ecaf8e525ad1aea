"""What is read to find pieces, and saved lists, on each kind of database."""

from dataclasses import replace
from datetime import date

import pytest

from planner.adapters.db import open_library
from planner.core.ensemble import Ensemble, Exposure, Section
from planner.core.finding import ListedPiece, SavedList
from planner.core.term import Result
from planner.errors import ConflictError
from planner.services.library.on_paper import add_on_paper, blank_on_paper
from tests.fakes import make_profile, make_source

DAY = date(2026, 9, 3)


@pytest.fixture(params=["database", "server"])
def stored(request, tmp_path):
    """A library with three pieces, of which two were read, and an open unit of work on it."""
    if request.param == "database":
        with open_library(tmp_path / "library.sqlite") as opened, opened() as work:
            yield work
    else:
        with request.getfixturevalue("server")() as work:
            yield work


def fill(work):
    ids = [work.pieces.add(make_source(title), make_profile(title), DAY) for title in ("Élan", "Dance")]
    ids += add_on_paper(work, [replace(blank_on_paper(DAY), title="air", shelf="B 2")])
    band = work.ensembles.add(Ensemble(0, "Band", sections=(Section(0, "Flute", "flute"),)))
    choir = work.ensembles.add(Ensemble(0, "Choir"))
    flute = work.ensembles.get(band).sections[0].id
    work.results.put(Result(band, flute, ids[0], DAY, 0.9, problems=("rhythm", "key")))
    work.ensembles.add_exposure(Exposure(band, ids[0], "read", date(2025, 1, 1)))
    work.ensembles.add_exposure(Exposure(choir, ids[1], "read"))
    work.ensembles.add_exposure(Exposure(band, ids[2], "performed", DAY))
    work.pieces.update(replace(work.pieces.get(ids[0]), tags=("Größe", "slow")))
    return ids, band, choir


def test_only_what_is_wanted_is_read_and_pieces_stand_by_title(stored):
    ids, band, choir = fill(stored)
    bare = stored.finding.pieces(())
    assert [one.id for one in bare] == [ids[2], ids[1], ids[0]]
    assert bare[0] == ListedPiece(ids[2], "air")
    wanted = {"tags", "is_on_paper", "is_read", "last_read", "shelf", "has_meter", "added_on"}
    meter = stored.pieces.get(ids[0]).meters[0]
    by_id = {one.id: one for one in stored.finding.pieces(wanted, level_for=band, meter=meter)}
    assert sorted(by_id[ids[0]].tags.split("\n")) == ["grosse", "slow"]
    assert [by_id[i].is_on_paper for i in ids] == [False, False, True]
    assert [(bool(by_id[i].is_read), by_id[i].last_read) for i in ids] == [
        (True, DAY),
        (False, None),
        (False, None),
    ]
    assert [bool(by_id[i].has_meter) for i in ids] == [True, True, False]
    assert (by_id[ids[2]].shelf, by_id[ids[2]].added_on) == ("B 2", DAY)
    of_choir = {one.id: one for one in stored.finding.pieces({"is_read", "last_read"}, level_for=choir)}
    assert (bool(of_choir[ids[1]].is_read), of_choir[ids[1]].last_read) == (True, None)
    assert sum(bool(one.is_read) for one in stored.finding.pieces({"is_read"})) == 2


def test_pieces_are_shown_with_level_and_reading(stored):
    ids, band, _ = fill(stored)
    shown = stored.finding.shown([ids[0], ids[1], 999], band)
    assert shown.keys() == {ids[0], ids[1]}
    first = shown[ids[0]]
    assert (first.piece, first.last_read) == (stored.pieces.get(ids[0]), DAY)
    assert first.level == stored.pieces.levels_for(band, [ids[0]])[ids[0]]
    assert stored.results.list_results(band)[0].problems == ("rhythm", "key")


def test_lists_are_stored_whole_and_lose_pieces_that_go(stored):
    ids, *_ = fill(stored)
    fall = stored.lists.add(SavedList(0, "Fall", (ids[1], ids[2], ids[0])))
    easy = stored.lists.add(SavedList(0, "easy", search={"to": "2", "text": "Größe"}))
    assert stored.lists.list_saved() == [
        SavedList(easy, "easy", (), {"to": "2", "text": "Größe"}),
        SavedList(fall, "Fall", (ids[1], ids[2], ids[0])),
    ]
    with pytest.raises(ConflictError, match="There is a list"):
        stored.lists.add(SavedList(0, "FALL"))
    stored.lists.update(SavedList(fall, "Spring", (ids[0], ids[1])))
    stored.lists.remove(easy)
    assert stored.lists.list_saved() == [SavedList(fall, "Spring", (ids[0], ids[1]))]
    stored.lists.remove(fall)
    assert stored.lists.add(SavedList(fall, "Back", (ids[2],))) == fall
    (gone,) = add_on_paper(stored, [replace(blank_on_paper(DAY), title="Gone")])
    stored.lists.update(SavedList(fall, "Back", (gone, ids[2])))
    stored.pieces.remove(gone)
    assert stored.lists.list_saved() == [SavedList(fall, "Back", (ids[2],))]
