"""Taking a whole import back: the pieces it brought go, but for those that somebody has used since."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from planner.core.change import Author, Change, ChangeKind, Values
from planner.core.job import Job, JobState
from planner.core.piece import PieceUse, SourceFile
from planner.errors import ConflictError, NotFoundError, PlannerError
from planner.services.changes.journal import BROUGHT
from planner.services.changes.records import Means
from planner.services.changes.undo import undo_change
from planner.services.imports.import_job import IMPORT, clear_arrival
from planner.services.jobs.manage import as_it_stands, start_job
from planner.services.jobs.run import Steps
from planner.services.ports.records import JobLocks
from planner.services.ports.work import UnitOfWork
from planner.services.toolbox import Toolbox, changing
from planner.wording.director.imports import in_use_sentence

UNDO_IMPORT = "undo-import"
"""Name of this kind of long work."""

_TAKEN_TOGETHER = 50
"""Pieces that are taken out in one transaction (house choice)."""

_ENTERED = (
    ChangeKind.DETAILS, ChangeKind.LEVEL, ChangeKind.INSTRUMENT, ChangeKind.COPIES, ChangeKind.LINK,
)  # fmt: skip
"""What a director enters about a piece: it would be lost with the piece."""


@dataclass(frozen=True, slots=True)
class Kept:
    """A piece that would stay, and why."""

    piece_id: int
    title: str
    use: PieceUse


@dataclass(frozen=True, slots=True)
class Outlook:
    """What taking an import back would do.

    Attributes:
        goes: How many pieces would go.
        restored: How many would get the file back that they had before.
        kept: Those that would stay.
        is_open: The import is under way; it is to be stopped first.
    """

    goes: int
    restored: int
    kept: tuple[Kept, ...]
    is_open: bool


def import_of_change(work: UnitOfWork, change_id: int) -> int | None:
    """The import that an entry of the journal stands for; None for every other entry.

    Raises:
        NotFoundError: If there is no such entry.
    """
    change = work.changes.get(change_id)
    if change.job is None or change.undoes is not None:
        return None
    return change.job if work.jobs.get(change.job).kind == IMPORT else None


def look_at_undo(work: UnitOfWork, locks: JobLocks, job_id: int) -> Outlook:
    """What taking an import back would do now.

    Raises:
        NotFoundError: If there is no such import.
    """
    job = _import_of(work, locks, job_id)
    entries, uses = _standing(work, job_id), _uses(work)
    new = [each for each in entries if each.kind == ChangeKind.PIECE]
    titles = work.pieces.titles({each.subject.id for each in new})
    kept = [each for each in new if each.subject.id in uses and each.subject.id in titles]
    return Outlook(
        goes=len(new) - len(kept),
        restored=len(entries) - len(new),
        kept=tuple(
            Kept(each.subject.id, titles[each.subject.id], uses[each.subject.id]) for each in reversed(kept)
        ),
        is_open=job.state in (JobState.QUEUED, JobState.RUNNING),
    )


def start_undo_import(work: UnitOfWork, locks: JobLocks, job_id: int, by: Author) -> Job:
    """Queue taking an import back; one that was stopped halfway will not go on any more.

    Raises:
        NotFoundError: If there is no such import.
        ConflictError: If it is under way, or nothing of it is left to take back.
    """
    outlook = look_at_undo(work, locks, job_id)
    if outlook.is_open:
        raise ConflictError("That import is under way.", hint="Stop it first.")
    if not outlook.goes and not outlook.restored:
        raise ConflictError(
            "Nothing of that import can be taken back: its pieces are gone already, or have been used since."
        )
    job = work.jobs.get(job_id)
    if job.state != JobState.DONE:
        work.jobs.finish(job_id, JobState.DONE, by.at, job.result)
    return start_job(work, UNDO_IMPORT, {"import": job_id}, by)


def undo_import_job(tools: Toolbox, job: Job, steps: Steps) -> Values:
    """Take the pieces out that an import brought, and give those it read anew their older file back.

    A piece that was planned, read, met or worked on since stays and is noted with the job.

    Returns:
        How many pieces were ``taken`` out, ``restored`` and ``kept``.
    """
    import_id = int(job.request["import"])
    with changing(tools.work) as work:
        work.jobs.forget_refusals(job.id)
        entries = _standing(work, import_id)
        imported = work.jobs.get(import_id)
    clear_arrival(tools, imported)
    done, kept = 0, 0
    steps.tell(done, len(entries))
    for some in _some_at_a_time([each for each in entries if each.kind == ChangeKind.PIECE]):
        kept += _take_out(tools, steps, some)
        done += len(some)
        steps.tell(done, len(entries), some[-1].subject.name)
    for entry in (each for each in entries if each.kind == ChangeKind.FILE):
        kept += _restore(tools, steps, entry)
        done += 1
        steps.tell(done, len(entries), entry.subject.name)
    with tools.work() as work:
        count = work.changes.count_of_jobs([job.id]).get(job.id)
    written = count.written if count else {}
    return {
        "taken": written.get(ChangeKind.PIECE, 0),
        "restored": written.get(ChangeKind.FILE, 0),
        "kept": kept,
    }


def _import_of(work: UnitOfWork, locks: JobLocks, job_id: int) -> Job:
    job = as_it_stands(work.jobs.get(job_id), locks)
    if job.kind != IMPORT:
        raise NotFoundError("import", job_id)
    return job


def _standing(work: UnitOfWork, import_id: int) -> list[Change]:
    """What an import wrote that was not taken back, newest first."""
    entries = work.changes.of_job(import_id)
    return [each for each in reversed(entries) if each.kind in BROUGHT and each.undone_by is None]


def _uses(work: UnitOfWork) -> Mapping[int, PieceUse]:
    """By piece, why it stays: the strongest reason of each piece that has one."""
    uses: dict[int, PieceUse] = dict.fromkeys(work.changes.subjects_of(_ENTERED), PieceUse.ENTERED)
    uses |= work.terms.piece_uses()
    uses |= {exposure.piece_id: PieceUse.MET for exposure in work.ensembles.exposures()}
    return uses | dict.fromkeys(work.results.pieces_read(), PieceUse.READ)


def _some_at_a_time(entries: Sequence[Change]) -> Iterator[Sequence[Change]]:
    for at in range(0, len(entries), _TAKEN_TOGETHER):
        yield entries[at : at + _TAKEN_TOGETHER]


def _take_out(tools: Toolbox, steps: Steps, entries: Sequence[Change]) -> int:
    """Take some pieces out in one transaction; how many stay."""
    gone: list[SourceFile] = []
    kept: list[Change] = []
    by = Author(steps.job.by.door, tools.now(), steps.job.by.account)
    with changing(tools.work) as work:
        uses, there = _uses(work), work.pieces.get_all({each.subject.id for each in entries})
        for entry in entries:
            piece = there.get(entry.subject.id)
            if piece is not None and piece.id in uses:
                kept.append(entry)
                continue
            subject = replace(entry.subject, name=piece.title) if piece else entry.subject
            nothing = dict.fromkeys(entry.after)
            back = Change(0, entry.kind, subject, entry.after, nothing, by, undoes=entry.id, job=steps.job.id)
            work.changes.mark_undone(entry.id, work.changes.add(back))
            if piece is not None:
                work.pieces.remove(piece.id)
                gone.append(piece.source)
    for source in gone:
        tools.files.remove(source)
    for entry in kept:
        piece_id = entry.subject.id
        steps.refuse(there[piece_id].title, ConflictError(in_use_sentence(uses[piece_id])), piece_id)
    return len(kept)


def _restore(tools: Toolbox, steps: Steps, entry: Change) -> int:
    """Give a piece the file back that it had before the import; 1 if it cannot be."""
    by = Author(steps.job.by.door, tools.now(), steps.job.by.account)
    try:
        with changing(tools.work) as work:
            undo_change(work, entry.id, by, Means(tools.files, tools.studies), job=steps.job.id)
    except PlannerError as error:
        steps.refuse(entry.subject.name, error, entry.subject.id)
        return 1
    return 0
