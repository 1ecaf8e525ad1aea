"""Pages and commands at work on one library at once: writers queue, readers never wait for long."""

import multiprocessing
import os
import threading
from concurrent.futures import ThreadPoolExecutor
from datetime import date, timedelta
from pathlib import Path

import pytest

from planner.adapters.db import open_library
from planner.adapters.store import FolderStore, Home
from planner.core.ensemble import Ensemble, Player, Section
from planner.core.piece import PieceQuery
from planner.core.term import Term, Wish
from planner.errors import ConflictError
from planner.services.imports.import_scores import import_paths
from planner.services.toolbox import changing
from tests.fakes import FakeStudies, make_profile, make_source

DAY = date(2026, 9, 3)
WRITERS, EACH = 6, 12


@pytest.fixture
def path(tmp_path):
    path = tmp_path / "library.sqlite"
    open_library(path).close()
    return path


def test_writers_in_many_threads_lose_nothing(path):
    with open_library(path) as library:
        with library() as work:
            band = work.ensembles.add(Ensemble(0, "Band", sections=(Section(0, "Flute", "flute"),)))
            flute = work.ensembles.get(band).sections[0].id
            work.commit()
        start = threading.Barrier(WRITERS)

        def write(writer):
            start.wait()
            for number in range(EACH):
                with library() as work:
                    work.ensembles.get(band)  # a page reads before it writes
                    work.ensembles.add_player(flute, Player(0, f"{writer}-{number}"))
                    work.pieces.add(make_source(f"{writer}-{number}"), make_profile(f"{writer}"), DAY)
                    work.commit()

        with ThreadPoolExecutor(WRITERS) as pool:
            list(pool.map(write, range(WRITERS)))
        with library() as work:
            names = {player.name for player in work.ensembles.get(band).sections[0].players}
            assert names == {f"{writer}-{number}" for writer in range(WRITERS) for number in range(EACH)}
            assert work.pieces.list_pieces(PieceQuery(limit=1))[1] == WRITERS * EACH


def change_one_list(library, each):
    """Many writers put so many wishes each into one list, all at once; none may be lost."""
    with library() as work:
        piece = work.pieces.add(make_source(), make_profile(), DAY)
        band = work.ensembles.add(Ensemble(0, "Band"))
        term = work.terms.add(Term(0, band, "Autumn", DAY, DAY, (DAY.weekday(),)))
        work.commit()
    start = threading.Barrier(WRITERS)

    def write(writer):
        start.wait()
        for number in range(each):
            with changing(library) as work:
                wish = Wish("banned", piece, DAY + timedelta(days=each * writer + number))
                work.terms.set_wishes(term, [*work.terms.wishes(term), wish])

    with ThreadPoolExecutor(WRITERS) as pool:
        list(pool.map(write, range(WRITERS)))
    with library() as work:
        assert len({wish.on for wish in work.terms.wishes(term)}) == WRITERS * each


def test_two_who_change_the_same_list_take_turns_and_neither_loses_the_other_s_word(path):
    with open_library(path) as library:
        change_one_list(library, EACH)


def test_of_many_who_take_the_same_name_at_once_one_gets_it(path):
    with open_library(path) as library:
        start = threading.Barrier(WRITERS)

        def write(_writer):
            start.wait()
            try:
                with library() as work:
                    work.ensembles.add(Ensemble(0, "Band"))
                    work.commit()
            except ConflictError:
                return 0
            return 1

        with ThreadPoolExecutor(WRITERS) as pool:
            assert sum(pool.map(write, range(WRITERS))) == 1
        with library() as work:
            assert len(work.ensembles.list_ensembles()) == 1


def _add_pieces(path: Path, name: str, count: int) -> None:
    with open_library(path) as library:
        for number in range(count):
            with library() as work:
                work.pieces.add(make_source(f"{name}-{number}"), make_profile(f"{name}-{number}"), DAY)
                work.commit()


def test_pages_are_read_while_two_commands_add_pieces(path):
    context = multiprocessing.get_context("fork")
    commands = [context.Process(target=_add_pieces, args=(path, name, 40)) for name in ("a", "b")]
    for command in commands:
        command.start()
    seen = []
    with open_library(path) as library:
        while any(command.is_alive() for command in commands):
            with library() as work:
                pieces, total = work.pieces.list_pieces(PieceQuery(limit=0))
                for piece in pieces[-3:]:
                    assert work.pieces.profile(piece.id).title == piece.title
            assert len(pieces) >= total
            seen.append(total)
        for command in commands:
            command.join()
        assert [command.exitcode for command in commands] == [0, 0]
        with library() as work:
            assert work.pieces.list_pieces(PieceQuery(limit=1))[1] == 80
    assert seen == sorted(seen)


def _import_files(home: Home, paths: list[Path], start) -> None:
    start.wait()
    with open_library(home.library) as library:
        report = import_paths(
            paths, source=FakeStudies(), files=FolderStore(home.scores), open_work=library, today=DAY
        )
    os._exit(len(report.refused))


def test_ten_commands_that_begin_at_once_on_a_new_home_lose_nothing_and_give_up_nothing(tmp_path):
    home, scores = Home(tmp_path / "home"), []
    for number in range(25):
        scores.append(tmp_path / f"piece-{number:02}.musicxml")
        scores[-1].write_text(f"Piece {number}")
    context = multiprocessing.get_context("fork")
    start = context.Barrier(10)
    shares = [scores[2 * number : 2 * number + 6] for number in range(10)]  # each is in up to three
    commands = [context.Process(target=_import_files, args=(home, share, start)) for share in shares]
    for command in commands:
        command.start()
    for command in commands:
        command.join()
    assert [command.exitcode for command in commands] == [0] * 10
    with open_library(home.library) as library, library() as work:
        pieces, total = work.pieces.list_pieces(PieceQuery(limit=0))
        store = FolderStore(home.scores)
        texts = sorted(store.path_of(piece.source).read_text() for piece in pieces)
    assert texts == sorted(f"Piece {number}" for number in range(24))
    assert total == 24


def test_a_reader_sees_nothing_of_an_open_transaction(path):
    with open_library(path) as library, library() as writer:
        writer.ensembles.add(Ensemble(0, "Band"))
        with library() as reader:
            assert list(reader.ensembles.list_ensembles()) == []
        writer.commit()
        with library() as reader:
            assert [ensemble.name for ensemble in reader.ensembles.list_ensembles()] == ["Band"]
