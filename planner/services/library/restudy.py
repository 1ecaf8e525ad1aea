"""Studying pieces again whose study was made by an older version of the program."""

from collections.abc import Generator, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass
from typing import Any

from planner.core.change import Author, Change, ChangeKind, Values
from planner.core.job import Job
from planner.core.piece import KeptStudy, Piece
from planner.core.profile import PieceProfile
from planner.errors import NotFoundError, PlannerError
from planner.services.changes.journal import recorded
from planner.services.changes.records import piece_subject
from planner.services.jobs.manage import LISTED, OPEN, start_job
from planner.services.jobs.run import Steps
from planner.services.levels.index import index_levels
from planner.services.levels.section_levels import follow_levels
from planner.services.library.likenesses import compare_new
from planner.services.ports.scores import Studied
from planner.services.ports.work import UnitOfWork
from planner.services.toolbox import Toolbox, changing
from planner.study.on_paper import profile_on_paper
from planner.study.version import STUDY_VERSION

RESTUDY = "restudy"
"""Name of this kind of long work."""

MOVES_KEPT = 20
"""Pieces whose level moved that are named in the result (house choice)."""


def start_restudy(
    work: UnitOfWork, by: Author, *, with_kept: bool = False, is_asked_for: bool = True
) -> Job | None:
    """Queue a new study of every piece whose study is of an older version; None when there is none.

    Args:
        work: The transaction.
        by: Who asks for it.
        with_kept: Try those again too that could not be studied by this version before.
        is_asked_for: Somebody asks for it now. What somebody stopped goes on only then.
    """
    stale = work.pieces.find_stale(STUDY_VERSION)
    kept = {} if with_kept else work.pieces.kept_studies(STUDY_VERSION)
    waiting = [piece_id for piece_id in stale if piece_id not in kept]
    if not waiting:
        return None
    open_one = next((job for job in work.jobs.list_jobs(LISTED, OPEN) if job.kind == RESTUDY), None)
    if open_one is not None and not is_asked_for:
        return open_one
    return start_job(work, RESTUDY, {"pieces": waiting}, by)


@dataclass(frozen=True, slots=True)
class StudyStanding:
    """How the study of a piece stands to this version of the program.

    Attributes:
        is_old: An older version made it.
        kept: Why it stays in use all the same; None while it waits to be made again.
    """

    is_old: bool
    kept: KeptStudy | None = None


def study_standing(work: UnitOfWork, piece_id: int) -> StudyStanding:
    """Whether the study of a piece is up to date, and if not, why.

    Raises:
        NotFoundError: If there is no such piece.
    """
    if work.pieces.study_version(piece_id) >= STUDY_VERSION:
        return StudyStanding(is_old=False)
    return StudyStanding(True, work.pieces.kept_studies(STUDY_VERSION).get(piece_id))


def count_kept(work: UnitOfWork) -> int:
    """How many pieces keep an older study because this version could not make a new one."""
    return len(work.pieces.kept_studies(STUDY_VERSION))


def restudy(tools: Toolbox, job: Job, steps: Steps) -> Values:
    """Study the pieces of a job that are not up to date, each stored in a transaction of its own.

    What the director corrected by hand stays. A piece whose file is missing or cannot be
    read keeps the study it has; why is noted with it and with the job.

    Returns:
        How many were ``studied``, how many ``kept`` their older study, and what ``moved``:
        id, title and level before and after of each piece whose level changed.
    """
    refused = {refusal.subject_id for refusal in job.refusals}
    with tools.work() as work:
        stale, kept = work.pieces.find_stale(STUDY_VERSION), work.pieces.kept_studies(STUDY_VERSION)
        # A job that was stopped may go on in a newer program, for which more is out of date.
        asked = list(dict.fromkeys([*job.request["pieces"], *(i for i in stale if i not in kept)]))
        tried = refused & set(kept)
        waiting = [work.pieces.get(i) for i in asked if i in set(stale) and i not in tried]
        instruments = {piece.id: work.corrections.instruments(piece.id) for piece in waiting}
    done = len(asked) - len(waiting)
    steps.tell(done, len(asked))
    with closing(_outcomes(tools, waiting, instruments)) as outcomes:
        for piece, outcome in outcomes:
            if isinstance(outcome, PlannerError):
                _keep_old(tools, steps, piece, outcome)
            else:
                _store(tools, steps, piece, instruments[piece.id], outcome)
            done += 1
            steps.tell(done, len(asked), piece.title)
    with changing(tools.work) as work:
        compare_new(work)
    return _result(tools, asked, job.id)


def _outcomes(
    tools: Toolbox, pieces: Sequence[Piece], instruments: Mapping[int, Mapping[str, str]]
) -> Generator[tuple[Piece, PieceProfile | PlannerError], None, None]:
    """Each piece with its new study or with what stood in its way, as they finish."""
    there = []
    for piece in pieces:
        if piece.is_on_paper:
            yield piece, profile_on_paper(piece, instruments[piece.id])
            continue
        try:
            there.append((piece, tools.files.path_of(piece.source)))
        except PlannerError as error:
            yield piece, error
    plain = [(piece, path) for piece, path in there if not instruments[piece.id]]
    if plain:
        studies: Any = tools.studies.study_files([path for _, path in plain])
        with closing(studies):
            for which, outcome in studies:
                piece = plain[which][0]
                if isinstance(outcome, Studied):
                    tools.files.keep_clean(piece.source, outcome.clean)
                    yield piece, outcome.profile
                else:
                    yield piece, outcome
    for piece, path in there:
        if instruments[piece.id]:
            try:
                yield piece, tools.studies.study_corrected(path, instruments[piece.id])
            except PlannerError as error:
                yield piece, error


def _store(
    tools: Toolbox, steps: Steps, piece: Piece, instruments: Mapping[str, str], profile: PieceProfile
) -> None:
    """Put the new study in place of the old, unless the piece changed while it was studied."""
    by = Author(steps.job.by.door, tools.now(), steps.job.by.account)
    with changing(tools.work) as work:
        try:
            now = work.pieces.get(piece.id)
        except NotFoundError:
            return
        is_same = now.source.sha256 == piece.source.sha256
        if not is_same or dict(work.corrections.instruments(piece.id)) != dict(instruments):
            return
        with recorded(work, ChangeKind.STUDY, piece_subject(now), by, job=steps.job.id):
            work.pieces.replace_profile(piece.id, profile)
        follow_levels(work, [piece.id])


def _keep_old(tools: Toolbox, steps: Steps, piece: Piece, error: PlannerError) -> None:
    detail = str(getattr(error, "reason", ""))
    with changing(tools.work) as work:
        try:
            work.pieces.keep_study(KeptStudy(piece.id, STUDY_VERSION, error.slug, detail))
        except NotFoundError:
            return
        index_levels(work, [piece.id])
    steps.refuse(piece.title, error, piece.id)


def _result(tools: Toolbox, asked: Sequence[int], job_id: int) -> dict[str, Any]:
    with tools.work() as work:
        stale = set(work.pieces.find_stale(STUDY_VERSION))
        changes = work.changes.of_job(job_id)
    return {
        "studied": sum(piece_id not in stale for piece_id in asked),
        "kept": sum(piece_id in stale for piece_id in asked),
        "moved": _moved(changes),
    }


def _moved(changes: Sequence[Change]) -> list[dict[str, Any]]:
    """Pieces whose level changed by what is shown of it, the largest move first."""
    found = []
    for change in changes:
        before, after = change.before.get("studied_level"), change.after.get("studied_level")
        if before is not None and after is not None and round(before, 1) != round(after, 1):
            found.append((abs(after - before), change.subject.id, change.subject.name, before, after))
    found.sort(key=lambda each: (-each[0], each[1]))
    return [
        {"id": piece_id, "title": title, "before": before, "after": after}
        for _, piece_id, title, before, after in found[:MOVES_KEPT]
    ]
