"""What the results of a day moved: held against levels and forecasts worked out without the day."""

from dataclasses import replace
from datetime import timedelta

import pytest

from planner.core.term import FELL_APART_SHARE, Plan, Slot
from planner.levels.curve import expected_share
from planner.levels.readable import EASY_ABOVE, HARD_BELOW, Verdict, verdict_of
from planner.services.day.log_results import log_results
from planner.services.day.result_entry import ResultEntry
from planner.services.entered.answers import YES_TO_ALL
from planner.services.results.what_moved import MoveWhy, what_moved
from tests.fakes import BY, changing
from tests.services.day.test_log_results import sections_of
from tests.services.term.library_for_plans import TUESDAY, make_library

DAYS = [TUESDAY + timedelta(days=n) for n in (0, 2, 7, 9)]


@pytest.fixture
def term():
    """A library whose term has a piece a day, from the easiest on."""
    library, ensemble_id, term_id = make_library(12)
    pieces = sorted(library.state.pieces)
    slots = tuple(Slot(on, 0, piece, "rhythm") for on, piece in zip(DAYS, pieces[4:8], strict=True))
    with changing(library) as work:
        work.terms.save_plan(Plan(term_id, slots))
    return library, ensemble_id, term_id, {slot.on: slot.piece_id for slot in slots}


def log(term, on, **entries):
    library, ensemble_id, _, planned = term
    sections = sections_of(library, ensemble_id)
    rows = [
        ResultEntry(sections[name.replace("_", " ")].id, planned[on], **entry)
        for name, entry in entries.items()
    ]
    with changing(library) as work:
        log_results(work, ensemble_id, on, rows, by=BY, today=on, answers=YES_TO_ALL)


def moved_by(term, on, today=None, only=None):
    library, ensemble_id, term_id, _ = term
    with library() as work:
        ensemble = work.ensembles.get(ensemble_id)
        return what_moved(work, work.terms.get(term_id), ensemble, on, today or on, only)


def test_nothing_is_said_of_a_day_without_results(term):
    found = moved_by(term, DAYS[0])
    assert (found.sections, found.ahead) == ((), ())


def test_levels_go_the_way_of_the_results_and_say_what_was_expected(term):
    before = sections_of(term[0], term[1])
    log(term, DAYS[0], Flute={"first_share": 0.3}, Trumpet={"first_share": 1.0})
    flute, trumpet = moved_by(term, DAYS[0]).sections
    assert (flute.section.name, trumpet.section.name) == ("Flute", "Trumpet")
    assert flute.before.level == pytest.approx(before["Flute"].level)
    assert flute.after.level < flute.before.level
    assert trumpet.after.level > trumpet.before.level
    assert flute.after.level == sections_of(term[0], term[1])["Flute"].level
    part = term[0].state.profiles[term[3][DAYS[0]]].part("Flute")
    (read,) = flute.read
    assert (read.share, read.expected) == (
        0.3,
        pytest.approx(expected_share(before["Flute"].level, part.level)),
    )
    assert flute.why is MoveWhy.READ


def test_a_result_that_does_not_count_moves_nothing_and_says_so(term):
    log(term, DAYS[0], Flute={"first_share": FELL_APART_SHARE, "fell_apart": True, "counts": False})
    (flute,) = moved_by(term, DAYS[0]).sections
    assert (flute.before, flute.why) == (flute.after, MoveWhy.SET_ASIDE)
    assert (flute.read[0].counts, flute.read[0].fell_apart) == (False, True)


def test_a_result_from_before_the_start_is_in_it(term):
    library, ensemble_id, _, _ = term
    log(term, DAYS[0], Flute={"first_share": 0.5})
    with changing(library) as work:
        flute = work.ensembles.get(ensemble_id).sections[0]
        work.ensembles.update_section(replace(flute, start_level=2.0, start_on=DAYS[1]))
    (move,) = moved_by(term, DAYS[0]).sections
    assert (move.why, move.before) == (MoveWhy.EARLIER, move.after)


def test_readings_ahead_that_suit_a_section_otherwise_are_named_and_no_others(term):
    log(term, DAYS[0], Flute={"first_share": 0.1}, Trumpet={"first_share": 0.85})
    found = moved_by(term, DAYS[0])
    assert found.slots_ahead == 3
    assert found.ahead, "a section that gets 10 of 100 bars right is out of its depth elsewhere too"
    for each in found.ahead:
        assert each.section.name == "Flute"
        assert each.slot.on > DAYS[0]
        assert each.share_after < each.share_before
        assert (each.before, each.after) == (verdict_of(each.share_before), verdict_of(each.share_after))
        assert each.after is Verdict.TOO_HARD
        assert each.share_after < HARD_BELOW <= each.share_before <= EASY_ABOVE


def test_the_day_is_compared_with_itself_left_out_also_when_later_days_were_read(term):
    log(term, DAYS[0], Flute={"first_share": 0.1})
    first = moved_by(term, DAYS[0]).sections[0]
    log(term, DAYS[1], Flute={"first_share": 0.95})
    again = moved_by(term, DAYS[0], today=DAYS[1]).sections[0]
    assert (again.before, again.after) == (first.before, first.after)
    second = moved_by(term, DAYS[1])
    assert second.sections[0].after.level > second.sections[0].before.level
    assert second.slots_ahead == 2, "a day that was read is not ahead"


def test_a_leader_is_shown_their_own_sections_alone(term):
    log(term, DAYS[0], Flute={"first_share": 0.1}, Trumpet={"first_share": 0.1})
    trumpet = sections_of(term[0], term[1])["Trumpet"].id
    found = moved_by(term, DAYS[0], only=(trumpet,))
    assert {each.section.id for each in (*found.sections, *found.ahead)} == {trumpet}
