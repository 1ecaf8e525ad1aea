"""What stands on the page once the parts are laid together, and where the pages disagree."""

from dataclasses import replace

import pytest

from planner.study.roadmap.marks import (
    find_conflicts,
    find_loose_ends,
    is_for_all,
    merged_marks,
    movement_starts,
)
from planner.study.roadmap.passages import Ending, find_endings, find_passages, runs_of
from tests.study.roadmap.test_play_order import closing, ending, mark, opening, paged


def kinds_of(*marks):
    return [(m.kind, m.measure + 1) for m in merged_marks(marks)]


class TestMergedMarks:
    def test_a_mark_of_several_pages_is_there_once_and_says_all_that_any_says(self):
        pages = [closing(4, part=0), closing(4, part=1, times=3), closing(4, part=2)]
        for order in (pages, pages[::-1]):
            assert [(m.measure, m.times) for m in merged_marks(order)] == [(3, 3)]

    def test_signs_of_different_names_are_two_and_jumps_of_different_names_are_one(self):
        signs = (mark("segno", 2, name="a"), mark("segno", 2, name="b"))
        assert len(merged_marks(signs)) == 2
        assert len(merged_marks((mark("dal-segno", 4, name=""), mark("dal-segno", 4, name="b")))) == 1

    def test_what_opens_comes_before_what_closes_in_a_bar(self):
        assert kinds_of(closing(3), opening(3), mark("segno", 1)) == [
            ("segno", 1), ("repeat-start", 3), ("repeat-end", 3),
        ]  # fmt: skip

    def test_jump_words_a_bar_early_belong_to_the_repeat_bar(self):
        assert sorted(kinds_of(mark("da-capo", 3), closing(4))) == [("da-capo", 4), ("repeat-end", 4)]
        assert kinds_of(mark("da-capo", 2), closing(4)) == [("da-capo", 2), ("repeat-end", 4)]
        assert ("da-capo", 4) in kinds_of(mark("da-capo", 4), closing(4), closing(5))
        assert ("da-capo", 3) in kinds_of(mark("da-capo", 3, time_only=(2,)), closing(4))
        assert ("fine", 3) in kinds_of(mark("fine", 3), closing(4))

    def test_not_when_a_passage_opens_in_between(self):
        assert ("da-capo", 3) in kinds_of(mark("da-capo", 3), opening(4), closing(4))
        assert ("da-capo", 3) in kinds_of(mark("da-capo", 3), *ending(4, 4, 2), closing(4))
        assert ("da-capo", 4) in kinds_of(opening(3), mark("da-capo", 3), closing(4))

    def test_of_two_coda_signs_the_first_is_where_to_leave_when_a_jump_follows(self):
        def signs(*others):
            return [
                m.kind for m in merged_marks((mark("coda", 2), mark("coda", 6), *others)) if "coda" in m.kind
            ]

        assert signs(mark("da-capo", 5)) == ["to-coda", "coda"]
        assert signs(mark("da-capo", 2)) == ["to-coda", "coda"]
        assert signs(mark("da-capo", 1)) == ["coda", "coda"]
        assert signs() == ["coda", "coda"]
        assert signs(mark("fine", 5)) == ["coda", "coda"]
        assert signs(mark("to-coda", 3), mark("da-capo", 5)) == ["coda", "to-coda", "coda"]
        assert [m.kind for m in merged_marks((mark("coda", 2), mark("da-capo", 5)))] == ["coda", "da-capo"]


class TestMovements:
    def test_numbers_that_begin_again_begin_a_movement(self):
        score = paged(8)
        numbers = ("1", "2", "3", "0", "1", "2", "X1", "1")
        measures = tuple(replace(m, number=n) for m, n in zip(score.measures, numbers, strict=True))
        assert movement_starts(replace(score, measures=measures)) == (0, 3, 7)

    def test_a_pickup_and_the_first_bar_are_one_movement(self):
        score = paged(3)
        measures = tuple(replace(m, number=n) for m, n in zip(score.measures, "012", strict=True))
        assert movement_starts(replace(score, measures=measures)) == (0,)


def conflicts(*marks, parts=3):
    return [(issue.slug, issue.measure) for issue in find_conflicts(paged(6, *marks, parts=parts))]


class TestConflicts:
    def test_a_bar_mark_of_one_page_but_not_the_top_one_is_told_with_its_bar(self):
        assert conflicts(closing(4, part=1)) == [("roadmap-differs", 3)]
        assert conflicts(closing(4, part=0), closing(4, part=2)) == [("roadmap-differs", 3)]

    @pytest.mark.parametrize("pages", [(0,), (0, 1, 2), (-1,), (-1, 2)])
    def test_a_mark_of_the_top_page_or_of_all_or_of_the_system_is_for_everyone(self, pages):
        assert conflicts(*(closing(4, part=n) for n in pages)) == []
        assert is_for_all(paged(6, parts=3), pages)

    def test_a_word_in_one_part_stands_over_its_group_and_in_two_it_differs(self):
        assert conflicts(mark("fine", 4, part=1)) == []
        assert conflicts(mark("fine", 4, part=1), mark("fine", 4, part=2)) == [("roadmap-differs", 3)]

    def test_the_end_of_an_ending_need_not_be_everywhere(self):
        assert conflicts(mark("ending-stop", 4, part=1, numbers=(1,))) == []
        assert conflicts(mark("ending-start", 4, part=1, numbers=(1,))) == [("roadmap-differs", 3)]

    def test_counts_that_differ_are_told_apart_from_marks_that_are_missing(self):
        assert conflicts(closing(2, part=0), closing(2, part=1, times=3), closing(2, part=2)) == [
            ("roadmap-differs", 1)
        ]
        assert len(conflicts(closing(2, part=1), closing(4, part=1))) == 1
        assert len(conflicts(closing(2, part=1), closing(4, part=2))) == 2


def loose(*marks):
    return [(issue.slug, issue.measure + 1) for issue in find_loose_ends(merged_marks(marks))]


class TestLooseEnds:
    def test_a_repeat_that_opens_must_close_at_its_bar_or_later(self):
        assert loose(opening(3)) == [("roadmap-loose-end", 3)]
        assert loose(opening(3), closing(3)) == []
        assert loose(closing(2), opening(3)) == [("roadmap-loose-end", 3)]
        assert loose(opening(3, implied=True)) == []

    @pytest.mark.parametrize(("times", "is_told"), [(0, True), (1, False), (20, False), (21, True)])
    def test_a_repeat_is_played_once_to_twenty_times(self, times, is_told):
        assert bool(loose(closing(4, times=times))) is is_told

    def test_a_jump_needs_what_it_leads_to(self):
        al_fine, al_coda = mark("da-capo", 8, text="D.C. al Fine"), mark("dal-segno", 8, text="D.S. al Coda")
        assert loose(al_fine) == loose(al_coda) == [("roadmap-loose-end", 8)]
        assert loose(al_fine, mark("fine", 4)) == []
        assert loose(al_coda, mark("fine", 4)) == [("roadmap-loose-end", 8)]
        assert loose(al_coda, mark("to-coda", 4)) == []
        assert loose(al_fine, mark("to-coda", 4)) == [("roadmap-loose-end", 8)]
        assert loose(mark("da-capo", 8)) == []


def endings_of(*marks, bars=8):
    return [(e.first + 1, e.last + 1, e.numbers) for e in find_endings(merged_marks(marks), bars)]


class TestEndings:
    def test_an_ending_runs_to_its_stop_its_repeat_bar_or_the_next_one(self):
        start = mark("ending-start", 3, numbers=(1,))
        second = mark("ending-start", 6, numbers=(2,))
        assert endings_of(start, mark("ending-stop", 4, numbers=(1,)), second)[0] == (3, 4, (1,))
        assert endings_of(start, closing(4), second)[0] == (3, 4, (1,))
        assert endings_of(start, second)[0] == (3, 5, (1,))
        assert endings_of(start) == [(3, 3, (1,))]
        assert endings_of(start, closing(5), closing(7)) == [(3, 5, (1,))]

    def test_an_ending_without_a_number_takes_the_next(self):
        marks = (*ending(3, 3, 1), closing(3), *ending(4, 5), *ending(6, 6))
        assert endings_of(*marks) == [(3, 3, (1,)), (4, 5, (2,)), (6, 6, (3,))]
        apart = (*ending(3, 3, 1), closing(3), *ending(5, 5))
        assert endings_of(*apart)[1] == (5, 5, (1,))

    def test_endings_side_by_side_are_one_run_until_a_first_begins(self):
        row = [Ending(2, 2, (1,)), Ending(3, 4, (2,)), Ending(5, 5, (1,)), Ending(7, 7, (2,))]
        assert [[e.first for e in run] for run in runs_of(row)] == [[2, 3], [5], [7]]
        assert [[e.numbers for e in run] for run in runs_of(row)] == [[(1,), (2,)], [(1,)], [(1,)]]
        odd = [Ending(2, 2, (1, 3)), Ending(3, 3, (2, 4))]
        assert runs_of(odd) == [odd]
        wrong = [Ending(2, 2, (1,)), Ending(3, 3, (3,))]
        assert [e.numbers for e in runs_of(wrong)[0]] == [(1,), (2,)]


def passages_of(*marks, bars=12, movements=(0,)):
    found = find_passages(merged_marks(marks), bars, movements)
    return [(p.first + 1, [end + 1 for end in p.ends], p.times) for p in found]


class TestPassages:
    def test_a_closing_bar_goes_back_to_the_last_opening_or_to_just_after_the_last_passage(self):
        assert passages_of(closing(4)) == [(1, [4], 2)]
        assert passages_of(closing(4), closing(8)) == [(1, [4], 2), (5, [8], 2)]
        assert passages_of(opening(3), closing(4), closing(8)) == [(3, [4], 2), (5, [8], 2)]
        assert passages_of(opening(2), opening(3), closing(4), closing(6)) == [(2, [6], 2), (3, [4], 2)]

    def test_no_repeat_goes_back_beyond_its_movement(self):
        assert passages_of(closing(4), closing(8), movements=(0, 6)) == [(1, [4], 2), (7, [8], 2)]
        assert passages_of(opening(3), closing(8), movements=(0, 6)) == [(7, [8], 2)]
        assert passages_of(closing(5), closing(8), movements=(0, 2, 6)) == [(3, [5], 2), (7, [8], 2)]

    def test_endings_count_the_times_and_one_alone_is_followed_by_the_way_on(self):
        two = (*ending(3, 3, 1), closing(3), *ending(4, 4, 2))
        assert passages_of(*two) == [(1, [3], 2)]
        assert passages_of(*ending(3, 3, 1), closing(3)) == [(1, [3], 2)]
        assert passages_of(*ending(3, 3, 1, 2), closing(3), *ending(4, 4, 3)) == [(1, [3], 3)]
        assert passages_of(*two, closing(8)) == [(1, [3], 2), (5, [8], 2)]

    @pytest.mark.parametrize(("times", "played"), [(1, 1), (3, 3), (20, 20), (21, 2), (0, 2)])
    def test_the_count_of_a_repeat_is_believed_up_to_twenty(self, times, played):
        assert passages_of(closing(4, times=times)) == [(1, [4], played)]
