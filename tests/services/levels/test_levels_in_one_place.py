"""Study, corrections and published grade stay apart; lists are sorted by the level these come to."""

from dataclasses import replace
from datetime import date
from functools import partial

import pytest

from planner.adapters.db import open_library
from planner.core.piece import PieceQuery
from planner.errors import ConflictError
from planner.services.imports.import_scores import import_paths
from planner.services.levels.correct import correct_instrument, correct_level
from planner.services.levels.in_force import profile_in_force
from planner.services.levels.index import index_levels
from planner.services.library.catalogue import correct_piece, remove_piece
from planner.services.ports.scores import Studied
from planner.services.toolbox import changing
from tests.fakes import BY, FakeFiles, FakeLibrary, FakeStudies, make_source
from tests.services.levels.test_correct import rated

DAY = date(2026, 9, 1)
correct_level, correct_instrument, correct_piece = (
    partial(service, by=BY) for service in (correct_level, correct_instrument, correct_piece)
)


class Studies(FakeStudies):
    """Studies a file again as a piece of the level its text ends with."""

    def study_files(self, paths, progress=None):
        for place, path in enumerate(paths):
            title, level = path.read_text(encoding="utf-8").split()
            yield place, Studied(rated(title, float(level)), b"clean")

    def study_corrected(self, path, instruments):
        return rated("Air", 2.4)


@pytest.fixture(params=["database", "fake"])
def library(request, tmp_path):
    if request.param == "fake":
        yield FakeLibrary()
    else:
        with open_library(tmp_path / "library.sqlite") as opened:
            yield opened


@pytest.fixture
def desk(library, tmp_path):
    """Four pieces added from files, and how to add a file again."""

    def add(name, text):
        path = tmp_path / f"{name}.musicxml"
        path.write_text(text, encoding="utf-8")
        files = FakeFiles()
        return import_paths([path], source=Studies(), files=files, open_work=library, today=DAY)

    for number, title in enumerate(("Air", "Bourree", "Canon", "Dance")):
        add(title, f"{title} {1.2 + 0.2 * number:.1f}")
    return add


def levels(library):
    """Level by title, as it is stored; every one of them is what its three sources come to."""
    with library() as work:
        pieces, _ = work.pieces.list_pieces(PieceQuery(limit=0))
        for piece in pieces:
            assert piece.level == profile_in_force(work, piece).level
        assert index_levels(work) == ()
    return {piece.title: piece.level for piece in pieces}


def test_after_every_intention_the_level_of_lists_is_what_the_sources_come_to(library, desk):
    def do(service, *given, **named):
        before = levels(library)
        with changing(library) as work:
            service(work, *given, **named)
        after = levels(library)
        return {title for title in before if title in after and before[title] != after[title]}

    others = {"Bourree", "Canon", "Dance"}
    studied = levels(library)
    assert do(correct_level, 1, 4.0) == {"Air", *others}
    assert do(correct_level, 2, 3.0, part="Flute") >= {"Bourree"}
    assert do(correct_level, 3, 3.0, dimension="rhythm") >= {"Canon"}
    assert do(correct_piece, 4, {"published_grade": 5.0}) == {"Dance"}
    assert do(correct_piece, 4, {"title": "Dance", "tags": ("new",)}) == set()
    assert do(correct_level, 2, 2.5) >= {"Bourree"}
    assert do(correct_level, 2, None) >= {"Bourree"}
    desk("Dance", "Dance 3.0")
    levels(library)
    desk("Air", "Air 2.0")
    levels(library)
    correct_instrument(library, _AnyFile(), Studies(), 1, "Flute", "oboe")
    levels(library)
    assert do(remove_piece, 3) >= {"Bourree"}, "what it taught goes with it"
    assert do(correct_level, 1, None) >= {"Air"}
    assert do(correct_level, 2, None, part="Flute") >= {"Bourree"}
    assert do(correct_piece, 4, {"published_grade": None}) == {"Dance"}
    assert levels(library)["Bourree"] == studied["Bourree"]


def test_a_level_equal_to_the_studys_can_be_the_directors_word(library, desk):
    studied = levels(library)["Canon"]
    with changing(library) as work:
        correct_level(work, 3, studied)
    desk("Canon", "Canon 3.0")
    assert levels(library)["Canon"] == studied


def test_a_piece_of_an_older_study_stands_where_the_director_put_it_else_as_studied(library, desk):
    with changing(library) as work:
        work.pieces.add(make_source("old"), replace(rated("Old", 3.0), version=0), DAY)
        correct_level(work, 1, 4.0)
        old = work.pieces.find_by_hash(make_source("old").sha256)
        index_levels(work)
        assert work.pieces.get(old.id).level == old.studied_level


def test_lists_can_be_put_right_when_their_levels_were_spoilt(library, desk):
    with changing(library) as work:
        correct_level(work, 1, 4.0)
    before = levels(library)
    with changing(library) as work:
        work.pieces.store_levels(dict.fromkeys((1, 2, 3), 5.5))
    with changing(library) as work:
        assert {moved.piece.id for moved in index_levels(work)} == {1, 2, 3}
    assert levels(library) == before


def test_an_intention_that_ends_in_an_error_moves_no_level(library, desk):
    before = levels(library)

    def fail():
        with changing(library) as work:
            correct_level(work, 1, 4.0)
            raise ConflictError("planted")

    with pytest.raises(ConflictError):
        fail()
    assert levels(library) == before


class _AnyFile:
    def path_of(self, _source):
        return None
