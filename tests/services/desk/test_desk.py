"""The desk: what the week is, which sections are watched and why, what waits, each by its bare values."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from planner.core.change import Author, Door
from planner.core.ensemble import Section
from planner.core.job import Job, JobRefusal, JobState
from planner.core.term import Plan, Slot, Term, Wish
from planner.levels.history import LevelPoint, trace_level
from planner.services.desk.notes import wait_notes, watch_notes
from planner.services.desk.read_desk import read_desk
from planner.services.desk.watch import WatchKind, sections_to_watch
from planner.services.desk.week import week_of
from planner.services.levels.section_levels import SectionEvidence
from tests.services.reports.term_of_readings import make_read_term

WEDNESDAY = date(2026, 11, 25)
TERM = Term(
    1, 1, "Fall", date(2026, 9, 1), date(2026, 12, 18), (1, 3), days_off=(date(2026, 11, 26),),
    concerts=(date(2026, 11, 28),),
)  # fmt: skip


class Idle:
    """Nobody works on any job."""

    def is_held(self, _job):
        return False


def test_the_week_holds_school_days_and_what_else_there_is():
    tuesday = date(2026, 11, 24)
    plan = Plan(1, (Slot(tuesday, 0, 7, "key"), Slot(tuesday, 1, 7, "key"), Slot(tuesday, 2, 0, "")))
    week = week_of(TERM, plan, {7: "Air"}, {tuesday}, WEDNESDAY)
    assert [day.on.day for day in week] == [23, 24, 25, 26, 27, 28]
    by_day = {day.on.day: day for day in week}
    assert (by_day[24].titles, by_day[24].is_reading_day, by_day[24].has_results) == (("Air",), True, True)
    assert (by_day[26].is_off, by_day[26].is_reading_day) == (True, False)
    assert by_day[28].is_concert
    assert [day.on.day for day in week if day.is_free] == [23, 25, 27]
    sunday = week_of(TERM, None, {}, (), date(2026, 11, 22))
    assert sunday[-1].on == date(2026, 11, 22)
    after = week_of(TERM, None, {}, (), date(2027, 1, 6))
    assert all(day.is_outside for day in after)
    assert len(after) == 5


def evidence(name, shares, *, level=2.0, error=0.2, part=2.0, last=WEDNESDAY - timedelta(days=1), key=1):
    """What is known of a section after so many weekly readings of parts of one level."""
    days = [last - timedelta(weeks=len(shares) - 1 - at) for at in range(len(shares))]
    points = tuple(LevelPoint(on, part, share) for on, share in zip(days, shares, strict=True))
    section = Section(key, name, "flute", level=level, level_error=error)
    trace = trace_level(level, error, points, start_on=None if points else WEDNESDAY)
    return SectionEvidence(section, (), points, trace)


@pytest.mark.parametrize(
    ("shares", "kind", "words"),
    [
        ([0.85, 0.84, 0.86], None, ""),
        ([0.85, 0.85, 0.85, 0.1], WatchKind.OUT_OF_BAND, "far lower than expected on Nov 24, 10 of 100"),
        ([0.85, 0.85, 0.45, 0.4, 0.35], WatchKind.MISFIT, "results in a row lower than expected"),
    ],
)
def test_a_section_is_watched_for_what_its_results_show(shares, kind, words):
    found = sections_to_watch([evidence("Flute", shares)], WEDNESDAY)
    assert [each.kind for each in found] == ([kind] if kind else [])
    assert all(words in note.text for note in watch_notes(found, 5))
    assert len(watch_notes(found, 5)) == len(found)


def test_a_surprise_of_long_ago_is_no_longer_shown():
    old = evidence("Flute", [0.85, 0.85, 0.85, 0.1], last=WEDNESDAY - timedelta(days=60))
    assert WatchKind.OUT_OF_BAND not in {each.kind for each in sections_to_watch([old], WEDNESDAY)}


def test_a_level_that_slides_slowly_is_shown_as_falling_from_what_it_was_a_month_before():
    slides = evidence("Horn", [0.85, 0.85, 0.8, 0.78, 0.75, 0.72, 0.7, 0.69], error=0.3)
    (found,) = sections_to_watch([slides], WEDNESDAY)
    month_before, last = slides.trace.days[3].after, slides.trace.days[-1].after
    assert (found.kind, found.before.level, found.now) == (WatchKind.FALLING, month_before.level, last)
    (note,) = watch_notes((found,), 5)
    fell = f"Horn: its level fell from {month_before.level:.1f} to {last.level:.1f} within four weeks."
    assert note.text == fell
    assert not sections_to_watch([slides], WEDNESDAY + timedelta(days=30))


def test_first_results_that_correct_a_start_are_no_fall():
    fresh = evidence("Horn", [0.7, 0.68, 0.66, 0.7], level=3.0, part=2.0, error=0.75)
    assert fresh.trace.days[-1].after.level < 2.5
    assert WatchKind.FALLING not in {each.kind for each in sections_to_watch([fresh], WEDNESDAY)}


def test_unsure_levels_are_one_line_and_a_leader_sees_their_own():
    every = [evidence(name, [], error=0.75, key=key) for key, name in enumerate(("Flute", "Horn", "Tuba"))]
    found = sections_to_watch(every, WEDNESDAY)
    (note,) = watch_notes(found, 3)
    assert note.text.startswith("Level still unsure: Flute (")
    assert note.text.count("no results yet") == 3
    (own,) = sections_to_watch(every, WEDNESDAY, only=(1,))
    assert own.section.name == "Horn"


def test_many_sections_surprised_alike_are_one_line_and_many_others_are_cut():
    low = [0.85, 0.85, 0.45, 0.4, 0.35]
    alike = sections_to_watch([evidence(f"Section {n}", low, key=n) for n in range(8)], WEDNESDAY)
    (note,) = watch_notes(alike, 8)
    assert note.text.startswith("All sections read lower than expected")
    some = watch_notes(alike, 40)
    assert len(some) == 7
    assert some[-1].text == "and 2 more."
    assert {each.section_id for each in some[:-1]} == set(range(6))


@pytest.fixture
def desk_of():
    library, ensemble_id, term_id, today = make_read_term()
    by = Author(Door.PAGE, datetime(2027, 1, 4, 12, tzinfo=UTC))

    def read(change=lambda _work, _term: None, on=today, only=None, **named):
        with library() as work:
            change(work, term_id)
            ensemble, term = work.ensembles.get(ensemble_id), work.terms.get(term_id)
            return read_desk(work, Idle(), ensemble, term, on, only=only, **named)

    return read, by, today


def test_days_without_results_wait_the_newest_first_and_the_oldest_in_one_line(desk_of):
    read, _, today = desk_of
    desk = read()
    assert len(desk.waiting.results) == 7
    notes = wait_notes(desk)
    assert [note.on for note in notes[:3]] == list(desk.waiting.results[:3])
    assert notes[3].text.startswith("4 more days without results: ")
    assert max(desk.waiting.results) < today
    assert desk.waiting.results == tuple(sorted(desk.waiting.results, reverse=True))


def test_a_leader_waits_for_their_own_results_alone_and_a_viewer_for_none(desk_of):
    read, *_ = desk_of
    silent = next(s.id for s in read_sections(read) if s.name == "Clarinet 1")
    assert len(read(only=(silent,)).waiting.results) == 36
    viewer = read(only=())
    assert (viewer.waiting.is_nothing, viewer.watch) == (True, ())
    assert viewer.week


def read_sections(read):
    found = []
    read(lambda work, _: found.extend(work.ensembles.list_ensembles()[0].sections))
    return found


def test_stopped_work_refused_files_and_wishes_wait_until_they_are_done(desk_of):
    read, by, today = desk_of

    def change(work, term_id):
        piece = next(slot.piece_id for slot in work.terms.plan(term_id).slots if slot.on > today)
        work.terms.set_wishes(term_id, [Wish("banned", piece)])
        for kind, state, refusals in (
            ("import", JobState.DONE, (JobRefusal("a.mxl", "input"),)), ("plan", JobState.FAILED, ()),
            ("restudy", JobState.DONE, ()),
        ):  # fmt: skip
            job = Job(work.state.next_id(), kind, {}, state, by, refusals=refusals, finished_at=by.at)
            work.state.jobs[job.id] = job

    texts = [note.text for note in wait_notes(read(change))[4:]]
    assert texts == [
        "1 wish of yours is not in the plan yet.",
        "Scores added on Monday, January 4: 1 file was refused.",
        "Planning a term: it failed.",
    ]
    later = wait_notes(read(change, on=today + timedelta(days=8)))
    assert not [note for note in later if note.leads_to == "import"]
    assert [note.leads_to for note in later if note.leads_to == "job"] == ["job"]


def test_the_next_day_is_today_until_it_has_results_and_then_the_one_after(desk_of):
    read, _, today = desk_of
    desk = read()
    assert desk.next_day.on > today
    assert [day.on for day in desk.ahead] == sorted({day.on for day in desk.ahead})
    assert desk.ahead[0].on > desk.next_day.on
    assert [slot.piece.title for slot in desk.next_day.slots]
    before = read(on=desk.next_day.on)
    assert before.next_day.on == desk.next_day.on


def test_without_a_term_there_is_nothing_but_what_waits():
    library, ensemble_id, *_ = make_read_term(weeks=3)
    with library() as work:
        desk = read_desk(work, Idle(), work.ensembles.get(ensemble_id), None, WEDNESDAY)
    assert (desk.term, desk.week, desk.next_day, desk.waiting.is_nothing) == (None, (), None, True)
    assert replace(desk, term=TERM).today == WEDNESDAY
