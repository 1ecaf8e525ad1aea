"""However a score is damaged, its pages and sheets are whole and the server goes on answering.

The whole sweep: ``pytest -m slow tests/adapters/web/test_damaged_scores.py -s``.
"""

import os
import socket
import subprocess
import sys
import threading
import time
import urllib.parse
import urllib.request
from pathlib import Path

import pytest
from pypdf import PdfReader

from planner.core.ensemble import Ensemble
from planner.core.piece import PieceQuery
from planner.core.term import Plan, Slot, Term
from planner.services.imports.import_scores import import_paths
from planner.services.sheets.filing import LooseFolder
from planner.services.sheets.make_guides import make_guides
from tests.adapters.scores.mutations import damaged_copies
from tests.conftest import TODAY, wired
from tests.fakes import at_a_door
from tests.reference import reference_data

SEED = 20261128
ROOT = Path(__file__).resolve().parents[3]
NOT_DRAWN = "could not be drawn"


@pytest.fixture
def named_files():
    """The two files that once ended the server and made every page wait."""
    found = sorted((reference_data() / "robustness" / "drawing").glob("*.musicxml"))
    assert len(found) >= 2
    return found


def sources():
    own = sorted((ROOT / "tests" / "scores").glob("*.musicxml"))
    return own + sorted((ROOT / "sample_library").glob("*.mxl"))[:6]


def library_of(paths, home: Path):
    """A home with those of the files that are read; refusals name their file."""
    tools = wired(home)
    report = import_paths(paths, source=tools.studies, files=tools.files, open_work=tools.work, today=TODAY)
    assert all(refusal.path.name in refusal.sentence for refusal in report.refused)
    return tools, report


class Server:
    """The real server in a process of its own, on a free port."""

    def __init__(self, home: Path) -> None:
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self._process = subprocess.Popen(
            [sys.executable, "-m", "planner", "serve", "--home", str(home), "--port", str(self.port)],
            cwd=ROOT,
            env=os.environ | {"PYTHONPATH": str(ROOT)},
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        while not self._is_open():
            assert self.is_alive(), "the server did not start"
            time.sleep(0.1)

    def _is_open(self) -> bool:
        with socket.socket() as probe:
            return probe.connect_ex(("127.0.0.1", self.port)) == 0

    def is_alive(self) -> bool:
        return self._process.poll() is None

    def get(self, address: str) -> str:
        """A page; any status but 200 raises."""
        with urllib.request.urlopen(f"http://127.0.0.1:{self.port}{address}", timeout=120) as answer:
            return answer.read().decode()

    def stop(self) -> None:
        self._process.terminate()
        self._process.wait()


def draw_all_through_the_pages(tools, home: Path) -> tuple[int, int, int]:
    """Every opening, in score and of every part, while other pages are asked for; how many of each."""
    with tools.work() as unit:
        pieces, _ = unit.pieces.list_pieces(PieceQuery(limit=0))
        parts = {piece.id: [part.name for part in unit.pieces.profile(piece.id).parts] for piece in pieces}
    server = Server(home)
    drawn = told = others = 0
    done = threading.Event()
    faults: list[BaseException] = []

    def browse() -> None:
        nonlocal others
        try:
            while not done.is_set():
                assert "<h1>" in server.get("/library/")
                others += 1
                done.wait(0.2)
        except BaseException as error:
            faults.append(error)

    other = threading.Thread(target=browse)
    other.start()
    try:
        for piece in pieces:
            assert f"/library/{piece.id}/opening.svg" in server.get(f"/library/{piece.id}")
            for name in ("", *parts[piece.id]):
                query = urllib.parse.urlencode({"part": name})
                picture = server.get(f"/library/{piece.id}/opening.svg?{query}")
                assert picture.lstrip().startswith(("<svg", "<?xml")), piece.source.name
                told += NOT_DRAWN in picture
                drawn += NOT_DRAWN not in picture
    finally:
        done.set()
        other.join()
    assert not faults
    assert server.is_alive()
    assert "<h1>" in server.get("/library/")
    server.stop()
    return drawn, told, others


def print_all_guides(tools, folder: Path) -> tuple[int, int, int]:
    """The guides of every piece, all on one day: sheets, of which some say that music could not be drawn."""
    with tools.work() as unit:
        pieces, _ = unit.pieces.list_pieces(PieceQuery(limit=0))
        band = unit.ensembles.add(Ensemble(0, "Band"))
        term = unit.terms.add(Term(0, band, "Term", TODAY, TODAY, (TODAY.weekday(),)))
        slots = tuple(Slot(TODAY, at, piece.id, "rhythm") for at, piece in enumerate(pieces))
        unit.terms.save_plan(Plan(term, slots))
        unit.commit()
    made = at_a_door(
        tools.work,
        make_guides, tools.files, tools.engraver, tools.guide_writer, term_id=term, on=TODAY,
        exports=LooseFolder(folder), today=TODAY,
    )  # fmt: skip
    texts = [
        " ".join(page.extract_text() for page in PdfReader(each.path).pages)
        for each in made
        if each.path.stem != "packet"
    ]
    assert all("Made" in text for text in texts)
    return len(pieces), len(texts), sum(NOT_DRAWN in " ".join(text.split()) for text in texts)


def test_damaged_scores_are_drawn_or_told_while_other_pages_are_answered(named_files, tmp_path):
    folder = tmp_path / "scores"
    folder.mkdir()
    tools, report = library_of(
        [*named_files, *damaged_copies(sources()[:12], folder, 6, SEED)], tmp_path / "h"
    )
    try:
        assert {f.name for f in named_files} <= {piece.source.name for piece in report.added}
        drawn, told, others = draw_all_through_the_pages(tools, tmp_path / "h")
        assert drawn > told
        assert others > 0
        pieces, sheets, _ = print_all_guides(tools, tmp_path / "guides")
        assert sheets >= pieces == len(report.added)
    finally:
        tools.close()


@pytest.mark.slow
def test_two_hundred_damaged_scores_are_drawn_or_told(named_files, tmp_path):
    folder = tmp_path / "scores"
    folder.mkdir()
    paths = damaged_copies(sources(), folder, 200, SEED)
    tools, report = library_of([*named_files, *paths], tmp_path / "h")
    try:
        drawn, told, others = draw_all_through_the_pages(tools, tmp_path / "h")
        pieces, sheets, silent = print_all_guides(tools, tmp_path / "guides")
    finally:
        tools.close()
    print(
        f"{len(paths)} files: {len(report.refused)} refused, {len(report.unchanged)} as others, "
        f"{len(report.added)} added; pages: {drawn} drawings, {told} told, {others} other pages meanwhile; "
        f"guides: {sheets} sheets of {pieces} pieces, {silent} with a sentence for music"
    )
    assert len(report.added) > len(paths) // 4
    assert drawn > 9 * told
