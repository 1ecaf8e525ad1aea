"""Where a section's level starts: chosen, remembered, changed, taken back."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from planner.core.ensemble import StartBasis, StartKind
from planner.core.term import Term
from planner.errors import ConflictError, InputError
from planner.levels.starts import SUMMER_WEEKS, start_from_last_year, start_from_placement, start_from_years
from planner.services.changes.records import Means
from planner.services.changes.undo import undo_change
from planner.services.day.log_results import log_results
from planner.services.day.result_entry import ResultEntry
from planner.services.entered.answers import YES_TO_ALL
from planner.services.people.roster import change_section
from planner.services.people.starts import set_start, take_back_start
from tests.fakes import BY, FakeFiles, FakeStudies, at_a_door, changing
from tests.services.term.library_for_plans import TUESDAY, make_library

MEANS = Means(FakeFiles(), FakeStudies())
YEARS = StartBasis(StartKind.YEARS, years=2)
PLACEMENT = StartBasis(StartKind.PLACEMENT, level=2.5, share=0.8)
LAST_YEAR = StartBasis(StartKind.LAST_YEAR, level=2.4)
SPRING = date(2026, 3, 3)


class Room:
    """A band of four with a flute whose start is set."""

    def __init__(self):
        self.library, self.ensemble_id, self.term_id = make_library()
        self.pieces = sorted(self.library.state.pieces)

    def flute(self):
        with self.library() as work:
            sections = work.ensembles.get(self.ensemble_id).sections
        return next(s for s in sections if s.name == "Flute")

    def start(self, basis, today=TUESDAY):
        return at_a_door(self.library, set_start, self.flute().id, basis, today=today, by=BY)

    def take_back(self):
        return at_a_door(self.library, take_back_start, self.flute().id, BY, MEANS)

    def read(self, on, share, piece=0):
        entry = ResultEntry(self.flute().id, self.pieces[piece], share)
        at_a_door(
            self.library, log_results, self.ensemble_id, on, [entry], by=BY, today=on,
            answers=YES_TO_ALL,
        )  # fmt: skip


@pytest.fixture
def room():
    return Room()


@pytest.mark.parametrize(
    ("basis", "expected"),
    [
        (YEARS, start_from_years(2)),
        (PLACEMENT, start_from_placement(2.5, 0.8)),
        (LAST_YEAR, start_from_last_year(2.4, None, SUMMER_WEEKS)),
        (StartBasis(StartKind.LAST_YEAR, level=2.4, weeks=3), start_from_last_year(2.4, None, 3)),
    ],
)
def test_a_start_is_worked_out_remembered_and_holds_from_the_first_day_of_the_term(room, basis, expected):
    flute = room.start(basis)
    assert (flute.level, flute.level_error) == expected
    assert (flute.start_level, flute.start_error, flute.start_on) == (*expected, TUESDAY)
    assert flute.start_basis == basis
    assert room.flute() == flute


def test_results_of_the_term_move_it_and_those_of_last_term_are_in_it(room):
    with changing(room.library) as work:
        work.terms.add(Term(0, room.ensemble_id, "Spring", SPRING, SPRING + timedelta(days=60), (1,)))
    room.read(SPRING, 0.2)
    room.read(TUESDAY, 0.99, piece=9)
    started = room.start(YEARS, today=TUESDAY)
    alone = Room()
    alone.read(TUESDAY, 0.99, piece=9)
    assert started == alone.start(YEARS), "what was read in spring says nothing any more"
    assert started.level > start_from_years(2)[0]


def test_a_number_of_the_directors_own_holds_from_the_day_after_the_last_result(room):
    room.read(TUESDAY, 0.2)
    flute = room.start(StartBasis(StartKind.WORD, level=3.0))
    assert (flute.level, flute.start_on) == (3.0, TUESDAY + timedelta(days=1))
    assert flute.start_basis == StartBasis()


def test_a_number_typed_in_the_form_forgets_what_the_start_came_from(room):
    room.start(YEARS)
    at_a_door(room.library, change_section, replace(room.flute(), level=3.0), by=BY)
    assert room.flute().start_basis == StartBasis()
    assert room.flute().level == 3.0


def test_saving_the_form_unchanged_keeps_the_start(room):
    room.start(PLACEMENT)
    before = room.flute()
    at_a_door(room.library, change_section, replace(before, level=round(before.level, 1), size=9), by=BY)
    assert room.flute() == replace(before, size=9)


def test_last_years_level_comes_from_last_terms_results(room):
    spring = [SPRING + timedelta(days=7 * n) for n in range(6)]
    for at, on in enumerate(spring):
        room.read(on, 0.99, piece=20 + at % 4)
    believed = room.flute()
    flute = room.start(StartBasis(StartKind.LAST_YEAR))
    basis = flute.start_basis
    assert basis.level == pytest.approx(believed.level, abs=0.01)
    assert basis.error == pytest.approx(believed.level_error, abs=0.01)
    assert basis.weeks == pytest.approx((TUESDAY - spring[-1]).days / 7, abs=0.06)
    assert (flute.level, flute.level_error) == start_from_last_year(basis.level, basis.error, basis.weeks)
    again = room.start(StartBasis(StartKind.LAST_YEAR))
    assert again.start_basis.weeks == basis.weeks, "asked for twice, it still looks at last term"


def test_without_results_from_before_the_term_last_years_level_has_to_be_given(room):
    room.read(TUESDAY, 0.9)
    with pytest.raises(InputError, match="Flute has no results from before this term"):
        room.start(StartBasis(StartKind.LAST_YEAR))


@pytest.mark.parametrize(
    ("basis", "sentence"),
    [
        (StartBasis(StartKind.YEARS), "Flute: the number of years is missing"),
        (StartBasis(StartKind.YEARS, years=-1), "must be from 0 to 80, not -1"),
        (StartBasis(StartKind.YEARS, years=float("nan")), "the number of years must be"),
        (StartBasis(StartKind.PLACEMENT, level=2.0), "the share of bars right is missing"),
        (StartBasis(StartKind.PLACEMENT, level=2.0, share=1.2), "1.2 is no share of the bars"),
        (StartBasis(StartKind.PLACEMENT, level=9.0, share=0.5), "the level must be from 0.5 to 6, not 9"),
        (StartBasis(StartKind.LAST_YEAR, level=2.0, weeks=-3), "the number of weeks must be"),
        (StartBasis(StartKind.WORD), "the level is missing"),
    ],
)
def test_a_start_that_cannot_be_is_refused_and_nothing_is_stored(room, basis, sentence):
    before = room.library.state
    with pytest.raises(InputError, match=sentence):
        room.start(basis)
    assert room.library.state == before


def test_starts_are_taken_back_one_after_the_other(room):
    room.read(TUESDAY, 0.9)
    first = room.flute()
    years = room.start(YEARS)
    room.start(PLACEMENT)
    assert room.take_back() == years
    assert room.take_back() == first
    with pytest.raises(ConflictError, match="no change to where Flute starts"):
        room.take_back()


def test_a_start_brought_back_by_undoing_the_undo_can_be_taken_back_again(room):
    first = room.flute()
    years = room.start(YEARS)
    room.take_back()
    with room.library() as work:
        undo = work.changes.list_changes(1)[0]
    at_a_door(room.library, undo_change, undo.id, BY, MEANS)
    assert room.flute() == years
    assert room.take_back().level == first.level


def test_a_start_set_twice_is_one_change(room):
    room.start(YEARS)
    room.start(YEARS)
    with room.library() as work:
        assert len(work.changes.list_changes(10)) == 1
