"""The floors of the players' sheets: on a seeded sample of the pool, and on every sheet of a coach."""

from collections import Counter
from dataclasses import replace

import pytest

from planner.services.sheets.player.choose import word_count
from planner.services.sheets.player.sheet import sheet_lines
from tests.benchmarks import (
    coach_sheets,
    readability,
    sheet_accidentals,
    sheet_layout,
    sheet_pool,
    sheet_truth,
    sheet_words,
)
from tests.reference import reference_data, sampled
from tests.study.fact_checks import SAMPLES, sample

SAMPLE = 24


@pytest.fixture(scope="module")
def sheets():
    reference_data()
    every = sampled(range(3 * sheet_pool.EACH), SAMPLE)
    each = max(1, len(every) // 3)
    return sheet_pool.pooled(each)


def test_syllables_follow_a_dictionary():
    assert [readability.syllables(word) for word in ("bar", "rhythm", "signature", "diminuendo")] == [
        1,
        2,
        3,
        5,
    ]
    assert [readability.syllables(word) for word in ("places", "counted", "idea", "movement")] == [2, 2, 3, 2]


def test_the_grade_is_that_of_the_formula():
    text = ["The band plays a march. It is slow."]
    assert readability.grade(text) == pytest.approx(0.39 * 8 / 2 + 11.8 * 8 / 8 - 15.59)


def test_each_of_ninety_sheets_has_five_remarks():
    reference_data()
    found = list(coach_sheets.remarks("*/*"))
    assert len({(path, part) for path, part, _ in found}) == 90
    assert all(len(remarks) == 5 for _, _, remarks in found)
    assert {remark.kind for _, _, each in found for remark in each} <= set(coach_sheets.HELD)


@pytest.mark.slow
def test_nothing_on_a_sheet_is_false(sheets):
    found = [each for sheet in sheets for each in sheet_truth.judged(sheet)]
    false = [(each.sheet.path.stem, each.kind, each.text) for each in found if each.verdict is False]
    assert false == []
    assert Counter(each.verdict for each in found)[True] > 6 * len(sheets)


@pytest.mark.slow
def test_sheets_are_short_and_plain(sheets):
    assert all(sheet_words.words_on(sheet) <= sheet_words.MOST for sheet in sheets)
    assert readability.grade([text for sheet in sheets for text in sheet.sentences]) <= readability.MOST_GRADE
    assert all(word_count(sheet.sentences[-1]) > 0 for sheet in sheets)


@pytest.mark.slow
def test_sheets_are_laid_out_cleanly_on_both_papers(sheets):
    found = sheet_layout.measured(sheets[:: max(1, len(sheets) // 6)])
    assert (found.too_long, found.off, found.over, found.out, found.unembedded) == (0, 0, 0, 0, 0)
    assert found.wrong == 0, "an excerpt is small, cut off, or has signs over signs"
    assert found.music > 0


@pytest.mark.slow
def test_a_coach_finds_as_many_remarks_as_the_floors_say():
    reference_data()
    rows = {row.name: row for row in coach_sheets.rows()}
    assert all(row.holds for row in rows.values())


def of_sample(name, at, swap):
    """The verdicts on a part's sheet of a sample piece after some words of its lines are exchanged."""
    bare, profile = sample(name)
    lines = tuple(
        replace(line, text=line.text.replace(*swap)) for line in sheet_lines(profile, profile.parts[at])
    )
    path = next(path for path in SAMPLES if path.stem == name)
    sheet = sheet_pool.PooledSheet(path, True, profile, at, lines)
    checks = (sheet_accidentals.accidentals, sheet_accidentals.signature_notes)
    return [verdict for check in checks for _, verdict in check(bare, sheet)]


@pytest.mark.parametrize(
    ("name", "at", "swap"),
    [
        ("quiet-harbor", 2, ("G♯", "D♯")),
        ("quiet-harbor", 2, ("Bars 17–24", "Bars 17–40")),
        ("quiet-harbor", 2, ("in A minor", "in C minor")),
        ("hall-of-the-mountain-king", 0, (" (back to C♮ in bar 26)", "")),
        ("hall-of-the-mountain-king", 0, ("F♯, ", "")),
        ("quiet-harbor", 1, ("B♭ and E♭", "B♭ and A♭")),
    ],
)
def test_a_false_sentence_about_altered_notes_is_found(name, at, swap):
    plain = of_sample(name, at, ("", ""))
    assert plain.count(True) == len(plain) > 0
    assert of_sample(name, at, swap).count(False) == 1
