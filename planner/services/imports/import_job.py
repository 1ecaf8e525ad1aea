"""An import as long work: it can be watched, stopped, gone on with, and taken back as a whole."""

import os
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from planner.core.change import Author, ChangeKind, Values
from planner.core.job import Job, JobState
from planner.core.piece import Piece
from planner.core.text import shown
from planner.errors import InputError
from planner.services.imports.import_scores import ImportReport, Log, Refusal, import_paths, lies_nowhere
from planner.services.imports.score_files import lies_at
from planner.services.jobs.manage import LISTED, start_job
from planner.services.jobs.run import Steps, refusal_of
from planner.services.ports.work import UnitOfWork
from planner.services.toolbox import Toolbox, changing

IMPORT = "import"
"""Name of this kind of long work."""

_NOTED_TOGETHER = 50
"""Refused files that are noted in one transaction (house choice)."""


@dataclass(frozen=True, slots=True)
class Brought:
    """The pieces that an import has stored so far, in the order of the journal.

    Attributes:
        added: New ones that are still there.
        replaced: Those that were there with an older export of their file.
        studied_again: Those that were there with an older study.
    """

    added: tuple[Piece, ...] = ()
    replaced: tuple[Piece, ...] = ()
    studied_again: tuple[Piece, ...] = ()


def start_import(
    work: UnitOfWork,
    paths: Sequence[Path],
    by: Author,
    *,
    as_one: bool = False,
    cluster: str = "",
    arrival: str = "",
) -> Job:
    """Queue an import; one of the same files that was stopped or broke off goes on instead.

    Args:
        work: The transaction.
        paths: Files, folders and zips.
        by: Who asks for it.
        as_one: A file of several movements or tunes stays one piece.
        cluster: Address of a cluster that studies the files; empty for this machine.
        arrival: Name of the room in the inbox where the files lie that came over a page; empty for none.
    """
    # The path is taken apart by the system that this runs on, and no link in it is followed.
    places = [os.path.abspath(path) for path in paths]  # noqa: PTH100
    request = {"paths": places, "as_one": as_one, "cluster": cluster, "arrival": arrival}
    for job in work.jobs.list_jobs(LISTED, (JobState.STOPPED, JobState.FAILED, JobState.RUNNING)):
        if job.kind == IMPORT and {**job.request, "cluster": cluster} == request:
            if job.state != JobState.RUNNING:
                work.jobs.queue_again(job.id, request)
            return work.jobs.get(job.id)
    return start_job(work, IMPORT, request, by)


def import_job(
    tools: Toolbox, job: Job, steps: Steps, report: Callable[[ImportReport], None] = lambda _: None
) -> Values:
    """Import the files of a job, those that are there already aside; what is refused is noted with the job.

    Args:
        tools: The ports.
        job: What was asked.
        steps: Told of each file.
        report: Told what came of it, for somebody who wants each file by name.

    Returns:
        How many pieces were ``added``, ``renewed`` (a newer study, or a newer export of the file), and how
        many files were ``unchanged`` or ``refused``.
    """
    request = job.request
    paths, arrival = [Path(path) for path in request["paths"]], str(request["arrival"])
    with changing(tools.work) as work:
        work.jobs.forget_refusals(job.id)
        before = frozenset(change.subject.id for change in work.changes.of_job(job.id))
    with _noted(steps, paths) as refuse:
        log = Log(
            by=lambda: Author(job.by.door, tools.now(), job.by.account),
            job=job.id,
            given=shown(paths[0].name) if len(paths) == 1 else "",
            refuse=refuse,
            before=before,
        )
        found = import_paths(
            paths,
            source=tools.studies_on(request["cluster"]) if request["cluster"] else tools.studies,
            files=tools.files,
            open_work=tools.work,
            today=tools.today(),
            progress=steps.tell,
            place=lies_nowhere if arrival else lies_at,
            as_one=request["as_one"],
            log=log,
            but=tools.settings.home,
        )
    report(found)
    clear_arrival(tools, job)
    with tools.work() as work:
        count = work.changes.count_of_jobs([job.id]).get(job.id)
    written = count.written if count else {}
    return {
        "added": written.get(ChangeKind.PIECE, 0),
        "renewed": written.get(ChangeKind.STUDY, 0) + written.get(ChangeKind.FILE, 0),
        "unchanged": len(found.unchanged),
        "refused": len(found.refused),
    }


def clear_arrival(tools: Toolbox, job: Job) -> None:
    """Clear away what came in over a page for an import that will not go on any more."""
    if job.kind == IMPORT and job.request["arrival"]:
        tools.inbox.remove(job.request["arrival"])


def brought_by(work: UnitOfWork, job_id: int) -> Brought:
    """The pieces an import has stored, as they are now."""
    entries = [each for each in work.changes.of_job(job_id) if each.undone_by is None]
    pieces = work.pieces.get_all({each.subject.id for each in entries})

    def of_kind(kind: ChangeKind) -> tuple[Piece, ...]:
        found = dict.fromkeys(each.subject.id for each in entries if each.kind == kind)
        return tuple(pieces[piece_id] for piece_id in found if piece_id in pieces)

    return Brought(of_kind(ChangeKind.PIECE), of_kind(ChangeKind.FILE), of_kind(ChangeKind.STUDY))


@contextmanager
def _noted(steps: Steps, given: Sequence[Path]) -> Iterator[Callable[[Refusal], None]]:
    """Notes refused files with a job, some at a time, and the rest however the block ends."""
    waiting: list[Refusal] = []

    def store() -> None:
        with changing(steps.tools.work) as work:
            for refusal in waiting:
                name = name_within(refusal.path, given)
                work.jobs.refuse(steps.job.id, refusal_of(name, InputError(refusal.sentence)))
        waiting.clear()

    def refuse(refusal: Refusal) -> None:
        waiting.append(refusal)
        if len(waiting) >= _NOTED_TOGETHER:
            store()

    try:
        yield refuse
    finally:
        if waiting:
            store()


def name_within(path: Path, given: Sequence[Path]) -> str:
    """What a file is called beside the others of an import: its place from the folder that was given on.

    Example:
        >>> name_within(Path("/home/Scores/old/a.mxl"), [Path("/home/Scores")])
        'Scores/old/a.mxl'
    """
    for each in given:
        if path.is_relative_to(each):
            return shown((Path(each.name) / path.relative_to(each)).as_posix())
    return shown(path.name)
