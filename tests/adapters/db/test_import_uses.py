"""What an import needs of the storage: which pieces are used, what its entries say, several at a time."""

from datetime import date

import pytest

from planner.core.change import Change, ChangeKind, Subject
from planner.core.ensemble import Ensemble
from planner.core.job import JobRefusal, JobState
from planner.core.piece import PieceUse
from planner.core.term import Plan, Slot, Term, Wish
from planner.errors import ConflictError
from tests.adapters.db.test_contract import library  # noqa: F401
from tests.fakes import BY, make_profile, make_source


def test_pieces_that_are_wished_for_proposed_or_planned_are_known_with_the_strongest_use(library):  # noqa: F811
    with library() as work:
        free, wished, proposed, planned = (
            work.pieces.add(make_source(name), make_profile(name), date(2026, 9, 3)) for name in "abcd"
        )
        assert work.terms.piece_uses() == {}
        band = work.ensembles.add(Ensemble(0, "Band"))
        term = work.terms.add(Term(0, band, "Fall", date(2026, 9, 1), date(2026, 12, 1), (1,)))
        work.terms.set_wishes(term, [Wish("banned", wished), Wish("pinned", planned, date(2026, 9, 8))])
        work.terms.save_plan(Plan(term, (Slot(date(2026, 9, 8), 0, planned, "rhythm"),)))
        work.terms.save_proposal(term, {"slots": [{"piece_id": proposed}, {"piece_id": planned}]})
        assert work.terms.piece_uses() == {
            wished: PieceUse.WISHED, proposed: PieceUse.PROPOSED, planned: PieceUse.PLANNED,
        }  # fmt: skip
        assert free not in work.terms.piece_uses()


def test_several_imports_are_open_at_once_and_one_goes_on_with_another_request(library):  # noqa: F811
    with library() as work:
        first, second = (work.jobs.add("import", {"paths": [name]}, BY) for name in "ab")
        work.jobs.add("plan", {}, BY)
        with pytest.raises(ConflictError):
            work.jobs.add("plan", {}, BY)
        for job in (first, second):
            assert work.jobs.begin(job, BY.at)
        work.jobs.finish(first, JobState.STOPPED, BY.at, {})
        work.jobs.queue_again(first, {"paths": ["c"]})
        assert dict(work.jobs.get(first).request) == {"paths": ["c"]}
        assert work.jobs.get(first).state == JobState.QUEUED
        assert dict(work.jobs.get(second).request) == {"paths": ["b"]}


def test_refusals_are_forgotten_when_they_are_tried_again(library):  # noqa: F811
    with library() as work:
        job, other = (work.jobs.add("import", {"paths": [name]}, BY) for name in "ab")
        for name in ("a.mxl", "b.mxl"):
            work.jobs.refuse(job, JobRefusal(name, "input", "empty"))
            work.jobs.refuse(other, JobRefusal(name, "input", "empty"))
        work.jobs.forget_refusals(job)
        assert work.jobs.get(job).refusals == ()
        work.jobs.refuse(job, JobRefusal("c.mxl", "input", "empty"))
        assert [each.name for each in work.jobs.get(job).refusals] == ["c.mxl"]
        assert len(work.jobs.get(other).refusals) == 2


def test_entries_of_long_work_are_counted_by_kind_and_by_what_still_holds(library):  # noqa: F811
    with library() as work:
        job = work.jobs.add("import", {"paths": []}, BY)
        kinds = [ChangeKind.PIECE, ChangeKind.PIECE, ChangeKind.FILE]
        entries = [
            work.changes.add(
                Change(0, kind, Subject("piece", number, "Rondo"), {}, {"file": "a"}, BY, job=job)
            )
            for number, kind in enumerate(kinds)
        ]
        back = Change(0, ChangeKind.PIECE, Subject("piece", 0, "Rondo"), {"file": "a"}, {}, BY, entries[0])
        work.changes.mark_undone(entries[0], work.changes.add(back))
        count = work.changes.count_of_jobs([job])[job]
        assert (count.written, count.total) == ({ChangeKind.PIECE: 2, ChangeKind.FILE: 1}, 3)
        assert count.standing == {ChangeKind.PIECE: 1, ChangeKind.FILE: 1}
        assert work.changes.subjects_of([ChangeKind.PIECE]) == {1}
        assert work.changes.subjects_of([ChangeKind.PIECE, ChangeKind.FILE]) == {1, 2}
        assert work.changes.subjects_of([ChangeKind.COPIES]) == frozenset()
