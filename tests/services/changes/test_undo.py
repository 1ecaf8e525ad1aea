"""Every correction is in the journal, and one undo puts back exactly what was before."""

import threading
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, date, datetime, timedelta

import pytest

from planner.adapters.db import open_library
from planner.core.change import Author, Door
from planner.core.piece import PieceQuery
from planner.errors import ConflictError, NotFoundError
from planner.services.changes.journal import list_journal
from planner.services.changes.records import Means
from planner.services.changes.undo import undo_change
from planner.services.levels.correct import correct_instrument, correct_level
from planner.services.library.catalogue import correct_piece
from planner.wording.director.changes import change_sentence, moment
from tests.fakes import (
    ANOTHER_CATALOGUE,
    BY,
    FakeFiles,
    FakeLibrary,
    FakeStudies,
    at_a_door,
    make_profile,
    make_source,
)

LATER = Author(Door.COMMAND, BY.at + timedelta(hours=1))
DAY = date(2026, 9, 3)


class Desk:
    """A library of two pieces with everything an undo needs."""

    def __init__(self, folder, library) -> None:
        self.library, self.files, self.studies = library, FakeFiles(), FakeStudies()
        self.pieces = []
        for title in ("Rondo", "Air"):
            (folder / f"{title}.mxl").write_text(title, encoding="utf-8")
            with self.library() as work:
                self.pieces.append(work.pieces.add(make_source(title), make_profile(title), DAY))
                work.commit()
        self.files.path_of = lambda source: folder / source.name

    def state(self):
        """What the library holds of pieces and corrections, as it can be compared."""
        with self.library() as work:
            pieces, _ = work.pieces.list_pieces(PieceQuery(limit=0))
            return {
                piece.id: (
                    piece,
                    work.pieces.profile(piece.id),
                    dict(work.corrections.words(piece.id)),
                    work.corrections.levels(piece.id),
                    dict(work.corrections.instruments(piece.id)),
                )
                for piece in pieces
            }

    def journal(self):
        with self.library() as work:
            return [entry.change for entry in list_journal(work).entries]

    def undo(self, change, by=LATER):
        with self.library() as work:
            undone = undo_change(work, change.id, by, Means(self.files, self.studies))
            work.commit()
        return undone

    def correct(self, **values):
        at_a_door(self.library, correct_piece, self.pieces[0], values, BY)

    def set_level(self, level, part=""):
        at_a_door(self.library, correct_level, self.pieces[0], level, by=BY, part=part)

    def set_instrument(self, name):
        correct_instrument(self.library, self.files, self.studies, self.pieces[0], "Flute", name, BY)


@pytest.fixture
def desk(tmp_path):
    return Desk(tmp_path, FakeLibrary())


CORRECTIONS = {
    **{
        name: (lambda desk, name=name: desk.correct(**{name: ANOTHER_CATALOGUE[name]}))
        for name in ANOTHER_CATALOGUE
    },
    "level": lambda desk: desk.set_level(4.0),
    "level of a part": lambda desk: desk.set_level(3.0, "Flute"),
    "instrument": lambda desk: desk.set_instrument("Oboe"),
}


@pytest.mark.parametrize("make", CORRECTIONS.values(), ids=CORRECTIONS)
def test_undo_puts_back_exactly_what_was_before(desk, make):
    before = desk.state()
    make(desk)
    corrected = desk.state()
    assert corrected != before
    (change,) = desk.journal()
    assert change.by == BY
    undone = desk.undo(change)
    assert desk.state() == before
    assert (undone.before, undone.after, undone.undoes) == (change.after, change.before, change.id)
    assert undone.by == LATER
    assert [each.undone_by for each in desk.journal()] == [None, undone.id]
    desk.undo(undone)
    assert desk.state() == corrected


@pytest.mark.parametrize("make", CORRECTIONS.values(), ids=CORRECTIONS)
def test_a_second_correction_is_undone_to_the_first(desk, make):
    desk.correct(title="First", tags=("first",), published_grade=1.0, composer="First")
    desk.set_level(1.0)
    desk.set_instrument("Piccolo")
    desk.set_level(1.0, "Flute")
    before = desk.state()
    make(desk)
    desk.undo(desk.journal()[0])
    assert desk.state() == before


def test_the_database_too_goes_back_exactly_and_forth_again(tmp_path):
    with open_library(tmp_path / "library.sqlite") as library:
        desk = Desk(tmp_path, library)
        for make in CORRECTIONS.values():
            before = desk.state()
            make(desk)
            corrected = desk.state()
            undone = desk.undo(desk.journal()[0])
            assert desk.state() == before
            desk.undo(undone)
            assert desk.state() == corrected


def test_of_two_who_take_the_same_change_back_at_once_one_is_refused(tmp_path):
    with open_library(tmp_path / "library.sqlite") as library:
        desk = Desk(tmp_path, library)
        desk.correct(title="Rondeau")
        (change,) = desk.journal()
        together = threading.Barrier(2)

        def take_back():
            together.wait()
            try:
                desk.undo(change)
            except ConflictError as error:
                return str(error)
            return "done"

        with ThreadPoolExecutor(2) as two:
            ends = sorted(each.result() for each in [two.submit(take_back), two.submit(take_back)])
        assert ends.count("done") == 1, ends
        assert len(desk.journal()) == 2
        assert desk.state()[desk.pieces[0]][0].title == "Rondo"


def test_a_correction_that_changes_nothing_leaves_no_entry(desk):
    desk.correct(title="Rondo", tags=())
    desk.set_level(None)
    desk.set_instrument("")
    assert desk.journal() == []


def test_an_entry_goes_with_the_transaction_it_was_written_in(desk):
    desk.correct(title="Rondeau")
    (change,) = desk.journal()
    with desk.library() as work:
        undo_change(work, change.id, LATER, Means(desk.files, desk.studies))
    assert [each.undone_by for each in desk.journal()] == [None]


def test_what_was_changed_since_is_named_and_nothing_is_put_back(desk):
    desk.correct(title="Rondeau")
    (first,) = desk.journal()
    desk.correct(title="Rondino")
    before = desk.state()
    told = r"title of “Rondo” has been changed since on this computer, .* \(change \d+\): now “Rondino”"
    with pytest.raises(ConflictError, match=told):
        desk.undo(first)
    assert desk.state() == before
    assert desk.journal()[-1].undone_by is None


def test_a_later_change_of_something_else_is_no_obstacle(desk):
    desk.correct(title="Rondeau")
    (first,) = desk.journal()
    desk.correct(tags=("march",))
    desk.set_level(4.0)
    desk.undo(first)
    with desk.library() as work:
        piece = work.pieces.get(desk.pieces[0])
    assert (piece.title, piece.tags, piece.level) == ("Rondo", ("march",), 4.0)


def test_of_one_save_with_title_and_tags_both_go_back(desk):
    desk.correct(title="Rondeau", tags=("march",))
    (change,) = desk.journal()
    assert set(change.after) == {"title", "tags"}
    desk.undo(change)
    with desk.library() as work:
        piece = work.pieces.get(desk.pieces[0])
    assert (piece.title, piece.tags) == ("Rondo", ())


def test_a_change_is_taken_back_only_once(desk):
    desk.correct(title="Rondeau")
    (change,) = desk.journal()
    desk.undo(change)
    with pytest.raises(ConflictError, match="taken back already on the command line"):
        desk.undo(change)


def test_after_a_newer_study_the_printed_title_is_the_newer_one(desk):
    desk.correct(title="Rondeau")
    with desk.library() as work:
        work.pieces.replace_profile(desk.pieces[0], make_profile("Rondo in F"))
        work.commit()
    desk.undo(desk.journal()[0])
    with desk.library() as work:
        assert work.pieces.get(desk.pieces[0]).title == "Rondo in F"
        assert work.corrections.words(desk.pieces[0])["title"] is None


def test_an_instrument_taken_back_is_studied_without_it(desk):
    desk.set_instrument("Oboe")
    with desk.library() as work:
        assert work.pieces.profile(desk.pieces[0]).parts[0].instrument == "oboe"
    desk.undo(desk.journal()[0])
    with desk.library() as work:
        assert work.pieces.profile(desk.pieces[0]).parts[0].instrument == "flute"


def test_a_study_that_cannot_be_made_leaves_the_instrument(desk):
    desk.set_instrument("Oboe")

    def gone(_source):
        raise NotFoundError("score file of", "Rondo.mxl")

    desk.files.path_of = gone
    before = desk.state()
    with pytest.raises(NotFoundError):
        desk.undo(desk.journal()[0])
    assert desk.state() == before


def test_a_piece_that_is_gone_is_named(desk):
    desk.correct(title="Rondeau")
    (change,) = desk.journal()
    with desk.library() as work:
        work.pieces.remove(desk.pieces[0])
        work.commit()
    with pytest.raises(NotFoundError, match="no piece “Rondo”"):
        desk.undo(change)


def test_the_journal_tells_what_can_be_undone(desk):
    desk.correct(title="Rondeau")
    desk.undo(desk.journal()[0])
    with desk.library() as work:
        newest, oldest = list_journal(work).entries
    assert (newest.can_be_undone, oldest.can_be_undone) == (True, False)


def test_the_journal_goes_on_page_by_page(desk):
    for title in "abc":
        desk.correct(title=title)
    with desk.library() as work:
        page = list_journal(work, 2)
        rest = list_journal(work, 2, before=page.older)
    titles = [entry.change.after["title"] for entry in (*page.entries, *rest.entries)]
    assert titles == ["c", "b", "a"]
    assert rest.older is None


def test_changes_are_told_in_words(desk):
    desk.set_level(3.5, "Flute")
    desk.set_instrument("Oboe")
    desk.correct(title="Rondeau", tags=("march", "easy"))
    assert [change_sentence(change) for change in desk.journal()] == [
        "“Rondo”: title now “Rondeau” (was as printed); tags now march, easy (was none).",
        "“Rondo”: instrument of Flute now Oboe (was as printed).",
        "“Rondo”: level of Flute now 3.5 (was as the study finds it).",
    ]


def test_midnight_and_noon_are_twelve():
    assert moment(datetime(2026, 9, 3, 0, 5, tzinfo=UTC), UTC) == "Sep 3, 2026, 12:05 am"
    assert moment(datetime(2026, 9, 3, 12, 5, tzinfo=UTC), UTC) == "Sep 3, 2026, 12:05 pm"
