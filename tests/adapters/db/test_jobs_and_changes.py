"""Long work and the journal: the database and the in-memory fakes must answer alike."""

from datetime import UTC, datetime, timedelta, timezone

import pytest

from planner.core.change import Author, Change, ChangeKind, Door, Subject
from planner.core.job import JobRefusal, JobState
from planner.core.piece import KeptStudy, PieceQuery
from planner.errors import ConflictError, NotFoundError
from tests.adapters.db.test_contract import add_piece
from tests.fakes import make_profile, make_source

AT = datetime(2026, 9, 3, 8, 30, 15, 250, UTC)
BY = Author(Door.PAGE, AT, "ada")
RONDO = Subject("piece", 7, "Rondo")


def a_change(**changed):
    values = {"before": {"title": None}, "after": {"title": "Rondo"}, "by": BY, **changed}
    return Change(0, values.pop("kind", ChangeKind.DETAILS), values.pop("subject", RONDO), **values)


def put(library, *changes):
    with library() as work:
        ids = [work.changes.add(change) for change in changes]
        work.commit()
    return ids


def queue(library, kind="restudy", **request):
    with library() as work:
        job_id = work.jobs.add(kind, request, BY)
        work.commit()
    return job_id


def job_of(library, job_id):
    with library() as work:
        return work.jobs.get(job_id)


def test_a_change_comes_back_as_it_was_written(library):
    flute = Subject("piece", 7, "Rondo", {"part": "Flute", "dimension": "rhythm"})
    change = a_change(kind=ChangeKind.LEVEL, subject=flute, before={"level": None}, after={"level": 3.5})
    (change_id,) = put(library, change)
    with library() as work:
        found = work.changes.get(change_id)
    assert (found.kind, found.subject, found.by) == (change.kind, flute, BY)
    assert (found.before, found.after) == ({"level": None}, {"level": 3.5})
    assert (found.undoes, found.undone_by, found.job) == (None, None, None)


def test_a_moment_in_another_zone_is_the_same_moment(library):
    there = AT.astimezone(timezone(timedelta(hours=-6)))
    (change_id,) = put(library, a_change(by=Author(Door.COMMAND, there)))
    with library() as work:
        assert work.changes.get(change_id).by.at == AT


def test_changes_are_listed_newest_first_and_page_by_page(library):
    first, second, third = put(library, a_change(), a_change(), a_change())
    with library() as work:
        assert [each.id for each in work.changes.list_changes(2)] == [third, second]
        assert [each.id for each in work.changes.list_changes(2, before=second)] == [first]


def test_later_changes_are_those_of_the_same_kind_and_thing(library):
    first, *_rest, last = put(
        library,
        a_change(),
        a_change(kind=ChangeKind.LEVEL),
        a_change(subject=Subject("piece", 8, "Rondo")),
        a_change(subject=Subject("piece", 7, "Rondo", {"part": "Flute"})),
        a_change(subject=Subject("piece", 7, "Rondeau")),
    )
    with library() as work:
        assert [each.id for each in work.changes.later_of(work.changes.get(first))] == [last]


def test_a_change_is_taken_back_once(library):
    first, second = put(library, a_change(), a_change())
    with library() as work:
        assert work.changes.mark_undone(first, second)
        assert not work.changes.mark_undone(first, second)
        work.commit()
    with library() as work:
        assert work.changes.get(first).undone_by == second


def test_a_change_that_is_not_there_is_named(library):
    with library() as work, pytest.raises(NotFoundError, match="no change 41"):
        work.changes.get(41)


def test_a_job_comes_back_as_it_was_asked_for(library):
    job = job_of(library, queue(library, pieces=[3, 5]))
    assert (job.kind, job.request, job.state, job.by) == ("restudy", {"pieces": [3, 5]}, JobState.QUEUED, BY)
    assert (job.done, job.total, job.what, job.result, job.refusals) == (0, 0, "", {}, ())
    assert (job.is_stop_asked, job.started_at, job.finished_at) == (False, None, None)


def test_only_one_job_of_a_kind_is_open(library):
    job_id = queue(library)
    queue(library, kind="import")
    with library() as work, pytest.raises(ConflictError):
        work.jobs.add("restudy", {}, BY)
    with library() as work:
        work.jobs.finish(job_id, JobState.STOPPED, AT, {})
        work.commit()
    with library() as work, pytest.raises(ConflictError):
        work.jobs.add("restudy", {}, BY)
    with library() as work:
        work.jobs.finish(job_id, JobState.DONE, AT, {})
        work.commit()
    assert queue(library) != job_id


def test_a_job_goes_from_queued_to_done(library):
    job_id = queue(library)
    with library() as work:
        assert work.jobs.begin(job_id, AT)
        assert not work.jobs.report(job_id, 3, 10, "Rondo")
        work.commit()
    job = job_of(library, job_id)
    assert (job.state, job.started_at, job.done, job.total, job.what) == (
        JobState.RUNNING, AT, 3, 10, "Rondo",
    )  # fmt: skip
    with library() as work:
        work.jobs.finish(job_id, JobState.DONE, AT, {"studied": 10})
        work.commit()
    job = job_of(library, job_id)
    assert (job.state, job.finished_at, job.result) == (JobState.DONE, AT, {"studied": 10})
    with library() as work:
        assert not work.jobs.begin(job_id, AT)
        work.jobs.queue_again(job_id)
        work.commit()
    assert job_of(library, job_id).state == JobState.DONE


def test_a_running_job_is_asked_to_stop_and_can_go_on(library):
    job_id = queue(library)
    with library() as work:
        work.jobs.begin(job_id, AT)
        work.jobs.ask_stop(job_id)
        work.commit()
    assert job_of(library, job_id).is_stop_asked
    with library() as work:
        assert work.jobs.report(job_id, 1, 2, "")
        work.jobs.finish(job_id, JobState.STOPPED, AT, {})
        work.commit()
    with library() as work:
        work.jobs.queue_again(job_id)
        work.commit()
    job = job_of(library, job_id)
    assert (job.state, job.is_stop_asked, job.done) == (JobState.QUEUED, False, 1)


def test_a_queued_job_stops_at_once(library):
    job_id = queue(library)
    with library() as work:
        work.jobs.ask_stop(job_id)
        work.commit()
    assert job_of(library, job_id).state == JobState.STOPPED


def test_refusals_are_kept_in_order_and_once_a_thing(library):
    job_id = queue(library)
    rondo = JobRefusal("rondo.mxl", "not-found", "gone", 7)
    air = JobRefusal("air.mxl", "score-read", "empty", 8)
    with library() as work:
        for refusal in (rondo, air, JobRefusal("rondo.mxl", "score-read", "damaged", 7)):
            work.jobs.refuse(job_id, refusal)
        work.commit()
    told = job_of(library, job_id).refusals
    assert told == (air, JobRefusal("rondo.mxl", "score-read", "damaged", 7))


def test_jobs_are_listed_newest_first_and_by_state(library):
    first, second, third = (queue(library, kind=kind) for kind in ("restudy", "import", "plan"))
    with library() as work:
        work.jobs.begin(second, AT)
        work.commit()
    with library() as work:
        assert [job.id for job in work.jobs.list_jobs(9)] == [third, second, first]
        assert [job.id for job in work.jobs.list_jobs(9, (JobState.QUEUED,))] == [third, first]
        assert [job.id for job in work.jobs.list_jobs(1)] == [third]


def test_a_job_that_is_not_there_is_named(library):
    for ask in ("get", "ask_stop", "queue_again"):
        with library() as work, pytest.raises(NotFoundError, match="no job 41"):
            getattr(work.jobs, ask)(41)


def test_of_long_work_the_newest_entry_is_listed_and_the_others_counted(library):
    first_job, second_job = queue(library), queue(library, kind="import")
    alone, *_ = put(library, a_change(), *[a_change(job=first_job)] * 3, a_change(job=second_job))
    with library() as work:
        listed = work.changes.list_changes(9)
        assert [each.job for each in listed] == [second_job, first_job, None]
        assert listed[-1].id == alone
        counts = work.changes.count_of_jobs([first_job, second_job])
        assert {job: count.total for job, count in counts.items()} == {first_job: 3, second_job: 1}
        of_first = [each.id for each in work.changes.of_job(first_job)]
        assert of_first == sorted(of_first)
        assert listed[1].id == of_first[-1]


def test_words_are_as_printed_until_the_director_writes_others(library):
    piece_id = add_piece(library, title="Rondo")
    with library() as work:
        assert set(work.corrections.words(piece_id).values()) == {None}
        work.corrections.put_words(piece_id, {"title": "Rondeau", "rights": ""})
        work.commit()
    with library() as work:
        assert work.corrections.words(piece_id) == {
            "title": "Rondeau", "composer": None, "arranger": None, "rights": "",
        }  # fmt: skip
        work.corrections.put_words(piece_id, {"title": None})
        work.commit()
    with library() as work:
        assert work.pieces.get(piece_id).title == "Rondo"
        assert work.corrections.words(piece_id)["title"] is None
        assert work.corrections.words(piece_id)["rights"] == ""
        found, _ = work.pieces.list_pieces(PieceQuery(text="rondo"))
        assert [piece.id for piece in found] == [piece_id]


def test_a_word_set_back_follows_the_newer_study(library):
    piece_id = add_piece(library, title="Rondo")
    with library() as work:
        work.corrections.put_words(piece_id, {"title": "Rondeau"})
        work.pieces.replace_profile(piece_id, make_profile("Rondo in F"))
        assert work.pieces.get(piece_id).title == "Rondeau"
        work.corrections.put_words(piece_id, {"title": None})
        assert work.pieces.get(piece_id).title == "Rondo in F"


def test_pieces_with_an_older_study_are_found(library):
    old = add_piece(library, "old", study_version=2)
    new = add_piece(library, "new", study_version=3)
    with library() as work:
        assert work.pieces.find_stale(3) == (old,)
        assert work.pieces.find_stale(4) == (old, new)
        assert work.pieces.study_version(old) == 2
        hashes = [make_source("old").sha256, make_source("new").sha256]
        assert work.pieces.find_studied(hashes, 3) == {make_source("new").sha256: new}
        assert len(work.pieces.find_studied(hashes, 2)) == 2


def test_why_a_study_is_kept_is_noted_until_there_is_a_new_one(library):
    piece_id = add_piece(library, study_version=2)
    kept = KeptStudy(piece_id, 3, "score-read", "it is empty")
    with library() as work:
        work.pieces.keep_study(kept)
        work.pieces.keep_study(kept)
        work.commit()
    with library() as work:
        assert work.pieces.kept_studies(3) == {piece_id: kept}
        assert work.pieces.kept_studies(4) == {}
        work.pieces.replace_profile(piece_id, make_profile("Rondo", study_version=3))
        work.commit()
    with library() as work:
        assert work.pieces.kept_studies(3) == {}
    with library() as work, pytest.raises(NotFoundError):
        work.pieces.keep_study(KeptStudy(41, 3, "not-found"))
