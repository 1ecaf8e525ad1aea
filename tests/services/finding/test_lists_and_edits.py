"""Lists that are kept, and many pieces changed at once: each one change, and undo takes it back whole."""

import pytest

from planner.core.catalogue import catalogue_of
from planner.core.piece import PieceQuery
from planner.errors import ConflictError, InputError, NotFoundError
from planner.services.changes.records import Means
from planner.services.changes.undo import undo_change
from planner.services.finding.edit_many import ManyEdit, edit_many, look_at_edit
from planner.services.finding.lists import (
    keep_list,
    list_named,
    list_of,
    put_on_list,
    remove_list,
    rename_list,
    take_off_list,
)
from planner.services.library.catalogue import correct_piece, remove_piece
from planner.services.library.on_paper import add_on_paper, blank_on_paper
from planner.services.toolbox import changing
from planner.wording.director.changes import change_sentence
from tests.checks import some
from tests.conftest import TODAY
from tests.fakes import BY, make_profile, make_source


@pytest.fixture
def ids(tools):
    with tools.work() as work:
        return list(work.pieces.titles())


def newest(tools):
    with tools.work() as work:
        return work.changes.list_changes(1)[0]


def undo(tools):
    with changing(tools.work) as work:
        undo_change(work, newest(tools).id, BY, Means(tools.files, tools.studies))


def lists(tools):
    with tools.work() as work:
        return [(one.name, one.piece_ids, one.search) for one in work.lists.list_saved()]


def test_a_list_is_kept_changed_removed_and_each_step_undone(tools, ids):
    steps = [
        lambda work: keep_list(work, " Fall  concert ", by=BY, piece_ids=ids[:2]),
        lambda work: put_on_list(work, 1, [ids[1], ids[3], ids[2]], by=BY),
        lambda work: take_off_list(work, 1, [ids[0], ids[4]], by=BY),
        lambda work: rename_list(work, 1, "Spring", by=BY),
        lambda work: remove_list(work, 1, by=BY),
    ]
    seen, sentences = [lists(tools)], []
    for step in steps:
        with changing(tools.work) as work:
            step(work)
        seen.append(lists(tools))
        sentences.append(change_sentence(newest(tools)))
    assert seen[1] == [("Fall concert", tuple(ids[:2]), None)]
    assert seen[2] == [("Fall concert", (ids[0], ids[1], ids[3], ids[2]), None)]
    assert seen[3:] == [
        [("Fall concert", (ids[1], ids[3], ids[2]), None)],
        [("Spring", (ids[1], ids[3], ids[2]), None)],
        [],
    ]
    assert sentences == [
        "List “Fall concert”: made, 2 pieces.",
        "List “Fall concert”: 2 pieces put on.",
        "List “Fall concert”: 1 piece taken off.",
        "List “Fall concert”: now called “Spring” (was “Fall concert”).",
        "List “Spring”: removed.",
    ]
    with tools.work() as work:
        changes = [each.id for each in work.changes.list_changes(len(steps))]
    for change, before in some(list(zip(changes, reversed(seen[:-1]), strict=True))):
        with changing(tools.work) as work:
            undo_change(work, change, BY, Means(tools.files, tools.studies))
        assert lists(tools) == before
    undo(tools)
    assert lists(tools) == seen[1], "an undo is undone"


def test_what_is_moved_and_what_was_so_already_is_told(tools, ids):
    with changing(tools.work) as work:
        keep_list(work, "Fall", by=BY, piece_ids=[ids[0]])
        moved = put_on_list(work, 1, [ids[0], ids[1], ids[1]], by=BY)
        before = len(work.changes.list_changes(99))
        again = put_on_list(work, 1, ids[:2], by=BY)
        assert len(work.changes.list_changes(99)) == before, "nothing is journaled that changes nothing"
    assert (moved.moved, moved.as_before, again.moved) == ((ids[1],), (ids[0],), ())


def test_a_piece_that_goes_leaves_its_lists(tools):
    with changing(tools.work) as work:
        piece = work.pieces.add(make_source("gone"), make_profile("Gone"), TODAY)
        keep_list(work, "Fall", by=BY, piece_ids=[piece])
    with changing(tools.work) as work:
        remove_list(work, 1, by=BY)
        remove_piece(work, piece)
    undo(tools)
    assert lists(tools) == [("Fall", (), None)]


@pytest.mark.parametrize(
    ("given", "error", "sentence"),
    [
        ({"name": " "}, InputError, "needs a name"),
        ({"name": "x" * 81}, InputError, "at most 80 fit"),
        ({"name": "a\x00b"}, InputError, "control character"),
        ({"name": "FÄLL"}, ConflictError, "There is a list"),
        ({"name": "New", "piece_ids": [999]}, NotFoundError, "no piece 999"),
        ({"name": "New", "search": {"order": "level"}}, InputError, "asks for nothing") ,
        ({"name": "New", "search": {"from": "x"}}, InputError, "must be a number"),
    ],
)  # fmt: skip
def test_a_list_that_cannot_be_kept_is_refused_and_nothing_stored(tools, given, error, sentence):
    with changing(tools.work) as work:
        keep_list(work, "Fall", by=BY)
    before = lists(tools)
    with pytest.raises(error, match=sentence), changing(tools.work) as work:
        keep_list(work, **given, by=BY)
    assert lists(tools) == before


def test_a_search_finds_its_pieces_itself(tools, ids):
    with changing(tools.work) as work:
        keep_list(work, "Easy", by=BY, search={"to": "2", "offset": "50", "order": "level"})
    assert lists(tools) == [("Easy", (), {"to": "2", "order": "level"})]
    for change in (put_on_list, take_off_list):
        with pytest.raises(ConflictError, match="is a search"), changing(tools.work) as work:
            change(work, 1, ids[:1], by=BY)
    with tools.work() as work:
        assert list_named(work, "EASY") == list_named(work, "1") == list_of(work, 1)
        with pytest.raises(NotFoundError, match="no list “other”"):
            list_named(work, "other")


def catalogue(tools):
    with tools.work() as work:
        pieces, _ = work.pieces.list_pieces(PieceQuery(limit=0))
        copies = work.pieces.copies()
        return {p.id: (catalogue_of(p), dict(work.corrections.words(p.id)), copies.get(p.id)) for p in pieces}


EDIT = ManyEdit(
    add_tags="Fall, easy",
    take_tags="OLD",
    values={"shelf": "B 2", "rights": "River Press", "rights_reason": "bought"},
    add_remark="Lent to the choir",
    copies="4",
)


def test_many_pieces_are_changed_as_one_change_that_undo_takes_back_whole(tools, ids):
    with changing(tools.work) as work:
        correct_piece(work, ids[0], {"tags": ("old", "FALL"), "remarks": "first"}, BY)
    before = catalogue(tools)
    with tools.work() as work:
        seen = look_at_edit(work, ids[:3], EDIT)
    assert catalogue(tools) == before, "a look stores nothing"
    assert [one.name for one in seen.changed[0].changes] == [
        "shelf", "rights", "rights_reason", "tags", "remarks", "copies",
    ]  # fmt: skip
    with changing(tools.work) as work:
        done, change = edit_many(work, ids[:3], EDIT, by=BY, looked_at=seen.fingerprint)
    assert (done, newest(tools).id) == (seen, change)
    after = catalogue(tools)
    fields, _, copies = after[ids[0]]
    assert (fields["tags"], fields["remarks"]) == (("FALL", "easy"), "first\nLent to the choir")
    assert (fields["shelf"], fields["rights"], fields["rights_reason"]) == ("B 2", "River Press", "bought")
    assert set(copies.values()) == {4}
    assert {i for i in before if before[i] != after[i]} == set(ids[:3])
    assert "Add tags: Fall, easy" in change_sentence(newest(tools))
    undo(tools)
    assert catalogue(tools) == before
    undo(tools)
    assert catalogue(tools) == after


def test_a_hyphen_empties_and_what_is_so_already_is_counted(tools, ids):
    with changing(tools.work) as work:
        edit_many(work, ids[:2], ManyEdit(values={"shelf": "B 2"}, set_tags="a, b", copies="2"), by=BY)
        changes = len(work.changes.list_changes(99))
        same, change = edit_many(work, ids[:2], ManyEdit(values={"shelf": "B 2"}), by=BY)
        assert (same.changed, same.unchanged, change) == ((), 2, None)
        assert len(work.changes.list_changes(99)) == changes
        edit_many(work, ids[:1], ManyEdit(values={"shelf": "-"}, set_tags="-", copies="-"), by=BY)
        piece = work.pieces.get(ids[0])
        assert (piece.shelf, piece.tags, work.pieces.copies([ids[0]])) == ("", (), {})
        assert work.pieces.get(ids[1]).shelf == "B 2"


def test_a_piece_that_cannot_be_changed_so_is_named_and_the_others_are(tools, ids):
    with changing(tools.work) as work:
        (paper,) = add_on_paper(work, [blank_on_paper(TODAY)])
        correct_piece(work, ids[0], {"tags": tuple(f"t{n}" for n in range(120))}, BY)
        done, _ = edit_many(work, [*ids[:2], paper], ManyEdit(add_tags="more", copies="3"), by=BY)
    assert [(one.piece.id, one.sentence.split(":")[0]) for one in done.refused] == [
        (ids[0], "Tags"),
        (paper, "It has no list of parts, so no copies can be counted."),
    ]
    with tools.work() as work:
        assert work.pieces.get(ids[1]).tags == ("more",)
        assert ids[0] not in work.pieces.copies(), "nothing in a refused piece is changed"


@pytest.mark.parametrize(
    ("edit", "sentence"),
    [
        (ManyEdit(), "Nothing is to be changed"),
        (ManyEdit(copies="many"), "whole number from 0 to 200"),
        (ManyEdit(copies="²"), "whole number"),
        (ManyEdit(set_tags="a", add_tags="b"), "Do one of the two"),
        (ManyEdit(values={"remarks": "a"}, add_remark="b"), "Do one of the two"),
        (ManyEdit(values={"shelf": "x" * 501}), "at most 500 fit"),
    ],
)
def test_an_edit_that_cannot_be_is_refused(tools, ids, edit, sentence):
    with tools.work() as work, pytest.raises(InputError, match=sentence):
        look_at_edit(work, ids, edit)


def test_without_pieces_there_is_nothing_to_change(tools):
    with tools.work() as work, pytest.raises(InputError, match="No piece is chosen"):
        look_at_edit(work, [], EDIT)


def test_what_changed_since_it_was_looked_at_is_not_overwritten(tools, ids):
    with tools.work() as work:
        seen = look_at_edit(work, ids[:2], EDIT)
    with changing(tools.work) as work:
        correct_piece(work, ids[0], {"shelf": "Z 9"}, BY)
    before = catalogue(tools)
    with pytest.raises(ConflictError, match="changed since you looked"), changing(tools.work) as work:
        edit_many(work, ids[:2], EDIT, by=BY, looked_at=seen.fingerprint)
    assert catalogue(tools) == before
