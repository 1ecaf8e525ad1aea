"""Making guides as long work: watched, stopped, gone on with, and what it says in the end."""

from pathlib import Path
from types import SimpleNamespace

import pytest

from planner.core.job import JobState
from planner.core.profile import Spot
from planner.errors import DrawingBusyError, ExportError, NotFoundError
from planner.services.jobs.kinds import KINDS
from planner.services.jobs.run import run_job
from planner.services.jobs.worker import do_next
from planner.services.sheets import drawn_ahead
from planner.services.sheets.filing import LooseFolder
from planner.services.sheets.guides_job import last_guides, start_guides
from planner.services.sheets.views import SheetKind
from planner.services.toolbox import changing
from planner.wording.director.jobs import progress_sentence
from tests.fakes import BY, FakeLocks
from tests.services.sheets.test_make_guides import (
    DAY,
    LEAP,
    TODAY,
    Engraver,
    Files,
    Writer,
    make,
    make_day,
    packet,
    with_spot,
)

FILES = ["packet.pdf", "01-flute.pdf", "02-clarinet-1.pdf", "03-clarinet-2.pdf", "04-trumpet.pdf"]


@pytest.fixture
def at_work():
    library, term_id = make_day()
    tools = SimpleNamespace(
        work=library, locks=FakeLocks(), now=lambda: BY.at, today=lambda: TODAY, files=Files(),
        engraver=Engraver(), guide_writer=Writer(), director_writer=None, exports=LooseFolder(Path("out")),
        settings=SimpleNamespace(paper="a4"),
    )  # fmt: skip
    return tools, term_id


def start(tools, term_id, kind=SheetKind.PLAIN, on=DAY):
    with changing(tools.work) as work:
        return start_guides(work, term_id, on, kind, BY)


def printed(tools):
    return sorted(path.name for path in tools.guide_writer.sheets)


def test_guides_are_made_in_the_background_and_counted(at_work):
    tools, term_id = at_work
    job, seen = start(tools, term_id), []
    done = run_job(tools, KINDS, job.id, watcher=lambda *step: seen.append(step))
    assert printed(tools) == sorted(FILES)
    assert [step[:2] for step in seen] == [(n, 5) for n in range(1, 6)]
    assert [step[2] for step in seen][::4] == ["Piece 9: Flute", "Piece 9: packet"]
    assert progress_sentence(done) == "5 files for Thursday, September 3 are ready."
    with tools.work() as work:
        assert last_guides(work, tools.locks, term_id, DAY).id == job.id
        assert last_guides(work, tools.locks, term_id, TODAY) is None
        assert list(work.terms.printed(term_id)) == [DAY]


def test_guides_that_are_stopped_go_on_when_asked_for_again(at_work):
    tools, term_id = at_work
    job = start(tools, term_id)

    def stop_after_two(done, total, what):
        if done == 2:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        run_job(tools, KINDS, job.id, watcher=stop_after_two)
    assert printed(tools) == FILES[1:3]
    assert start(tools, term_id).id == job.id
    assert do_next(tools, KINDS)
    assert printed(tools) == sorted(FILES)


def test_asked_for_twice_they_are_made_once_and_another_kind_beside_them(at_work):
    tools, term_id = at_work
    first = start(tools, term_id)
    assert start(tools, term_id).id == first.id
    assert start(tools, term_id, SheetKind.BLANKS).id != first.id
    with pytest.raises(NotFoundError):
        start(tools, term_id, on=TODAY)


def test_when_the_program_ends_they_wait_for_the_next(at_work):
    tools, term_id = at_work
    left = run_job(tools, KINDS, start(tools, term_id).id, is_ending=lambda: True)
    assert left.state is JobState.QUEUED


def test_sheets_that_cannot_be_written_end_in_a_sentence(at_work):
    tools, term_id = at_work

    def full(views, path):
        raise ExportError(path, "no space left on device")

    tools.guide_writer.write = full
    failed = run_job(tools, KINDS, start(tools, term_id).id)
    assert failed.state is JobState.FAILED
    assert "01-flute.pdf" in progress_sentence(failed)
    assert "no space left on device" in progress_sentence(failed)


def test_music_waits_for_an_engraver_that_is_busy(monkeypatch):
    monkeypatch.setattr(drawn_ahead, "ASK_AGAIN_S", 0.0)
    left = [DrawingBusyError("planned.mxl", "too many others are under way")] * 2

    class Busy(Engraver):
        def engrave(self, path, **request):
            if left:
                raise left.pop()
            return super().engrave(path, **request)

    views = packet(make(*with_spot(Spot(20, (LEAP,), weight=5.0)), engraver=Busy()))
    assert not left
    assert [line.svg for block in views[0].blocks for line in block.lines] == ["<svg part='0' from='19'/>"]
