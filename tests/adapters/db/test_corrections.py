"""What the director corrected by hand, in the database and in its fake alike."""

from dataclasses import replace
from datetime import date

import pytest

from planner.adapters.db import open_library
from planner.core.difficulty import LevelCorrection
from planner.errors import NotFoundError
from tests.fakes import FakeLibrary, make_profile, make_source

DAY = date(2026, 9, 3)


@pytest.fixture(params=["database", "fake"])
def library(request, tmp_path):
    if request.param == "fake":
        yield FakeLibrary()
    else:
        with open_library(tmp_path / "library.sqlite") as opened:
            yield opened


@pytest.fixture
def piece_ids(library):
    with library() as work:
        ids = [work.pieces.add(make_source(t), make_profile(t, level=2.0), DAY) for t in ("air", "rondo")]
        work.commit()
    return ids


def test_levels_of_pieces_parts_and_dimensions_come_back_in_order(library, piece_ids):
    one, other = piece_ids
    said = [
        LevelCorrection(one, 3.0),
        LevelCorrection(one, 2.5, "", "key"),
        LevelCorrection(one, 1.5, "Flute"),
        LevelCorrection(other, 4.0, "Horn", "range"),
    ]
    with library() as work:
        for correction in reversed(said):
            work.corrections.put_level(correction)
        work.commit()
    with library() as work:
        assert list(work.corrections.levels()) == said
        assert list(work.corrections.levels(other)) == said[3:]


def test_the_last_word_on_a_place_holds(library, piece_ids):
    with library() as work:
        for level in (3.0, 3.5):
            work.corrections.put_level(LevelCorrection(piece_ids[0], level, "Flute"))
            work.corrections.put_level(LevelCorrection(piece_ids[0], level))
        assert [each.level for each in work.corrections.levels()] == [3.5, 3.5]


def test_levels_stored_for_lists_are_no_corrections_and_corrections_leave_them_alone(library, piece_ids):
    one, other = piece_ids
    with library() as work:
        work.pieces.store_levels({one: 2.3, other: None})
        work.corrections.put_level(LevelCorrection(other, 4.0))
        work.pieces.update(replace(work.pieces.get(one), title="Air in D", level=5.0))
        work.commit()
    with library() as work:
        assert [work.pieces.get(i).level for i in piece_ids] == [2.3, None]
        assert [work.pieces.get(i).studied_level for i in piece_ids] == [2.0, 2.0]
        assert [each.piece_id for each in work.corrections.levels()] == [other]
        work.pieces.replace_profile(one, make_profile("air", level=2.6))
        assert (work.pieces.get(one).level, work.pieces.get(one).studied_level) == (2.6, 2.6)


def test_what_is_taken_back_is_gone_and_what_was_never_there_may_be_taken_back(library, piece_ids):
    with library() as work:
        work.corrections.put_level(LevelCorrection(piece_ids[0], 3.0))
        work.corrections.put_level(LevelCorrection(piece_ids[0], 3.0, "Flute", "key"))
        work.corrections.remove_level(piece_ids[0])
        work.corrections.remove_level(piece_ids[0], "Flute", "key")
        work.corrections.remove_level(piece_ids[0], "Horn")
        assert work.corrections.levels() == ()


def test_instruments_are_kept_by_part_and_go_with_the_empty_word(library, piece_ids):
    with library() as work:
        work.corrections.put_instrument(piece_ids[0], "Melody", "flute")
        work.corrections.put_instrument(piece_ids[0], "Melody", "oboe")
        work.corrections.put_instrument(piece_ids[0], "Bass", "tuba")
        work.commit()
    with library() as work:
        assert work.corrections.instruments(piece_ids[0]) == {"Melody": "oboe", "Bass": "tuba"}
        assert work.corrections.instruments(piece_ids[1]) == {}
        work.corrections.put_instrument(piece_ids[0], "Melody", "")
        assert work.corrections.instruments(piece_ids[0]) == {"Bass": "tuba"}


def test_corrections_go_with_their_piece(library, piece_ids):
    with library() as work:
        work.corrections.put_level(LevelCorrection(piece_ids[0], 3.0, "Flute"))
        work.corrections.put_instrument(piece_ids[0], "Flute", "oboe")
        work.pieces.remove(piece_ids[0])
        work.commit()
    with library() as work:
        assert work.corrections.levels() == ()
        assert work.corrections.instruments(piece_ids[0]) == {}


def test_a_piece_that_is_not_there_cannot_be_corrected(library):
    with library() as work:
        with pytest.raises(NotFoundError):
            work.corrections.put_level(LevelCorrection(7, 3.0))
        with pytest.raises(NotFoundError):
            work.corrections.put_instrument(7, "Flute", "oboe")


def test_what_is_not_committed_is_forgotten(library, piece_ids):
    with library() as work:
        work.corrections.put_level(LevelCorrection(piece_ids[0], 3.0))
        work.corrections.put_level(LevelCorrection(piece_ids[0], 3.0, "Flute"))
    with library() as work:
        assert work.corrections.levels() == ()
