"""What is entered of a reading: as typed, for all sections alike, with hard bars, and taken back exactly."""

from dataclasses import replace
from datetime import timedelta

import pytest

from planner.core.change import ChangeKind
from planner.core.difficulty import Challenge, ChallengeKind
from planner.core.profile import Spot
from planner.core.term import FELL_APART_SHARE, Result
from planner.errors import InputError, OddEntryError
from planner.levels.readable import LOST_SHARE
from planner.services.changes.records import reading_subject
from planner.services.changes.results_record import is_same_result, result_of, result_values
from planner.services.changes.undo import undo_change
from planner.services.day.log_results import log_results, stored_entries
from planner.services.day.result_entry import ResultEntry, entry_of
from planner.services.entered.answers import NONE_YET, Answers
from planner.services.results.hard_bars import MOST_HARD_BARS, hard_bars
from planner.services.results.same_for_all import Alike, same_for_all
from planner.services.results.typed import read_first, read_places, read_tempo, read_wrong
from tests.fakes import BY, changing
from tests.services.day.test_log_results import first_piece, sections_of
from tests.services.term.library_for_plans import TUESDAY, make_library

NUMBERS = tuple(str(n) for n in range(1, 21))
RUN, TIE = ChallengeKind.RUN, ChallengeKind.TIE_OVER_BAR_LINE


def with_spots(library, piece_id, spots):
    """The flute's part of a piece with some hard places, and bars with numbers."""
    profile = library.state.profiles[piece_id]
    parts = tuple(replace(p, spots=spots) if p.name == "Flute" else p for p in profile.parts)
    library.state.profiles[piece_id] = replace(profile, parts=parts, measure_numbers=NUMBERS)


def spot(measure, end, weight, kind=RUN):
    return Spot(measure, (Challenge(measure, kind, weight),), end, weight)


@pytest.fixture
def reading():
    """A library, its band, a piece with two hard places for the flutes, and the sections by name."""
    library, ensemble_id, _ = make_library(6)
    piece_id = first_piece(library)
    with_spots(library, piece_id, (spot(4, 5, 2.0), spot(9, None, 1.0, TIE)))
    return library, ensemble_id, piece_id, sections_of(library, ensemble_id)


def enter(reading, entry, answers=NONE_YET):
    library, ensemble_id, _, _ = reading
    with changing(library) as work:
        return log_results(work, ensemble_id, TUESDAY, [entry], by=BY, today=TUESDAY, answers=answers)


def stored(reading):
    library, ensemble_id, _, _ = reading
    with library() as work:
        return {r.section_id: r for r in work.results.list_results(ensemble_id, TUESDAY)}


@pytest.mark.parametrize(
    ("text", "found"),
    [("85", (0.85, False)), (" 87,5 % ", (0.875, False)), ("", (None, False)), ("0", (0.0, False)),
     ("Fell  Apart", (FELL_APART_SHARE, True)), ("fell", (FELL_APART_SHARE, True))],
)  # fmt: skip
def test_a_first_reading_is_a_number_or_fell_apart(text, found):
    assert read_first("Flute", text) == found


@pytest.mark.parametrize("text", ["101", "-1", "0.85", "fallen", "8o", "85 90"])
def test_what_is_neither_is_refused_by_field(text):
    with pytest.raises(InputError) as caught:
        read_first("Flute", text, "first-1")
    assert caught.value.field == "first-1"


def test_a_reading_that_fell_apart_lies_in_the_middle_of_what_is_lost():
    assert FELL_APART_SHARE == LOST_SHARE / 2


@pytest.mark.parametrize("text", ["9", "401", "fast", "1e2"])
def test_a_tempo_that_nobody_takes_is_refused(text):
    assert read_tempo("Flute", "10") == 10.0
    with pytest.raises(InputError) as caught:
        read_tempo("Flute", text, "tempo-1")
    assert caught.value.field == "tempo-1"


def test_places_of_a_form_are_read_in_order_and_what_is_none_is_passed_over():
    assert read_places("9-9,4-5,4-5,x-2,3") == ((4, 5), (9, 9))


def test_a_command_names_skills_and_bars_by_their_printed_numbers():
    assert read_wrong("Flute", ["rhythm", "5-6", "10"], NUMBERS) == (("rhythm",), ((4, 5), (9, 9)))
    with pytest.raises(InputError, match="2 bars numbered 1"):
        read_wrong("Flute", ["1"], ("1", "2", "1"))
    with pytest.raises(InputError, match="run backward"):
        read_wrong("Flute", ["6-5"], NUMBERS)
    with pytest.raises(InputError, match="neither a skill nor a bar"):
        read_wrong("Flute", ["tuning"], NUMBERS)


def test_the_heaviest_hard_bars_are_offered_in_the_order_of_the_page(reading):
    library, ensemble_id, piece_id, sections = reading
    many = tuple(spot(at, None, 1.0 + at % 5) for at in range(12))
    with_spots(library, piece_id, many)
    with library() as work:
        found = hard_bars(library.state.profiles[piece_id], work.ensembles.get(ensemble_id))
    places = [each.place for each in found[sections["Flute"].id]]
    assert len(places) == MOST_HARD_BARS
    assert places == sorted(places)
    assert {1.0 + at % 5 for at, _ in places} == {5.0, 4.0, 3.0}
    assert found[sections["Trumpet"].id] == ()


def test_a_hard_bar_brings_its_skill_once_and_may_be_named_without(reading):
    flute, piece_id = reading[3]["Flute"].id, reading[2]
    enter(reading, ResultEntry(flute, piece_id, 0.7, wrong_bars=((4, 5),)))
    assert (stored(reading)[flute].problems, stored(reading)[flute].wrong_bars) == (("motion",), ((4, 5),))
    enter(reading, replace(entry_of(stored(reading)[flute]), problems=()))
    assert stored(reading)[flute].problems == (), "taken back by hand, and the bar was there before"
    enter(reading, replace(entry_of(stored(reading)[flute]), wrong_bars=((4, 5), (9, 9))))
    assert stored(reading)[flute].problems == ("rhythm",)
    with pytest.raises(InputError, match="must lie in"):
        enter(reading, ResultEntry(flute, piece_id, 0.7, wrong_bars=((19, 20),)))


def test_a_remark_is_one_line_and_not_too_long(reading):
    flute, piece_id = reading[3]["Flute"].id, reading[2]
    enter(reading, ResultEntry(flute, piece_id, 0.7, note="  half of \t them "))
    assert stored(reading)[flute].note == "half of them"
    with pytest.raises(InputError) as caught:
        enter(reading, ResultEntry(flute, piece_id, 0.7, note="x" * 501))
    assert caught.value.field == f"note-{flute}"
    with pytest.raises(InputError, match="no number of bars beside it"):
        enter(reading, ResultEntry(flute, piece_id, 0.7, fell_apart=True))


def test_all_that_was_entered_comes_back_by_undo_and_redo(reading):
    library, ensemble_id, piece_id, sections = reading
    flute = sections["Flute"].id
    full = ResultEntry(
        flute, piece_id, FELL_APART_SHARE, 0.6, 88.0, ("rhythm",), "lights went out", False, True, ((9, 9),)
    )
    enter(reading, full)
    whole = stored(reading)
    assert entry_of(whole[flute]) == full
    enter(reading, ResultEntry(flute, piece_id, None))
    assert stored(reading) == {}
    with changing(library) as work:
        subject = reading_subject(piece_id, "", ensemble_id, TUESDAY)
        withdrawn = work.changes.about(ChangeKind.RESULTS, subject)[-1]
        back = undo_change(work, withdrawn.id, BY, None)
    assert stored(reading) == whole
    with changing(library) as work:
        undo_change(work, back.id, BY, None)
    assert stored(reading) == {}


def test_an_entry_of_the_journal_from_before_the_new_fields_still_says_the_same():
    result = Result(1, 2, 3, TUESDAY, 0.8, 0.9, 96.0, ("key",), "windy", False)
    older = {name: value for name, value in result_values(result).items()
             if name not in ("fell_apart", "wrong_bars")}  # fmt: skip
    assert result_of(1, 2, 3, TUESDAY, older) == result
    assert is_same_result({**older, "section": "Flute"}, {**result_values(result), "section": "Flutes"})
    marked = replace(result, wrong_bars=((1, 2),))
    assert not is_same_result(older, result_values(marked))
    assert result_of(1, 2, 3, TUESDAY, result_values(marked)) == marked


def test_the_same_for_all_fills_what_is_empty_and_asks_before_it_replaces(reading):
    _, _, piece_id, sections = reading
    flute, others = sections["Flute"], [s for n, s in sections.items() if n != "Flute"]
    before = {flute.id: ResultEntry(flute.id, piece_id, 0.7, note="alone")}
    alike = Alike(0.85, second_share=0.9, tempo_bpm=92.0)
    every = list(sections.values())
    found = {e.section_id: e for e in same_for_all(every, piece_id, before, alike, NONE_YET, every=False)}
    assert found[flute.id] == replace(before[flute.id], second_share=0.9, tempo_bpm=92.0)
    assert {found[s.id].first_share for s in others} == {0.85}
    with pytest.raises(OddEntryError) as caught:
        same_for_all(every, piece_id, before, alike, NONE_YET, every=True)
    (question,) = caught.value.questions
    assert question.sentence == "1 section has an entry already, which this would replace."
    yes = Answers(frozenset({question.key}))
    replaced = {e.section_id: e for e in same_for_all(every, piece_id, before, alike, yes, every=True)}
    assert (replaced[flute.id].first_share, replaced[flute.id].note) == (0.85, "alone")
    with pytest.raises(InputError):
        same_for_all(every, piece_id, before, Alike(), NONE_YET, every=False)
    tempo = same_for_all(every, piece_id, before, Alike(tempo_bpm=92.0), NONE_YET, every=False)
    assert [e.section_id for e in tempo] == [flute.id], "no result is made of a tempo alone"


def test_what_is_stored_is_given_back_whole_to_be_entered_otherwise(reading):
    library, ensemble_id, piece_id, sections = reading
    full = ResultEntry(
        sections["Flute"].id, piece_id, 0.5, None, 60.0, ("key",), "slow", True, False, ((4, 5),)
    )
    enter(reading, replace(full, problems=("key", "motion")))
    with library() as work:
        entries = stored_entries(work, ensemble_id, TUESDAY, piece_id)
        assert stored_entries(work, ensemble_id, TUESDAY + timedelta(days=2), piece_id) == {}
    assert entries == {full.section_id: replace(full, problems=("key", "motion"))}
