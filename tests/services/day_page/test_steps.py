"""The steps of a day with their seconds, its presses, its procedure."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest

from planner.core.day_clock import Press, StepKind
from planner.core.term import DayShape, Plan, Reason, ReasonKind, Slot, Station
from planner.errors import NotFoundError
from planner.services.changes.journal import list_journal
from planner.services.changes.records import Means
from planner.services.changes.undo import undo_change
from planner.services.day.read_day import read_day
from planner.services.day_page.clock import StepMovedError, clock_standing, press_clock
from planner.services.day_page.procedure import set_procedure
from planner.services.day_page.room_day import room_day, script_of
from planner.services.day_page.steps import LEAST_S, day_steps
from planner.study.fit.fit import measure_reading
from planner.wording.director.changes import change_sentence
from tests.fakes import BY, FakeFiles, FakeStudies, changing
from tests.services.term.library_for_plans import TUESDAY, make_library

NOW = datetime(2026, 9, 1, 9, 0, tzinfo=UTC)
AS_PLANNED = ["face-down", "study", "hearing", "first-reading", "naming", "fixing", "second-reading"]


def planned(*slots, **term):
    """A library whose term reads these slots on its first Tuesday."""
    library, _, term_id = make_library(4, weeks=2, **term)
    with changing(library) as work:
        work.terms.save_plan(Plan(term_id, slots))
    return library, term_id


def slot(piece=1, position=0, **changes):
    return Slot(TUESDAY, position, piece, "rhythm", **changes)


def view_of(library, term_id, on=TUESDAY):
    with library() as work:
        return read_day(work, term_id, on)


def kinds(steps, turn=0):
    return [step.kind for step in steps if step.turn == turn]


def test_a_piece_has_the_minutes_of_its_reading_step_by_step():
    library, term_id = planned(slot(minutes=9.0), minutes=12.0)
    view = view_of(library, term_id)
    (entry,), day = view.slots, day_steps(view)
    assert kinds(day.steps) == AS_PLANNED
    slower = 96.0 / 80
    minutes = measure_reading(80 / 60, slower, entry.level)
    found = {step.kind: step.seconds for step in day.steps}
    for kind, expected in (
        (StepKind.STUDY, minutes.study), (StepKind.HEARING, minutes.hearing), (StepKind.FIRST, minutes.first),
        (StepKind.SECOND, minutes.second), (StepKind.NAMING, minutes.fixing / 3),
        (StepKind.FIXING, 2 * minutes.fixing / 3),
    ):  # fmt: skip
        assert abs(found[kind] - 60 * expected) <= 2.5, kind
        assert found[kind] % 5 == 0
    taken = sum(step.seconds for step in day.steps[1:])
    assert day.spare_s == 720 - taken > 0
    assert [step.kind for step in day.steps if step.begins_itself] == ["hearing", "fixing"]


def test_a_full_day_shortens_all_but_the_readings():
    pieces = [slot(1), slot(2, 1), slot(3, 2)]
    roomy = day_steps(view_of(*planned(*pieces, minutes=60.0, slots=3)))
    full = day_steps(view_of(*planned(*pieces, minutes=12.0, slots=3)))
    assert [kinds(full.steps, turn) for turn in range(3)] == [AS_PLANNED] * 3
    for before, after in zip(roomy.steps, full.steps, strict=True):
        if after.kind in (StepKind.FIRST, StepKind.SECOND, StepKind.FACE_DOWN):
            assert after.seconds == before.seconds
        else:
            assert LEAST_S <= after.seconds < before.seconds
    assert roomy.spare_s > 0
    assert abs(full.spare_s) < 120, "what is left is rounding, and steps that grow no shorter"


def test_a_piece_read_again_is_looked_at_and_read_once():
    again = slot(minutes=4.0, reasons=(Reason(ReasonKind.AGAIN),))
    day = day_steps(view_of(*planned(again)))
    assert kinds(day.steps) == ["face-down", "study", "second-reading"]
    assert 3.5 * 60 <= sum(step.seconds for step in day.steps[1:]) <= 4.5 * 60


def test_stations_read_in_rounds_and_each_round_lasts_as_long_as_its_longest_piece():
    library, term_id = planned()
    with changing(library) as work:
        term = work.terms.get(term_id)
        ids = [section.id for section in work.ensembles.get(term.ensemble_id).sections]
        stations = (Station("Flutes", tuple(ids[:1])), Station("Others", tuple(ids[1:])))
        work.terms.update(replace(term, shapes=(DayShape(TUESDAY, 30.0, 2, stations),)))
        work.pieces.replace_profile(2, replace(work.pieces.profile(2), playing_seconds=150.0))
        slots = [slot(1, 0, station=0), slot(2, 0, station=1), slot(2, 1, station=0), slot(1, 1, station=1)]
        work.terms.save_plan(Plan(term_id, tuple(slots)))
    view = view_of(library, term_id)
    day = day_steps(view)
    assert [[(p.station, p.entry.piece.id) for p in turn.pieces] for turn in day.turns] == [
        [("Flutes", 1), ("Others", 2)], [("Others", 1), ("Flutes", 2)],
    ]  # fmt: skip
    longest = max(turn.time.steps.first for turn in day.turns[0].pieces)
    assert abs(next(s.seconds for s in day.steps if s.kind is StepKind.FIRST) - 60 * longest) <= 2.5
    whole, flutes = room_day(view), room_day(view, "Flutes")
    assert (whole.stations, whole.station, flutes.station) == (("Flutes", "Others"), "", "Flutes")
    assert [len(turn.pieces) for turn in whole.turns] == [2, 2]
    titles = [[one.turn_piece.entry.piece.title for one in turn.pieces] for turn in flutes.turns]
    assert titles == [["Piece 1"], ["Piece 2"]]
    assert flutes.turns[0].pieces[0].scope.parts == ("Flute",)
    assert room_day(view, "Nobody").station == ""


def test_a_procedure_takes_the_place_of_study_and_hearing_and_is_undone():
    library, term_id = planned(slot())
    with changing(library) as work:
        set_procedure(work, term_id, TUESDAY, "uil-small-pilot", by=BY)
    view = view_of(library, term_id)
    day = day_steps(view)
    assert kinds(day.steps) == [
        "face-down", "score", "study", "summary", "first-reading", "naming", "fixing", "second-reading",
    ]  # fmt: skip
    assert [step.seconds for step in day.steps[1:4]] == [180, 240, 180]
    assert [step.kind for step in day.steps if step.begins_itself] == ["study", "summary", "fixing"]
    assert room_day(view).warnings_s == (60, 30)
    other = TUESDAY + timedelta(days=2)
    assert day_steps(view_of(library, term_id, other)).procedure is None
    with changing(library) as work:
        entry = list_journal(work).entries[0]
        sentence = change_sentence(entry.change)
        assert "study on Sep 1 now UIL, 2021 pilot, all other conferences: 3 + 4 + 3 min" in sentence
        assert sentence.endswith("(was as planned).")
        undo_change(work, entry.change.id, BY, Means(FakeFiles(), FakeStudies()))
        assert work.terms.get(term_id).procedures == ()
        undo_change(work, list_journal(work).entries[0].change.id, BY, Means(FakeFiles(), FakeStudies()))
        assert work.terms.get(term_id).procedures == ((TUESDAY, "uil-small-pilot"),)
        count = len(list_journal(work).entries)
        set_procedure(work, term_id, TUESDAY, "uil-small-pilot", by=BY)
        assert len(list_journal(work).entries) == count, "the same once more is no change"
        assert set_procedure(work, term_id, TUESDAY, "", by=BY).procedures == ()
        for on, slug in ((TUESDAY, "uil"), (TUESDAY + timedelta(days=1), "msboa")):
            with pytest.raises(NotFoundError):
                set_procedure(work, term_id, on, slug, by=BY)


def test_the_script_tells_when_each_step_begins():
    view = view_of(*planned(slot(1), slot(2, 1), slots=2, minutes=20.0))
    lines = list(script_of(room_day(view)))
    assert [line.step.turn for line in lines] == [0] * 7 + [1] * 7
    assert lines[0].at_s == 0
    for before, after in pairwise(lines):
        assert after.at_s == before.at_s + before.step.seconds
    assert (lines[0].titles, lines[7].titles) == (("Piece 1",), ("Piece 2",))


def test_of_two_devices_the_one_that_saw_where_the_day_stands_is_followed():
    library, term_id = planned(slot())
    steps = day_steps(view_of(library, term_id)).steps

    def press(what, about, seconds):
        with changing(library) as work:
            at = NOW + timedelta(seconds=seconds)
            return press_clock(work, term_id, TUESDAY, steps, what, about=about, now=at)

    press(Press.START, "", 0)
    press(Press.SKIP, "1/face-down", 10)
    with pytest.raises(StepMovedError) as moved:
        press(Press.SKIP, "1/face-down", 10.4)
    assert moved.value.standing.key(steps) == "1/study"
    assert press(Press.EXTEND, "1/study", 20).presses == 3
    later = press(Press.EXTEND, "1/study", 21)
    assert later.extended_s == 60, "both meant the step they saw"
    study = next(step.seconds for step in steps if step.kind is StepKind.STUDY)
    assert later.left_s == study + 60 - 11
    with library() as work:
        now = clock_standing(work, term_id, TUESDAY, steps, NOW + timedelta(seconds=10 + study + 60 + 5))
        assert now.key(steps) == "1/hearing", "it went on by itself"
    with pytest.raises(StepMovedError):
        press(Press.PAUSE, "1/study", 10 + study + 60 + 5)
    with library() as work:
        assert work.clocks.find(term_id, TUESDAY).presses == 4, "a press that came too late stored nothing"
