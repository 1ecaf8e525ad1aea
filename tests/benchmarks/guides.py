"""What the guides of a reading day cost: seconds a page of one core, with engraved passages.

Run: ``python -m tests.benchmarks.guides``. The demand is 0.5 s a page for a piece of 25 parts, in processor
time of one core; beside it stand the seconds that a director waits for a day of three such pieces, from a
real home through the job that page and command start, first without drawings and then with those kept. They
have no floor, as they hang on what else the machine does; 20 s for 25 parts on two cores are asked for.
Reading and studying the pieces are not in it: a study is made once, when a piece is added.
"""

import os
import resource
import sys
import time
from collections.abc import Iterator
from copy import deepcopy
from dataclasses import replace
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

from lxml import etree
from pypdf import PdfReader

from planner.adapters.engraving.engraver import GuardedEngraver
from planner.adapters.exports.guide_pdf import GuidePdf
from planner.adapters.scores.reader import read_score
from planner.bootstrap import Wiring
from planner.config import load_settings
from planner.core.change import Author, Door
from planner.core.ensemble import Ensemble
from planner.core.job import JobState
from planner.core.piece import PieceQuery, SourceFile
from planner.core.term import Plan, Slot, Term
from planner.services.imports.import_job import start_import
from planner.services.jobs.kinds import KINDS
from planner.services.jobs.run import run_job
from planner.services.sheets.filing import LooseFolder
from planner.services.sheets.guides_job import start_guides
from planner.services.sheets.make_guides import make_guides
from planner.services.sheets.views import SheetKind
from planner.services.toolbox import changing
from planner.study.study import study
from tests.benchmarks.rows import Row, print_rows
from tests.drawing import clean_root, write_clean
from tests.fakes import FakeLibrary, at_a_door, make_source
from tests.reference import reference_folder

DEMAND_S = 0.5
PARTS = 25
DAY = date(2026, 9, 1)
DAY_PIECES = ("bright-morning-overture", "fairground-march", "one-by-one")
SAMPLES = Path(__file__).resolve().parents[2] / "sample_library"


class OneFile:
    """A ``FileStore`` of one clean file."""

    def __init__(self, path: Path) -> None:
        self._path = path

    def clean_path_of(self, source: SourceFile) -> Path:
        """That file."""
        return self._path


def with_parts(path: Path, count: int, out: Path) -> Path:
    """The piece with exactly so many parts: the last ones left out, or the first ones doubled."""
    root = clean_root(path)
    listed, parts = root.find("part-list"), root.findall("part")
    assert listed is not None
    for part in parts[count:]:
        root.remove(part)
        for entry in listed.findall("score-part"):
            if entry.get("id") == part.get("id"):
                listed.remove(entry)
    for extra in range(count - len(parts)):
        double = deepcopy(parts[extra % len(parts)])
        double.set("id", f"X{extra}")
        root.append(double)
        name = etree.SubElement(etree.SubElement(listed, "score-part", {"id": f"X{extra}"}), "part-name")
        name.text = f"Extra {extra + 1}"
    out.write_bytes(etree.tostring(root))
    return out


def measure(path: Path, folder: Path) -> tuple[float, int]:
    """Processor seconds of all sheets and the packet of one piece of 25 parts; pages of the packet."""
    piece = with_parts(path, PARTS, folder / f"{path.stem}.musicxml")
    library = FakeLibrary()
    with library() as work:
        band = work.ensembles.add(Ensemble(0, "Band"))
        term = work.terms.add(Term(0, band, "Term", DAY, DAY, (DAY.weekday(),)))
        source = replace(make_source(path.stem), suffix=".musicxml")
        piece_id = work.pieces.add(source, study(read_score(piece)), DAY)
        work.terms.save_plan(Plan(term, (Slot(DAY, 0, piece_id, "rhythm"),)))
        work.commit()
    engraver = GuardedEngraver(folder / "drawings", workers=1)
    clean = OneFile(write_clean(piece, folder))
    began = _processor_s()
    made = at_a_door(
        library, make_guides, clean, engraver, GuidePdf(), term_id=term, on=DAY,
        exports=LooseFolder(folder), today=DAY,
    )  # fmt: skip
    engraver.close()
    seconds = _processor_s() - began
    assert len(made) == PARTS + 1
    return seconds, len(PdfReader(made[0].path).pages)


def day_by_the_clock(folder: Path) -> Iterator[tuple[float, int]]:
    """Seconds by the clock of all sheets of a day, made twice, and how many files they are."""
    scores = folder / "scores"
    scores.mkdir()
    for name in DAY_PIECES:
        with_parts(SAMPLES / f"{name}.mxl", PARTS, scores / f"{name}.musicxml")
    tools = Wiring(load_settings(folder / "home", {}), today=lambda: DAY)
    by = Author(Door.COMMAND, tools.now())
    with changing(tools.work) as work:
        imported = start_import(work, [str(path) for path in sorted(scores.iterdir())], by)
    run_job(tools, KINDS, imported.id)
    with changing(tools.work) as work:
        band = work.ensembles.add(Ensemble(0, "Band"))
        term = work.terms.add(Term(0, band, "Term", DAY, DAY, (DAY.weekday(),), minutes=30.0))
        pieces = sorted(work.pieces.find_ids(PieceQuery()))
        slots = (Slot(DAY, at, piece, "rhythm", minutes=10.0) for at, piece in enumerate(pieces))
        work.terms.save_plan(Plan(term, tuple(slots)))
    for _ in range(2):
        with changing(tools.work) as work:
            job = start_guides(work, term, DAY, SheetKind.PLAIN, by)
        began = time.perf_counter()
        done = run_job(tools, KINDS, job.id)
        seconds = time.perf_counter() - began
        assert done.state is JobState.DONE, done.refusals
        yield seconds, int(done.result["sheets"])
    tools.close()


def _processor_s() -> float:
    """Processor seconds of this process and of the children it has ended, their start included."""
    ended = resource.getrusage(resource.RUSAGE_CHILDREN)
    return time.process_time() + ended.ru_utime + ended.ru_stime


def rows() -> Iterator[Row]:
    """Seconds a page, sheets and packet together, over the packet's pages."""
    pieces = sorted(SAMPLES.glob("*.mxl"))[:1]
    data = reference_folder()
    if data is not None:
        pieces += [data / "ensembles" / "orchestra" / "Brahms_Op.45_1.mxl"]
    for path in pieces:
        with TemporaryDirectory() as folder:
            seconds, pages = measure(path, Path(folder))
        name = f"guides of {path.stem} with {PARTS} parts, a page"
        yield Row(name, seconds / pages, DEMAND_S, "s", at_most=True)
    with TemporaryDirectory() as folder:
        for drawn, (seconds, made) in zip(("", ", music kept"), day_by_the_clock(Path(folder)), strict=True):
            name = f"a day of {len(DAY_PIECES)} pieces with {PARTS} parts each, by the clock{drawn}"
            yield Row(name, seconds, None, "s", note=f"{made} files; {os.cpu_count()} cores")


if __name__ == "__main__":
    sys.exit(print_rows((), ("guides",)))
